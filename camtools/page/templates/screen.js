  // On a screen one step fills it: this shows one part of the page at a time. Without it the page is one long form, as on paper.
  const root = document.documentElement, at = (id) => document.getElementById(id);
  const node = (parent, name, text, attributes) => {
    const made = document.createElement(name);
    if (text) made.textContent = text;
    for (const key in attributes || {}) made.setAttribute(key, attributes[key]);
    parent.appendChild(made);
    return made;
  };

  // What is done stays done. Some browsers keep no store for a page from disk; then it lasts until the page is closed.
  const prefix = "camtools " + document.body.dataset.packet + " ", held = new Set();
  const store = {
    has(key) { try { return held.has(key) || localStorage.getItem(prefix + key) === "1"; } catch (refused) { return held.has(key); } },
    set(key, done) {
      if (done) held.add(key); else held.delete(key);
      try { if (done) localStorage.setItem(prefix + key, "1"); else localStorage.removeItem(prefix + key); } catch (refused) { /* kept in hand */ }
    },
  };

  const start = at("start"), safety = at("safety"), steps = [...document.querySelectorAll(".step")];
  const order = [start, safety, ...steps], sections = [...document.querySelectorAll("main > section")];
  const boxOf = new Map(steps.map((step) => [step, step.querySelector("h4 input")]));
  const ticksOf = (step) => [...step.querySelectorAll(".boxes input")];
  const isDone = (part) => (part === safety ? store.has("safety") : boxOf.has(part) && boxOf.get(part).checked);
  const nameOf = (part) => (part === start ? "The whole piece" : part.querySelector("h2, h4").textContent.trim());
  const firstOpen = () => order.find((part) => part !== start && !isDone(part)) || start;
  let now = start, last = start, whole = false; // what is shown, what was shown of the work, and whether all is shown on one page

  const time = (minutes) => {
    const whole = Math.ceil(minutes);
    return whole < 60 ? whole + " min" : Math.floor(whole / 60) + " h " + String(whole % 60).padStart(2, "0") + " min";
  };

  // Of a step that is begun the boards that are cut count.
  function minutesLeft() {
    let left = 0;
    for (const step of steps) {
      if (isDone(step) || !step.dataset.minutes) continue;
      const boards = ticksOf(step).filter((one) => one.dataset.of === "board");
      left += Number(step.dataset.minutes) * (boards.length ? boards.filter((one) => !one.checked).length / boards.length : 1);
    }
    return left;
  }

  function told() {
    const done = steps.filter(isDone).length, left = minutesLeft(), number = steps.indexOf(now) + 1;
    const where = number ? "Step " + number + " of " + steps.length : done + " of " + steps.length + " steps done";
    at("place").textContent = where + (left ? " · " + time(left) + " left" : done === steps.length ? " · all done" : "");
    at("progress").max = steps.length;
    at("progress").value = done;
    const ticks = boxOf.has(now) ? ticksOf(now) : [], open = ticks.filter((one) => !one.checked), next = firstOpen();
    for (const tick of document.querySelectorAll(".next")) tick.classList.remove("next");
    let words = "Done", which = "";
    if (now === start) words = next === start ? "All done" : steps.some(isDone) ? "Go on" : "Begin";
    else if (now === safety) words = isDone(now) ? "Go on" : "I have read this";
    else if (!boxOf.has(now)) words = "Back to the work";
    else if (isDone(now)) words = "Done already: go on";
    else if (open.length) {
      open[0].parentElement.classList.add("next");
      open[0].parentElement.scrollIntoView({ block: "nearest" });
      which = "Next, " + (ticks.length - open.length + 1) + " of " + ticks.length + ": " + open[0].parentElement.textContent.trim();
    }
    at("done").textContent = words;
    at("which").textContent = which;
    at("back").hidden = at("forward").hidden = !order.includes(now);
    at("back").disabled = now === start;
    at("forward").disabled = now === order[order.length - 1];
    piece();
  }

  // The piece fills with colour as the steps of each drawer get done.
  function piece() {
    const all = {};
    for (const step of steps) {
      for (const name of step.dataset.drawers.split(" ").filter(Boolean)) {
        all[name] = all[name] || [0, 0];
        all[name][0] += isDone(step);
        all[name][1] += 1;
      }
    }
    for (const part of document.querySelectorAll("[data-drawer]")) {
      const [done, of] = all[part.dataset.drawer] || [0, 0], share = of ? done / of : 0;
      part.classList.toggle("finished", share === 1);
      part.style.setProperty("--share", share);
      const words = part.querySelector(".how-far");
      if (words) words.textContent = share === 1 ? "done ✓" : done ? done + " of " + of + " steps" : "to do";
    }
    const named = [...document.querySelectorAll(".drawers li")].map((one) => one.textContent.trim().replace(/\s+/g, " "));
    if (at("piece")) at("piece").setAttribute("aria-label", "The piece from the front: " + named.join(", "));
  }

  function show(part, focus) {
    shutMore();
    for (const one of document.querySelectorAll(".now")) one.classList.remove("now");
    for (let one = part; one !== document.body; one = one.parentElement) one.classList.add("now");
    root.classList.toggle("at-start", part === start);
    now = part;
    if (order.includes(now)) last = now;
    told();
    const warned = now.querySelector(".unread");
    if (warned) warned.hidden = isDone(safety);
    legible();
    scrolled();
    if (focus) {
      const heading = part.querySelector("h1, h2, h4");
      heading.tabIndex = -1;
      heading.focus({ preventScroll: true });
    }
  }

  function scrolled() { (now.closest("main") || now).scrollTop = 0; }

  function go(part) {
    location.hash = part.id;
    follow();
  }

  function step(by) { const next = order[order.indexOf(now) + by]; if (next && order.includes(now)) go(next); }

  function finish() {
    if (!order.includes(now)) { go(last); return; }
    if (now === start) { go(firstOpen()); return; }
    if (now === safety) store.set("safety", true);
    else if (!isDone(now)) {
      const open = ticksOf(now).filter((one) => !one.checked);
      if (open.length) tick(open[0], true);
      if (open.length > 1) { told(); at("said").textContent = at("which").textContent; return; }
      tick(boxOf.get(now), true);
    }
    at("said").textContent = "Done: " + nameOf(now);
    const later = order.slice(order.indexOf(now) + 1).find((part) => !isDone(part));
    go(later || firstOpen());
  }

  function tick(box, done) {
    box.checked = done;
    store.set(box.dataset.tick, done);
  }

  for (const box of document.querySelectorAll("input[data-tick]")) {
    box.checked = store.has(box.dataset.tick);
    box.addEventListener("change", () => {
      tick(box, box.checked);
      told();
    });
  }

  const LEAST_PX = 11; // of letters within a picture
  // What belongs to a step besides: more of it, which of its pictures is seen, whether the cautions were read.
  function shutMore() {
    for (const one of document.querySelectorAll(".step.open")) {
      one.classList.remove("open");
      for (const view of one.querySelectorAll("details.view[open]")) view.open = false;
    }
  }
  for (const one of steps) {
    const words = one.querySelector(".told"), more = one.querySelector(".more"), seen = one.querySelector(".seen");
    if (one.dataset.where === "machine") {
      const unread = node(words, "p", "", { class: "unread" });
      node(unread, "a", "Read the cautions first", { href: "#safety" });
      words.prepend(unread);
    }
    node(words, "button", "Not done after all", { type: "button", class: "undo" }).addEventListener("click", () => {
      for (const box of [boxOf.get(one), ...ticksOf(one)]) tick(box, false);
      show(one, true);
    });
    if (more) {
      const turn = node(words, "button", "More about this step", { type: "button", class: "turn" });
      const shut = node(more, "button", "Back to the step", { type: "button", class: "turn" });
      more.prepend(shut);
      turn.addEventListener("click", () => { one.classList.add("open"); legible(); scrolled(); shut.focus(); });
      shut.addEventListener("click", () => { shutMore(); scrolled(); turn.focus(); });
      const view = more.querySelector("details.view");
      if (view) {
        const watch = node(words, "button", "Watch the cutter move", { type: "button", class: "turn" });
        watch.addEventListener("click", () => { one.classList.add("open"); legible(); view.open = true; view.scrollIntoView(); view.querySelector("summary").focus(); });
      }
    }
    if (seen && seen.children.length > 1) tabbed(seen, [...seen.children], [...seen.children].map((own, n) => own.dataset.label || "Picture " + (n + 1)));
  }

  function tabbed(parent, shown, names) {
    const tabs = node(parent, "div", "", { class: "tabs", role: "group", "aria-label": "Which picture" });
    const pick = (place) => {
      shown.forEach((own, n) => { own.classList.toggle("hidden", n !== place); tabs.children[n].setAttribute("aria-pressed", n === place); });
      legible();
    };
    names.forEach((name, n) => node(tabs, "button", name, { type: "button" }).addEventListener("click", () => pick(n)));
    pick(0);
  }

  // A picture whose letters would be too small as a whole is shown in its parts, each by itself; one that has none moves sideways in its box.
  function legible() {
    for (const picture of now.querySelectorAll(".seen img[data-views], .more img[data-letters]")) {
      const figure = picture.closest("figure"), wide = Number(picture.getAttribute("width"));
      figure.classList.remove("in-parts", "scrolls");
      picture.style.width = "";
      const box = picture.getBoundingClientRect(), scale = Math.min(box.width / wide, box.height / Number(picture.getAttribute("height")));
      if (!box.width || scale * Number(picture.dataset.letters) >= LEAST_PX) continue;
      if (picture.dataset.views && !figure.querySelector(".parts")) inParts(figure, picture, wide);
      figure.classList.add(picture.dataset.views ? "in-parts" : "scrolls");
      if (!picture.dataset.views) picture.style.width = Math.ceil(wide * LEAST_PX / Number(picture.dataset.letters)) + "px";
    }
  }

  function inParts(figure, picture, wide) {
    const parts = node(figure, "div", "", { class: "parts" });
    const svg = decodeURIComponent(picture.src.slice(picture.src.indexOf(",") + 1));
    const [, unit] = /viewBox="0 0 ([\d.]+)/.exec(svg), scale = wide / Number(unit), names = [];
    for (const [name, box, letters] of JSON.parse(picture.dataset.views)) {
      const [w, h] = box.split(" ").slice(2).map((side) => Math.round(Number(side) * scale));
      const least = Math.ceil(w * LEAST_PX / (Number(letters) * scale));
      const link = node(parts, "a", "", { href: figure.querySelector("a").href, style: "flex:1 1 " + least + "px;max-width:" + Math.round(1.15 * w) + "px" });
      node(link, "img", "", {
        src: addressOf(svg.replace(/ width="[^"]*" height="[^"]*" viewBox="[^"]*"/, ' width="' + w + '" height="' + h + '" viewBox="' + box + '"')),
        alt: name + ": " + picture.alt, width: w, height: h, "data-letters": Number(letters) * scale,
      });
      enlarged(link);
      names.push(name);
    }
    if (names.length > 1 && figure.closest(".seen").querySelectorAll("figure").length === 1) tabbed(parts, [...parts.children], names);
  }

  // A picture is enlarged by a tap: at first as far as its smallest letters ask for.
  const large = at("large"), scene = large.querySelector(".body");
  const LETTERS_PX = 12;
  let scale = 1;
  function scaled(to) {
    const picture = scene.querySelector("img"), middle = [0.5, 0.5];
    if (scene.scrollWidth) { middle[0] = (scene.scrollLeft + scene.clientWidth / 2) / scene.scrollWidth; middle[1] = (scene.scrollTop + scene.clientHeight / 2) / scene.scrollHeight; }
    scale = Math.max(0.2, Math.min(8, to));
    picture.style.width = Number(picture.getAttribute("width")) * scale + "px";
    scene.scrollTo(middle[0] * scene.scrollWidth - scene.clientWidth / 2, middle[1] * scene.scrollHeight - scene.clientHeight / 2);
  }
  for (const link of document.querySelectorAll("figure > a")) enlarged(link);
  function enlarged(link) {
    link.setAttribute("role", "button");
    link.setAttribute("aria-label", "Enlarge: " + link.querySelector("img").alt);
    link.addEventListener("click", (event) => {
      event.preventDefault();
      const picture = link.querySelector("img").cloneNode();
      delete picture.dataset.key;
      delete picture.dataset.views;
      scene.replaceChildren(picture);
      large.showModal();
      const fit = Math.min(scene.clientWidth / Number(picture.getAttribute("width")), scene.clientHeight / Number(picture.getAttribute("height")));
      scaled(Math.max(fit, LETTERS_PX / Number(picture.dataset.letters || LETTERS_PX)));
      scene.scrollTo(0, 0);
      scene.focus();
    });
    link.addEventListener("keydown", (event) => { if (event.key === " ") { event.preventDefault(); link.click(); } });
  }
  at("larger").addEventListener("click", () => scaled(scale * 1.25));
  at("smaller").addEventListener("click", () => scaled(scale / 1.25));

  // The list of all steps, and what else there is to look up.
  const list = at("list");
  function listed() {
    const body = list.querySelector(".body");
    body.replaceChildren();
    const rows = (heading, parts) => {
      node(body, "h3", heading);
      const own = node(body, "ol", "");
      for (const part of parts) {
        const number = steps.indexOf(part) + 1, done = isDone(part);
        const link = node(node(own, "li", ""), "a", "", { href: "#" + part.id, class: done ? "done" : "" });
        node(link, "span", done ? "✓" : "", { class: "mark", "aria-hidden": "true" });
        node(link, "span", (number ? number + ". " : "") + nameOf(part) + (done ? ", done" : ""));
        if (part === now) link.setAttribute("aria-current", "step");
      }
    };
    rows("Before you begin", [start, safety]);
    for (const group of document.querySelectorAll("ol.steps")) {
      let before = group.previousElementSibling;
      while (before && before.tagName !== "H3") before = before.previousElementSibling;
      rows(before ? before.textContent : "Steps", [...group.children]);
    }
    rows("To look up", sections.filter((one) => one !== safety));
    const links = body.querySelector("ol:last-child");
    node(node(node(links, "li", ""), "a", "", { href: "#all" }), "span", "All on one page");
  }
  at("list-all").addEventListener("click", () => { listed(); list.showModal(); });
  list.addEventListener("click", (event) => { if (event.target.closest("a")) list.close(); });
  for (const shut of document.querySelectorAll("dialog .shut")) shut.addEventListener("click", () => shut.closest("dialog").close());

  at("back").addEventListener("click", () => step(-1));
  at("forward").addEventListener("click", () => step(1));
  at("done").addEventListener("click", finish);

  const busy = (event) => event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]") || !root.classList.contains("screen");
  document.addEventListener("keydown", (event) => {
    if (busy(event)) return;
    const own = event.target.closest("input[type=range], .turned"); // which has a use for arrows itself
    if (event.key === "ArrowRight" && !own) step(1);
    else if (event.key === "ArrowLeft" && !own) step(-1);
    else if (event.key === "Escape" && document.querySelector(".step.open")) { shutMore(); scrolled(); }
    else if (event.key === "Enter" && !event.target.closest("a, button, input, summary, label, .turned")) finish();
    else return;
    event.preventDefault();
  });

  const SWIPE_PX = 70;
  let touched = null;
  document.addEventListener("touchstart", (event) => {
    const still = event.touches.length === 1 && !event.target.closest("input[type=range], .turned, .scrolls, dialog, table");
    touched = still ? [event.touches[0].clientX, event.touches[0].clientY] : null;
  }, { passive: true });
  document.addEventListener("touchend", (event) => {
    if (!touched || busy(event)) return;
    const [x, y] = [event.changedTouches[0].clientX - touched[0], event.changedTouches[0].clientY - touched[1]];
    if (Math.abs(x) > SWIPE_PX && Math.abs(x) > 2 * Math.abs(y)) step(x < 0 ? 1 : -1);
    touched = null;
  }, { passive: true });

  // An address names what is shown; "#all" is the long form, in which one stays until "one step at a time" is chosen.
  function follow() {
    whole = !able || location.hash === "#all" || (whole && location.hash !== "#" + last.id);
    root.classList.toggle("screen", !whole);
    if (whole) return;
    const named = at(location.hash.slice(1));
    show((named && named.closest(".step, main > section, #start")) || last, true);
  }
  // An older browser that can not lay it out keeps the long form.
  const able = typeof HTMLDialogElement === "function" && CSS.supports("selector(:has(a))") && CSS.supports("height", "1cqh");
  addEventListener("resize", () => { if (!whole) legible(); });
  addEventListener("hashchange", () => { if (whole || location.hash !== "#" + now.id) follow(); });
  at("stepwise").hidden = !able;
  at("stepwise").addEventListener("click", (event) => { event.preventDefault(); go(last); });
  piece();
  if (!able || location.hash === "#all") whole = true;
  else {
    last = steps.some(isDone) || isDone(safety) ? firstOpen() : start;
    root.classList.add("screen");
    try { history.replaceState(null, "", "#" + last.id); } catch (refused) { /* the address stays */ }
    show(last, false);
  }

  // Paper shows what is folded away.
  const folded = document.querySelectorAll("details.folded");
  addEventListener("beforeprint", () => folded.forEach((one) => { one.dataset.was = one.open ? "1" : ""; one.open = true; }));
  addEventListener("afterprint", () => folded.forEach((one) => { one.open = !!one.dataset.was; }));


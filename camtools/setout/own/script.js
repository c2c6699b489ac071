"use strict";
// Sends what is typed, pressed and dragged, and puts the answer into the page without touching the field that is being typed in.
(() => {
  const page = document.body.dataset;
  const seen = new Map();
  const asked = new URLSearchParams(location.search);
  const at = { drawer: +asked.get("drawer") || 1, alone: asked.get("alone") || "" };
  const byId = id => document.getElementById(id);
  const say = words => { byId("message").textContent = words; };

  // What has not changed stays, so that focus, what is typed, and what is opened stay too.
  const alike = (one, other) => one.nodeName === other.nodeName && (one.id || "") === (other.id || "");
  const meet = (old, fresh) => {
    if (old.nodeType !== 1) { if (old.data !== fresh.data) old.data = fresh.data; return; }
    const held = old === document.activeElement && "value" in old && old.value !== old.defaultValue && old.nodeName === "INPUT";
    for (const { name } of [...old.attributes]) if (!fresh.hasAttribute(name) && !(name === "open" && old.nodeName === "DETAILS")) old.removeAttribute(name);
    for (const { name, value } of fresh.attributes) if (old.getAttribute(name) !== value) old.setAttribute(name, value);
    children(old, fresh);
    if (old.nodeName === "INPUT" && !held) { old.value = old.defaultValue; old.checked = old.defaultChecked; }
    if (old.nodeName === "SELECT") old.selectedIndex = Math.max(0, [...old.options].findIndex(one => one.defaultSelected));
  };
  const children = (old, fresh) => {
    let here = old.firstChild;
    for (const child of [...fresh.childNodes]) {
      if (here && !alike(here, child) && child.id) {
        let later = here.nextSibling;
        while (later && !alike(later, child)) later = later.nextSibling;
        while (later && here !== later) { const gone = here; here = here.nextSibling; gone.remove(); }
      }
      if (here && alike(here, child)) { meet(here, child); here = here.nextSibling; }
      else old.insertBefore(child, here);
    }
    while (here) { const gone = here; here = here.nextSibling; gone.remove(); }
  };

  const show = (answer, own) => {
    if (answer.revision < +page.revision) return;
    page.revision = answer.revision;
    page.news = answer.news;
    const typedIn = document.activeElement.id;
    const still = held(), top = still?.getBoundingClientRect().top;
    for (const [id, html] of Object.entries(answer.fragments)) {
      if (seen.get(id) === html) continue;
      seen.set(id, html);
      const fresh = document.createElement("template");
      fresh.innerHTML = html;
      children(byId(id), fresh.content);
    }
    if (typedIn && document.activeElement.id !== typedIn) byId(typedIn)?.focus({ preventScroll: true });
    if (own || answer.message) say(answer.message);
    if (byId("season")) slide();
    const there = still && byId(still.id);
    if (there?.getClientRects().length) scrollBy(0, there.getBoundingClientRect().top - top);
    uncover();
  };
  // What stays where it is seen while the sheet grows and shrinks: what is typed in or pressed, or else what is read.
  const held = () => {
    const own = document.activeElement.closest("main [id]"), box = own?.getBoundingClientRect();
    return box && box.bottom > 0 && box.top < innerHeight ? own : document.elementFromPoint(innerWidth / 2, innerHeight / 3)?.closest("main [id]");
  };
  // The title block lies over the sheet: the field that is typed in, with what is told of it, moves out from under it.
  const uncover = () => {
    const field = document.activeElement, line = field.closest("main .line");
    if (!line || field.nodeName === "BUTTON") return;
    const own = line.getBoundingClientRect(), block = document.querySelector("footer").getBoundingClientRect();
    const lowest = Math.max(field.getBoundingClientRect().bottom - block.top, Math.min(own.bottom - block.top, own.top - 16));
    if (lowest > -8 && own.right > block.left) scrollBy(0, lowest + 8);
  };
  let away = false;  // the page was put away: there is nobody to ask
  const putAway = () => {
    away = true;
    for (const control of document.querySelectorAll("button, input, select")) control.disabled = true;
  };
  const ask = async (what, body) => {
    if (away) return false;
    const mark = what.includes("?") ? "&" : "?";
    let answer, told;
    try {
      answer = await fetch(`${what}${mark}drawer=${at.drawer}&alone=${at.alone}`, body && {
        method: "POST", keepalive: true, headers: { "Content-Type": "application/json" }, body: JSON.stringify({ revision: +page.revision, ...body }) });
      if (answer.status === 204) return true;
      told = answer.headers.get("Content-Type").startsWith("application/json") && await answer.json();
    } catch {
      if (!away) say("camtools has stopped. What was done here until now is kept beside the job file; start it again to go on.");
      return false;
    }
    if (!told) { say("This was not taken."); return false; }
    show(told, Boolean(body));
    return answer.ok;
  };
  let line = Promise.resolve();
  const turn = task => { line = line.then(task, task); return line; };  // one after the other, each on what the last brought
  const reckon = () => ask(`reckoned?revision=${page.revision}`);
  const edit = one => turn(async () => {
    const key = one.key || document.activeElement.closest?.(".line")?.querySelector("[data-key]")?.dataset.key;
    const done = await ask("edit", { edits: [one] });
    if (document.activeElement === document.body && key) document.querySelector(`:is(input, select)[data-key="${CSS.escape(key)}"]`)?.focus();
    if (done) reckon();
    return done;
  });
  const post = (what, more) => turn(async () => {
    if (!await ask(what, more)) return;
    if (what === "close") putAway();
    else reckon();
  });
  const pick = (number, find) => turn(async () => {
    at.drawer = number;
    history.replaceState(null, "", `?drawer=${number}`);
    await ask("state?since=-1");
    if (!find) return;
    const found = byId(find) || document.querySelector(`[id^="${CSS.escape(find)}"]`);
    for (let fold = found?.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    found?.focus();
    found?.scrollIntoView({ block: "center" });
  });

  document.addEventListener("change", event => {
    const { key } = event.target.dataset;
    if (key) edit({ do: "write", key, typed: event.target.value });
    if (event.target.name === "scope") { at.alone = event.target.value; pick(at.drawer); }
  });
  document.addEventListener("click", event => {
    const pressed = event.target.closest("button, a");
    if (!pressed || pressed.disabled) return;
    const { drawer, find, edit: one, post: what, with: more, name, key, typed, do: act, pick: next } = pressed.dataset;
    if (drawer || find) { event.preventDefault(); pick(+drawer || at.drawer, find); }
    if (key) edit({ do: "write", key, typed });
    if (one) {
      const before = at.drawer;
      if (next) at.drawer = +next;
      edit(JSON.parse(one)).then(done => {
        if (!done) at.drawer = before;
        else if (next && pressed.textContent.match(/One more|Copy/)) { const field = document.querySelector("#drawer input"); field.focus(); field.select(); }
      });
    }
    if ("other" in pressed.dataset && byId(name).value === byId(name).defaultValue) {
      say("Write another name for the file first.");
      byId(name).select();
      return;
    }
    if (what) post(what, { ...JSON.parse(more || "{}"), ...(name && { name: byId(name).value }) });
    if (act) divide(act);
  });
  document.addEventListener("keydown", event => {
    const field = document.activeElement;
    if (event.key === "Escape" && field.dataset?.key && "defaultValue" in field) field.value = field.defaultValue;
    if (!(event.ctrlKey || event.metaKey)) return;
    const letter = event.key.toLowerCase();
    const typing = field.matches("input:not([type=range]):not([type=radio])") && field.value !== field.defaultValue;
    if (letter === "s") { event.preventDefault(); field.blur(); post("save", { name: byId("file-name").value }); }
    if (typing || !["z", "y"].includes(letter)) return;
    event.preventDefault();
    post(letter === "y" || event.shiftKey ? "redo" : "undo", {});
  });

  const divide = act => {
    const rows = [...document.querySelectorAll("#divide [data-row]")];
    const last = rows.at(-1);
    if (act === "fewer-rows" && rows.length > 1) last.remove();
    if (act === "more-rows") {
      const more = last.cloneNode(true), number = rows.length + 1;
      for (const own of more.querySelectorAll("[id]")) own.id = own.id.replace(/\d+$/, number);
      for (const own of more.querySelectorAll("[for]")) own.htmlFor = own.htmlFor.replace(/\d+$/, number);
      more.querySelector("label").textContent = `Row ${number}: height`;
      last.after(more);
      more.querySelector("input").focus();
    }
    if (act === "divide") {
      const typed = name => document.querySelector(`#divide [name=${name}]`).value;
      edit({ do: "divide", width: typed("width"), depth: typed("depth"), partition: typed("partition"),
        rows: rows.map(row => [row.querySelector("[name=height]").value, Math.round(+row.querySelector("[name=many]").value) || 1]) });
    }
  };

  // Grips: a drag is shown as it goes, and written when it is let go.
  const fraction = inches => {
    let parts = Math.round(inches * 64), of = 64;
    while (parts % 2 === 0 && of > 1) { parts /= 2; of /= 2; }
    const whole = Math.floor(parts / of), left = parts % of;
    return `${[whole || !left ? whole : "", left ? `${left}/${of}` : ""].filter(part => part !== "").join(" ")}"`;
  };
  const told = (grip, value) => grip.dataset.unit === "in" ? fraction(value) : `${+value.toFixed(1)}`;
  const field = grip => document.querySelector(`#joint [data-key$="${grip.dataset.key}"]`);
  const move = (grip, value) => {
    const by = (value - grip.dataset.value) * grip.dataset.px;
    grip.setAttribute("transform", grip.dataset.axis === "y" ? `translate(0 ${-by})` : `translate(${by} 0)`);
    grip.setAttribute("aria-valuetext", `${told(grip, value)} ${grip.dataset.unit === "in" ? "" : "mm"}`);
    grip.classList.add("moved");
    field(grip).value = told(grip, value);
    say(`${grip.getAttribute("aria-label")} ${grip.getAttribute("aria-valuetext")}`);
  };
  const write = (grip, value) => edit({ do: "write", key: field(grip).dataset.key, typed: told(grip, value) }).then(() => {
    grip.removeAttribute("transform");
    grip.classList.remove("moved");
  });
  document.addEventListener("pointerdown", event => {
    const grip = event.target.closest(".grip");
    if (!grip || event.button) return;
    event.preventDefault();
    grip.focus();
    grip.setPointerCapture(event.pointerId);
    const picture = grip.closest("svg"), along = grip.dataset.axis === "y" ? "clientY" : "clientX";
    const sense = (grip.dataset.axis === "y" ? -1 : 1) * picture.viewBox.baseVal.width / picture.getBoundingClientRect().width;
    const from = event[along];
    let value = +grip.dataset.value, moved = false;
    const follow = moving => {
      moved ||= Math.abs(moving[along] - from) > 2;
      value = Math.max(0, +grip.dataset.value + (moving[along] - from) * sense / grip.dataset.px);
      if (moved) move(grip, value);
    };
    const end = let_go => {
      for (const [name, task] of Object.entries({ pointermove: follow, pointerup: end, pointercancel: end })) grip.removeEventListener(name, task);
      if (let_go.type === "pointerup" && moved) write(grip, value);
      else { grip.removeAttribute("transform"); field(grip).value = field(grip).defaultValue; if (!moved) field(grip).select(); }
    };
    for (const [name, task] of Object.entries({ pointermove: follow, pointerup: end, pointercancel: end })) grip.addEventListener(name, task);
  });
  document.addEventListener("touchstart", event => { if (event.target.closest(".grip")) event.preventDefault(); }, { passive: false });  // no scrolling
  let pending;
  document.addEventListener("keydown", event => {
    const grip = document.activeElement.closest?.(".grip");
    const way = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1 }[event.key];
    if (!grip || !way) return;
    event.preventDefault();
    const step = (grip.dataset.unit === "in" ? 1 / 64 : 0.1) * (event.shiftKey ? 10 : 1);
    const value = Math.max(0, (pending?.grip === grip ? pending.value : +grip.dataset.value) + way * step);
    clearTimeout(pending?.timer);
    move(grip, value);
    pending = { grip, value, timer: setTimeout(() => { pending = undefined; write(grip, value); }, 350) };
  });

  // The year: the drawer's top moves under the case.
  const slide = () => {
    const step = +byId("season").value;
    for (const own of document.querySelectorAll("[data-gap]")) {
      const [percent, words, down] = JSON.parse(own.dataset.gap)[step];
      own.querySelector(".top").setAttribute("transform", `translate(0 ${down})`);
      own.querySelector("output").textContent = words;
      byId("moisture").textContent = `${percent} %`;
    }
  };
  document.addEventListener("focusin", event => { if (event.target.matches("input")) uncover(); });
  document.addEventListener("input", event => { if (event.target.id === "season") slide(); });

  addEventListener("pagehide", () => { if (document.activeElement.dataset?.key) document.activeElement.blur(); });  // what is being typed is sent
  let listening = false;
  setInterval(() => {
    if (document.hidden || listening) return;
    listening = true;
    turn(() => ask(`state?since=${page.news}`)).finally(() => { listening = false; });
  }, 1000);
  reckon();
})();

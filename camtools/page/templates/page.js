  const INK = "#1d1b16";
  const DENSE = { stop: 0.85, fence: 0.5, batten: 0.4, clamp: 0.3, plate: 0.25, bed: 0.25, backing: 0.4 }; // of what stands around
  const PARTS_OF_MM = 20; // corners of what is carved are whole twentieths
  const ROUND = 32; // sides of the cutter's drawn circle
  const LONGEST_PLAY_S = 40;
  const TURN_RAD = Math.PI / 12, ZOOM = 1.25; // a key's turn, and how much nearer a key brings a view
  const TURNS = { // by: round, up, nearer
    left: { keys: ["ArrowLeft"], by: [-1, 0, 0], sign: "\u25c0", told: "Seen further from the left" },
    right: { keys: ["ArrowRight"], by: [1, 0, 0], sign: "\u25b6", told: "Seen further from the right" },
    up: { keys: ["ArrowUp"], by: [0, 1, 0], sign: "\u25b2", told: "Seen further from above" },
    down: { keys: ["ArrowDown"], by: [0, -1, 0], sign: "\u25bc", told: "Seen further from below" },
    nearer: { keys: ["+", "="], by: [0, 0, 1], sign: "+", told: "Nearer" },
    further: { keys: ["-"], by: [0, 0, -1], sign: "\u2212", told: "Further away" },
    back: { keys: ["0", "Home"], by: [0, 0, 0], sign: "0", told: "As at first" },
  };

  let views = {};
  const data = (id) => views[id];

  // The library and what the views show are unpacked when the first view is opened.
  async function ready() {
    try {
      if (!document.createElement("canvas").getContext("webgl")) return false;
      if (typeof Plotly === "undefined") {
        const [library, told] = await Promise.all([unpacked("library"), unpacked("views")]);
        views = JSON.parse(told);
        const script = document.createElement("script");
        script.textContent = library;
        document.head.appendChild(script);
      }
      return typeof Plotly !== "undefined";
    } catch (refused) { return false; }
  }

  const minutes = (s) => Math.floor(s / 60) + ":" + String(Math.floor(s % 60)).padStart(2, "0");

  function standIn(stage, id) {
    node(stage, "p", "This browser can not draw in three dimensions; a picture stands in.");
    const picture = id && document.querySelector('img[data-key="' + id + '"]');
    if (picture) node(stage, "img", "", { src: picture.getAttribute("src"), alt: picture.alt, width: picture.getAttribute("width"), height: picture.getAttribute("height") });
    else node(stage, "p", "This packet was written without pictures.");
    stage.dataset.ready = "picture";
  }

  // To a screen reader a view is one thing with a name, turned by keys or by the buttons beneath it; what it is built of is hidden.
  function plotIn(stage) {
    const words = ", in three dimensions: arrow keys turn it, plus and minus bring it nearer and further, zero puts it back";
    const whole = node(stage, "div", "", { class: "turned", role: "application", tabindex: "0", "aria-label": stage.getAttribute("aria-label") + words });
    const plot = node(whole, "div", "", { class: "plot", "aria-hidden": "true" });
    const turns = node(stage, "div", "", { class: "turns", role: "group", "aria-label": "Turn the view" });
    const told = node(stage, "p", "", { class: "unseen", role: "status" });
    let home = null;
    function turn(name) {
      const [round, up, nearer] = TURNS[name].by;
      const eye = plot.layout.scene.camera.eye;
      home = home || { ...eye };
      const far = Math.hypot(eye.x, eye.y, eye.z), bound = 85 * Math.PI / 180;
      const angle = Math.atan2(eye.y, eye.x) + round * TURN_RAD;
      const high = Math.max(-bound, Math.min(bound, Math.asin(eye.z / far) + up * TURN_RAD));
      const away = Math.max(0.2, Math.min(12, far / ZOOM ** nearer));
      const to = name === "back" ? home : { x: away * Math.cos(high) * Math.cos(angle), y: away * Math.cos(high) * Math.sin(angle), z: away * Math.sin(high) };
      Plotly.relayout(plot, { "scene.camera.eye": to });
      told.textContent = TURNS[name].told;
    }
    for (const name in TURNS) node(turns, "button", TURNS[name].sign, { type: "button", "aria-label": TURNS[name].told, title: TURNS[name].told }).addEventListener("click", () => turn(name));
    whole.addEventListener("keydown", (event) => {
      const name = Object.keys(TURNS).find((one) => TURNS[one].keys.includes(event.key));
      if (!name || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      turn(name);
    });
    return plot;
  }

  function draw(plot, traces, view) {
    return Plotly.newPlot(plot, traces, view, { displaylogo: false, responsive: true, displayModeBar: false }).then(() => {
      document.getElementById("js-plotly-tester")?.setAttribute("aria-hidden", "true");
    });
  }

  function corners(low, high) {
    const at = [];
    for (let i = 0; i < 8; i++) at.push([i & 1 ? high[0] : low[0], i & 2 ? high[1] : low[1], i & 4 ? high[2] : low[2]]);
    return at;
  }

  function box(low, high, colour, opacity, name) {
    const at = corners(low, high);
    return {
      type: "mesh3d", x: at.map((p) => p[0]), y: at.map((p) => p[1]), z: at.map((p) => p[2]), color: colour, opacity, name,
      hoverinfo: "skip", flatshading: true, showlegend: true,
      i: [0, 0, 4, 4, 0, 0, 2, 2, 0, 0, 1, 1], j: [2, 3, 5, 7, 1, 5, 6, 7, 4, 6, 3, 7], k: [3, 1, 7, 6, 5, 4, 7, 3, 6, 2, 7, 5],
    };
  }

  function frame(low, high, colour) {
    const at = corners(low, high), x = [], y = [], z = [];
    for (const [a, b] of [[0, 1], [1, 3], [3, 2], [2, 0], [4, 5], [5, 7], [7, 6], [6, 4], [0, 4], [1, 5], [2, 6], [3, 7]]) {
      for (const p of [at[a], at[b], [null, null, null]]) { x.push(p[0]); y.push(p[1]); z.push(p[2]); }
    }
    return { type: "scatter3d", mode: "lines", x, y, z, line: { color: colour, width: 3 }, hoverinfo: "skip", showlegend: false };
  }

  function labels(things) {
    const along = (thing, axis, part) => thing.low[axis] + (thing.high[axis] - thing.low[axis]) * part;
    return {
      type: "scatter3d", mode: "text", x: things.map((one) => along(one, 0, one.name === "board" ? 0.5 : 0.12)), y: things.map((one) => along(one, 1, 0.5)), z: things.map((one) => one.high[2]),
      text: things.map((one) => one.name), textposition: "top center", textfont: { size: 13, color: INK }, hoverinfo: "skip", showlegend: false,
    };
  }

  // Wood as it was carved, in the program's units; triangles from one on.
  function wood(mesh, colour, name, view, shift, from) {
    const part = (view.unit === "in" ? 1 / 25.4 : 1) / PARTS_OF_MM;
    const axis = (n, add) => mesh.v.filter((_, i) => i % 3 === n).map((v) => (v + add) * part);
    return {
      type: "mesh3d", x: axis(0, shift), y: axis(1, 0), z: axis(2, 0), ...triangles(mesh, from), color: colour, name,
      flatshading: true, hoverinfo: "skip", showlegend: true, lighting: { ambient: 0.65, diffuse: 0.5, specular: 0.05, facenormalsepsilon: 0 },
    };
  }

  function triangles(mesh, from) {
    const faces = { i: [], j: [], k: [] };
    for (let n = 3 * from; n < mesh.t.length; n++) faces["ijk"[n % 3]].push(mesh.t[n]);
    return faces;
  }

  // A body of revolution about the tip.
  function cutterBody(profile) {
    const x = [], y = [], z = [], i = [], j = [], k = [];
    for (const [radius, height] of profile) {
      for (let n = 0; n < ROUND; n++) {
        const angle = 2 * Math.PI * n / ROUND;
        x.push(radius * Math.cos(angle)); y.push(radius * Math.sin(angle)); z.push(height);
      }
    }
    for (let row = 0; row + 1 < profile.length; row++) {
      for (let n = 0; n < ROUND; n++) {
        const a = row * ROUND + n, b = row * ROUND + (n + 1) % ROUND;
        i.push(a, b); j.push(b, b + ROUND); k.push(a + ROUND, a + ROUND);
      }
    }
    return { x, y, z, i, j, k };
  }

  // A long thing on a narrow screen is looked at from further off, so that its ends are seen.
  function eyeFor(traces, plot, eye) {
    const spans = ["x", "y", "z"].map((axis) => {
      let low = Infinity, high = -Infinity;
      for (const trace of traces) for (const v of trace[axis]) if (v !== null) { low = Math.min(low, v); high = Math.max(high, v); }
      return Math.max(high - low, 1e-3);
    });
    const longest = Math.max(...spans) / Math.cbrt(spans[0] * spans[1] * spans[2]);
    const far = Math.max(1, 0.75 * longest * plot.clientHeight / plot.clientWidth);
    return { x: eye.x * far, y: eye.y * far, z: eye.z * far };
  }

  // Room for all that is drawn and wherever the cutter goes, so that nothing jumps as it moves.
  function rooms(traces, view, body) {
    return ["x", "y", "z"].map((axis) => {
      let low = Infinity, high = -Infinity;
      const widen = (values, less, more) => { for (const v of values) if (v !== null) { low = Math.min(low, v + less); high = Math.max(high, v + more); } };
      for (const trace of traces) widen(trace[axis], 0, 0);
      if (body) widen(view[axis], Math.min(...body[axis]), Math.max(...body[axis]));
      return [low, high];
    });
  }

  function layout(eye, visible, room) {
    const axis = (text, n) => ({ ...(room ? { range: room[n], autorange: false } : {}), title: { text }, visible, nticks: 6, showspikes: false, backgroundcolor: "#fff", gridcolor: "#ddd", color: "#444" });
    return {
      margin: { l: 0, r: 0, t: 0, b: 0 }, paper_bgcolor: "#fff", showlegend: true, legend: { orientation: "h", y: 0, itemclick: "toggle" },
      hoverlabel: { bgcolor: "#fff", font: { color: INK } },
      scene: { aspectmode: "data", dragmode: "turntable", camera: { eye, center: { x: 0, y: 0, z: -0.1 }, up: { x: 0, y: 0, z: 1 } }, xaxis: axis("X", 0), yaxis: axis("Y", 1), zaxis: axis("Z", 2) },
    };
  }

  function slider(parent, words, most, step) {
    const label = node(parent, "label", words);
    return node(label, "input", "", { type: "range", min: 0, max: most, step, value: 0 });
  }

  const DIGITS = { mm: 2, in: 3 }; // of lengths, by unit

  // By kind of move, in the colours of the pictures.
  const PENS = [
    { name: "rapid", color: "#5a5a5a", width: 3, dash: "dash" }, { name: "feed in air", color: "#b34700", width: 3, dash: "dot" },
    { name: "feed in wood", color: "#00367a", width: 5 },
  ];

  // Lines of one kind of move, with places along the long ones for the pointer to find.
  function paths(view) {
    const found = PENS.map(() => ({ x: [], y: [], z: [], text: [] }));
    const spans = ["x", "y", "z"].map((axis) => Math.max(...view[axis]) - Math.min(...view[axis]));
    const apart = Math.max(...spans) / 40 || 1;
    for (let n = 1; n < view.x.length; n++) {
      const path = found[view.kind[n]];
      const from = [view.x[n - 1], view.y[n - 1], view.z[n - 1]], to = [view.x[n], view.y[n], view.z[n]];
      const told = "line " + view.line[n] + "<br>" + (view.feed[n] ? "feed " + view.feed[n] + " " + view.unit + "/min" : "rapid") + "<br>length " + view.length[n].toFixed(DIGITS[view.unit]) + " " + view.unit;
      if (n === 1 || view.kind[n - 1] !== view.kind[n]) {
        for (const [axis, i] of [["x", 0], ["y", 1], ["z", 2]]) path[axis].push(null, from[i]);
        path.text.push("", told);
      }
      const pieces = Math.max(1, Math.ceil(Math.hypot(to[0] - from[0], to[1] - from[1], to[2] - from[2]) / apart));
      for (let piece = 1; piece <= pieces; piece++) {
        const part = piece / pieces;
        path.x.push(from[0] + (to[0] - from[0]) * part); path.y.push(from[1] + (to[1] - from[1]) * part); path.z.push(from[2] + (to[2] - from[2]) * part);
        path.text.push(told);
      }
    }
    return found;
  }

  function motionView(stage, view) {
    const plot = plotIn(stage);
    const last = view.x.length - 1, whole = view.time[last];
    const controls = node(stage, "div", "", { class: "controls" });
    const play = node(controls, "button", "Play", { type: "button" });
    const bar = slider(controls, "Time along the program", whole || 1, "any");
    const readout = node(stage, "p", "", { class: "readout" });
    const traces = [];
    const style = data("style"), chips = view.carved && data(view.carved.chips);
    if (chips) {
      traces.push(wood(chips, style.chips, "to be cut", view, view.carved.shift, 0));
      traces.push(wood(view.carved.stays, style.wood, "board", view, 0, 0));
    } else if (view.board) traces.push(box(view.board.low, view.board.high, style.wood, 0.45, "board"), frame(view.board.low, view.board.high, INK));
    for (const thing of view.around) {
      const colour = style.things[thing.name] || style.things.plate;
      traces.push(box(thing.low, thing.high, colour, DENSE[thing.name] || DENSE.plate, thing.name), frame(thing.low, thing.high, colour));
    }
    traces.push(labels(view.board ? [view.board, ...view.around] : view.around));
    paths(view).forEach((path, kind) => traces.push({ type: "scatter3d", mode: "lines", ...path, hoverinfo: "text", line: PENS[kind], name: PENS[kind].name }));
    const bodies = {};
    for (const number in view.cutters) bodies[number] = cutterBody(view.cutters[number]);
    const first = bodies[view.tool[last]] || Object.values(bodies)[0];
    const place = traces.length;
    if (first) traces.push({ type: "mesh3d", ...first, color: style.cutter, flatshading: true, name: "cutter", hoverinfo: "skip", showlegend: true });

    let cut = 0; // chips that are gone
    function carve(now) {
      const gone = view.carved.gone.filter((when) => when <= now + 0.005).length;
      if (gone === cut) return;
      cut = gone;
      const { i, j, k } = triangles(chips, gone < chips.from.length ? chips.from[gone] : chips.t.length / 3);
      Plotly.restyle(plot, { i: [i], j: [j], k: [k] }, [0]);
      stage.dataset.gone = gone;
    }

    function show() {
      const now = Number(bar.value);
      if (chips) carve(now);
      let low = Math.min(1, last), high = last; // the first place that is not before now
      while (low < high) {
        const middle = (low + high) >> 1;
        if (view.time[middle] >= now) high = middle; else low = middle + 1;
      }
      const n = low, before = Math.max(0, n - 1), span = view.time[n] - view.time[before];
      const part = span > 0 ? Math.min(1, Math.max(0, (now - view.time[before]) / span)) : 1;
      const tip = ["x", "y", "z"].map((axis) => view[axis][before] + (view[axis][n] - view[axis][before]) * part);
      const body = bodies[view.tool[n]] || first;
      if (body) Plotly.restyle(plot, { x: [body.x.map((v) => v + tip[0])], y: [body.y.map((v) => v + tip[1])], z: [body.z.map((v) => v + tip[2])] }, [place]);
      const told = minutes(now) + " of " + minutes(whole) + " of motion";
      const where = "tip at " + ["X", "Y", "Z"].map((name, i) => name + " " + tip[i].toFixed(DIGITS[view.unit])).join(" ");
      bar.setAttribute("aria-valuetext", told + ", " + where + ", line " + view.line[n]);
      readout.textContent = "";
      node(readout, "span", told + ", " + where + ", cutter " + view.tool[n]);
      node(readout, "code", "line " + view.line[n] + ":  " + (view.text[view.line[n]] || ""));
      stage.dataset.tip = tip.map((v) => v.toFixed(3)).join(" ");
    }

    let playing = 0;
    function stop() {
      cancelAnimationFrame(playing);
      playing = 0;
      play.textContent = "Play";
    }
    play.addEventListener("click", () => {
      if (playing) { stop(); return; }
      const pace = Math.max(1, whole / LONGEST_PLAY_S);
      if (Number(bar.value) >= whole) bar.value = 0;
      let then = performance.now();
      play.textContent = "Pause";
      const go = (now) => {
        bar.value = Math.min(whole, Number(bar.value) + pace * (now - then) / 1000);
        then = now;
        show();
        if (Number(bar.value) < whole && plot.isConnected) playing = requestAnimationFrame(go); else stop();
      };
      playing = requestAnimationFrame(go);
    });
    draw(plot, traces, layout(eyeFor(traces, plot, { x: -0.8, y: -1.4, z: 1.05 }), true, rooms(traces.slice(0, place), view, first))).then(() => {
      if (!plot.isConnected) return; // shut again in the meantime
      bar.addEventListener("input", () => { if (playing) stop(); show(); });
      show();
      stage.dataset.ready = "view";
    });
  }

  const TONES = { front: "#b98f52", back: "#a67f47", left: "#e3c999", right: "#e3c999", bottom: "#cfd6cc" };
  function drawerView(stage, drawer) {
    const plot = plotIn(stage);
    const bar = slider(node(stage, "div", "", { class: "controls" }), "Pull the joints apart", drawer.apart, drawer.apart / 200);
    const readout = node(stage, "p", "", { class: "readout" });
    const traces = [], moving = [];
    for (const part of ["front", "back", "bottom", "left", "right"]) {
      const board = data(drawer.boards[part]), rows = drawer.frames[part];
      const mapped = [[], [], []];
      for (let n = 0; n < board.v.length; n += 3) {
        rows.forEach((row, axis) => mapped[axis].push(row[0] * board.v[n] + row[1] * board.v[n + 1] + row[2] * board.v[n + 2] + row[3]));
      }
      const faces = [[], [], []];
      board.t.forEach((corner, n) => faces[n % 3].push(corner));
      const edges = [[], [], []];
      for (let n = 0; n < board.e.length; n += 2) {
        edges.forEach((line, axis) => line.push(mapped[axis][board.e[n]], mapped[axis][board.e[n + 1]], null));
      }
      const way = part === "left" ? -1 : part === "right" ? 1 : 0;
      if (way) moving.push([traces.length, way, mapped[0]], [traces.length + 1, way, edges[0]]);
      traces.push({
        type: "mesh3d", x: mapped[0], y: mapped[1], z: mapped[2], i: faces[0], j: faces[1], k: faces[2], color: TONES[part], flatshading: true,
        name: part, hoverinfo: "name", showlegend: true, lighting: { ambient: 0.65, diffuse: 0.6, specular: 0.05 },
      });
      traces.push({ type: "scatter3d", mode: "lines", x: edges[0], y: edges[1], z: edges[2], line: { color: INK, width: 2 }, hoverinfo: "skip", showlegend: false });
    }
    function show() {
      const apart = Number(bar.value);
      Plotly.restyle(plot, { x: moving.map(([, way, x]) => x.map((v) => v === null ? null : v + way * apart)) }, moving.map(([place]) => place));
      readout.textContent = apart ? "Sides " + (drawer.unit === "in" ? (apart / 25.4).toFixed(3) + " in" : apart.toFixed(1) + " mm") + " from home" : "Pushed home";
      bar.setAttribute("aria-valuetext", readout.textContent);
      stage.dataset.apart = apart.toFixed(2);
    }
    draw(plot, traces, layout(eyeFor(traces, plot, { x: -1.15, y: -1.5, z: 1.0 }), false)).then(() => {
      if (!plot.isConnected) return; // shut again in the meantime
      bar.addEventListener("input", show);
      show();
      stage.dataset.ready = "view";
    });
  }

  for (const details of document.querySelectorAll("details.view")) {
    const stage = details.querySelector(".stage"), { of, key, standIn: picture } = details.dataset;
    details.addEventListener("toggle", async () => {
      if (details.open && !stage.childElementCount) {
        const drawn = await ready();
        if (!details.open || stage.childElementCount) return; // shut again in the meantime
        if (!drawn) standIn(stage, picture);
        else if (of === "motion") motionView(stage, data("motion-" + key));
        else drawerView(stage, data("drawer-" + key));
      } else if (!details.open && stage.childElementCount) { // a browser can hold but few views at a time
        for (const plot of stage.querySelectorAll(".plot")) Plotly.purge(plot);
        stage.replaceChildren();
        delete stage.dataset.ready;
      }
    });
  }

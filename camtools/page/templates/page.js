"use strict";
(() => {
  const views = JSON.parse(document.getElementById("views").textContent);
  const prefix = "camtools " + document.body.dataset.job + " ";

  // Ticks stay ticked. Some browsers keep no store for a page from disk; then they last until it is closed.
  for (const box of document.querySelectorAll("input[data-tick]")) {
    const key = prefix + box.dataset.tick;
    try { box.checked = localStorage.getItem(key) === "1"; } catch (refused) { /* no store */ }
    box.addEventListener("change", () => {
      try {
        if (box.checked) localStorage.setItem(key, "1"); else localStorage.removeItem(key);
      } catch (refused) { /* no store */ }
    });
  }

  const drawable = (() => {
    try { return typeof Plotly !== "undefined" && !!document.createElement("canvas").getContext("webgl"); } catch (refused) { return false; }
  })();
  const ink = "#1d1b16";
  const clockText = (s) => Math.floor(s / 60) + ":" + String(Math.floor(s % 60)).padStart(2, "0");

  function node(parent, name, text, attributes) {
    const made = document.createElement(name);
    if (text) made.textContent = text;
    for (const key in attributes || {}) made.setAttribute(key, attributes[key]);
    parent.appendChild(made);
    return made;
  }

  function standIn(stage, picture, words) {
    node(stage, "p", "This browser can not draw in three dimensions; the picture stands in.");
    if (picture) node(stage, "img", "", { src: picture, alt: words });
  }

  function box(low, high, colour, opacity, name) {
    const x = [], y = [], z = [];
    for (let i = 0; i < 8; i++) {
      x.push(i & 1 ? high[0] : low[0]); y.push(i & 2 ? high[1] : low[1]); z.push(i & 4 ? high[2] : low[2]);
    }
    return {
      type: "mesh3d", x, y, z, color: colour, opacity, name, hoverinfo: "name", flatshading: true, showlegend: true,
      i: [0, 0, 4, 4, 0, 0, 2, 2, 0, 0, 1, 1], j: [2, 3, 5, 7, 1, 5, 6, 7, 4, 6, 3, 7], k: [3, 1, 7, 6, 5, 4, 7, 3, 6, 2, 7, 5],
    };
  }

  function frame(low, high, colour) {
    const c = (i) => [i & 1 ? high[0] : low[0], i & 2 ? high[1] : low[1], i & 4 ? high[2] : low[2]];
    const x = [], y = [], z = [];
    for (const [a, b] of [[0, 1], [1, 3], [3, 2], [2, 0], [4, 5], [5, 7], [7, 6], [6, 4], [0, 4], [1, 5], [2, 6], [3, 7]]) {
      for (const p of [c(a), c(b), [null, null, null]]) { x.push(p[0]); y.push(p[1]); z.push(p[2]); }
    }
    return { type: "scatter3d", mode: "lines", x, y, z, line: { color: colour, width: 3 }, hoverinfo: "skip", showlegend: false };
  }

  // The cutter as a body of revolution about the tip.
  const ROUND = 32;
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

  const layout = (eye) => ({
    margin: { l: 0, r: 0, t: 0, b: 0 }, paper_bgcolor: "#fff", showlegend: true, legend: { orientation: "h", y: 0 },
    scene: { aspectmode: "data", camera: { eye, up: { x: 0, y: 0, z: 1 } }, xaxis: { title: { text: "X" } }, yaxis: { title: { text: "Y" } }, zaxis: { title: { text: "Z" } } },
  });
  const options = { displaylogo: false, responsive: true, displayModeBar: false };

  function control(stage, words, most, step) {
    const label = node(stage, "label", words);
    const slider = node(label, "input", "", { type: "range", min: 0, max: most, step, value: 0 });
    return slider;
  }

  function motionView(stage, data) {
    const plot = node(stage, "div", "", { class: "plot" });
    const slider = control(stage, "Time along the program", data.time[data.time.length - 1] || 1, "any");
    const readout = node(stage, "p", "", { class: "readout", "aria-live": "polite" });
    const traces = [];
    if (data.board) traces.push(box(data.board.low, data.board.high, "#d9b77e", 0.5, "board"), frame(data.board.low, data.board.high, ink));
    for (const thing of data.around) {
      traces.push(box(thing.low, thing.high, thing.name === "backing" ? "#b9a888" : "#6f7780", 0.18, thing.name), frame(thing.low, thing.high, "#6f7780"));
    }
    // A line takes the colour of the move that ends at its second place; a gap parts one kind from the other.
    const paths = [{ x: [], y: [], z: [], d: [] }, { x: [], y: [], z: [], d: [] }];
    for (let n = 1; n < data.x.length; n++) {
      const path = paths[data.kind[n]];
      if (n === 1 || data.kind[n - 1] !== data.kind[n]) {
        path.x.push(null, data.x[n - 1]); path.y.push(null, data.y[n - 1]); path.z.push(null, data.z[n - 1]); path.d.push("", "");
      }
      path.x.push(data.x[n]); path.y.push(data.y[n]); path.z.push(data.z[n]);
      path.d.push("line " + data.line[n] + ": " + data.length[n].toFixed(2) + " mm" + (data.feed[n] ? " at " + data.feed[n] + " mm/min" : ", rapid"));
    }
    const pens = [{ color: "#8c1c13", width: 3, dash: "dash" }, { color: "#14386b", width: 5 }];
    paths.forEach((path, kind) => traces.push({
      type: "scatter3d", mode: "lines", x: path.x, y: path.y, z: path.z, text: path.d, hoverinfo: "text", line: pens[kind], name: kind ? "feed" : "rapid",
    }));
    const bodies = {};
    for (const number in data.cutters) bodies[number] = cutterBody(data.cutters[number]);
    const first = bodies[data.tool[data.tool.length - 1]] || Object.values(bodies)[0];
    const place = traces.length;
    if (first) traces.push({ type: "mesh3d", ...first, color: "#c9ced3", flatshading: true, name: "cutter", hoverinfo: "skip", showlegend: true });
    const count = data.x.length;
    function show() {
      const now = Number(slider.value);
      let n = 1;
      for (let low = 1, high = count - 1; low <= high;) {
        const middle = (low + high) >> 1;
        if (data.time[middle] >= now) { n = middle; high = middle - 1; } else low = middle + 1;
        if (low > high && data.time[n] < now) n = count - 1;
      }
      const span = data.time[n] - data.time[n - 1];
      const part = span > 0 ? Math.min(1, Math.max(0, (now - data.time[n - 1]) / span)) : 1;
      const at = (axis) => data[axis][n - 1] + (data[axis][n] - data[axis][n - 1]) * part;
      const tip = [at("x"), at("y"), at("z")];
      const body = bodies[data.tool[n]] || first;
      if (body) Plotly.restyle(plot, {
        x: [body.x.map((v) => v + tip[0])], y: [body.y.map((v) => v + tip[1])], z: [body.z.map((v) => v + tip[2])],
      }, [place]);
      readout.textContent = "";
      node(readout, "span", clockText(now) + " of " + clockText(data.time[count - 1]) + ", tip at X " + tip[0].toFixed(2) + " Y " + tip[1].toFixed(2) + " Z " + tip[2].toFixed(2) + ". Line " + data.line[n] + ": ");
      node(readout, "code", data.text[data.line[n]] || "");
      stage.dataset.tip = tip.map((v) => v.toFixed(3)).join(" ");
    }
    Plotly.newPlot(plot, traces, layout({ x: -1.0, y: -1.8, z: 1.3 }), options).then(() => {
      slider.addEventListener("input", show);
      show();
      stage.dataset.ready = "1";
    });
  }

  const TONES = { front: "#b98f52", back: "#a67f47", left: "#e3c999", right: "#e3c999", bottom: "#cfd6cc" };
  function drawerView(stage, drawer) {
    const plot = node(stage, "div", "", { class: "plot" });
    const most = 3 * drawer.side;
    const slider = control(stage, "Pull the joints apart", most, most / 200);
    const readout = node(stage, "p", "", { class: "readout", "aria-live": "polite" });
    const traces = [], moving = [];
    for (const part of ["front", "back", "bottom", "left", "right"]) {
      const board = views.boards[drawer.parts[part]], frame_ = drawer.frames[part];
      const mapped = [[], [], []];
      for (let n = 0; n < board.v.length; n += 3) {
        for (let axis = 0; axis < 3; axis++) {
          const row = frame_[axis];
          mapped[axis].push(row[0] * board.v[n] + row[1] * board.v[n + 1] + row[2] * board.v[n + 2] + row[3]);
        }
      }
      const i = [], j = [], k = [];
      for (let n = 0; n < board.t.length; n += 3) { i.push(board.t[n]); j.push(board.t[n + 1]); k.push(board.t[n + 2]); }
      const x = [], y = [], z = [];
      for (let n = 0; n < board.e.length; n += 2) {
        for (const corner of [board.e[n], board.e[n + 1]]) { x.push(mapped[0][corner]); y.push(mapped[1][corner]); z.push(mapped[2][corner]); }
        x.push(null); y.push(null); z.push(null);
      }
      const way = part === "left" ? -1 : part === "right" ? 1 : 0;
      if (way) moving.push([traces.length, way, mapped[0]], [traces.length + 1, way, x]);
      traces.push({ type: "mesh3d", x: mapped[0], y: mapped[1], z: mapped[2], i, j, k, color: TONES[part], flatshading: true, name: part, hoverinfo: "name", showlegend: true, lighting: { ambient: 0.65, diffuse: 0.6, specular: 0.05 } });
      traces.push({ type: "scatter3d", mode: "lines", x, y, z, line: { color: ink, width: 2 }, hoverinfo: "skip", showlegend: false });
    }
    function show() {
      const apart = Number(slider.value);
      Plotly.restyle(plot, { x: moving.map(([, way, x]) => x.map((v) => v === null ? null : v + way * apart)) }, moving.map(([place]) => place));
      readout.textContent = apart ? "Sides " + apart.toFixed(1) + " mm from home" : "Pushed home";
      stage.dataset.apart = apart.toFixed(2);
    }
    Plotly.newPlot(plot, traces, layout({ x: -1.3, y: -1.7, z: 1.1 }), options).then(() => {
      slider.addEventListener("input", show);
      show();
      stage.dataset.ready = "1";
    });
  }

  for (const details of document.querySelectorAll("details.view")) {
    details.addEventListener("toggle", () => {
      const stage = details.querySelector(".stage");
      if (!details.open || stage.childElementCount) return;
      const motion = details.dataset.view, id = details.dataset.drawer;
      if (!drawable) standIn(stage, motion ? views.pictures[motion] : views.drawers[id].picture, details.querySelector("summary").textContent);
      else if (motion) motionView(stage, views.motions[motion]);
      else drawerView(stage, views.drawers[id]);
    });
  }
})();

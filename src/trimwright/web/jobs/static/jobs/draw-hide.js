// A hide drawn on its photo with one finger: a length for the scale, the outline, flaws, zones. What is drawn stands as
// points in the form's own field, as it may be typed; the photo stays in the browser.
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const MOST_PX = 2400, NUDGE_MM = 5, BARE_MM = [2600, 2200];
  const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  const { HideLines } = window;

  const place = document.querySelector("[data-hide]");
  if (!place) return;
  place.hidden = false;
  const field = document.getElementById("hide-text"), words = place.dataset;
  const svg = place.querySelector("svg"), find = (name) => place.querySelector(`[data-${name}]`);
  const image = svg.appendChild(document.createElementNS(SVG, "image"));
  const drawn = svg.appendChild(document.createElementNS(SVG, "g"));

  let lines = HideLines.read(field.value), length = [], open = null, chosen = null;
  let mode = "outline", photo = null, per = 1, isScaled = false, done = [], undone = [];

  // ---- what is drawn ----

  const state = () => JSON.stringify({ lines, length, open, per, isScaled });

  const restore = (kept) => {
    const before = per;
    ({ lines, length, open, per, isScaled } = JSON.parse(kept));
    chosen = null;
    show(before !== per);
  };

  const change = (make) => {
    done.push(state());
    undone = [];
    const before = per;
    make();
    show(before !== per);
  };

  const mm = (name) => {
    const value = Number(find(name).value.trim().replace(",", "."));
    return Number.isFinite(value) && value > 0 ? value : 0;
  };

  // All lengths by the one that is known.
  const scale = () => {
    const long = mm("long");
    if (length.length < 2 || !long) return;
    const by = long / (Math.hypot(length[1][0] - length[0][0], length[1][1] - length[0][1]) || long);
    lines = HideLines.scaled(lines, by);
    length = length.map(([x, y]) => [x * by, y * by]);
    per *= by;
    isScaled = true;
  };

  const point = (to) => {
    const outline = lines.findIndex((each) => each.kind === "outline");
    if (mode === "scale") {
      length = length.length > 1 ? [to] : [...length, to];
      return scale();
    }
    if (open !== null && lines[open].kind === mode) lines[open].points.push(to);
    else if (mode === "outline" && outline >= 0) {
      const { points } = lines[outline];
      points.splice(HideLines.edge(points, to) + 1, 0, to);
    } else {
      lines.push({ kind: mode, name: mode === "zone" ? find("zone").value.trim().toLowerCase() : "", points: [to], across: mm("across") || 40 });
      open = lines.length - 1;
    }
  };

  const pointsOf = (line) => (line < 0 ? length : lines[line].points);

  // Only what is being drawn can be taken hold of, so that a zone may run close by the edge.
  const inHand = () => (mode === "scale" ? [-1] : [...lines.keys()].filter((at) => lines[at].kind === mode));

  const takeOut = (line) => {
    lines.splice(line, 1);
    open = open === line ? null : open - (open !== null && open > line ? 1 : 0);
    chosen = null;
  };

  // ---- the picture ----

  const element = (name, look, attributes) => {
    const made = document.createElementNS(SVG, name);
    made.setAttribute("class", look);
    for (const [each, value] of Object.entries(attributes)) made.setAttribute(each, value);
    return made;
  };

  const shapes = (line, at) => {
    const { kind, points, across } = line;
    if (kind === "flaw" && points.length === 1) return [element("circle", "spot", { cx: points[0][0], cy: -points[0][1], r: across / 2 })];
    const way = points.map(([x, y]) => `${x} ${-y}`).join("L");
    return [element("path", `of-${kind}${at === open ? " open" : ""}`, { d: `M${way}${at === open ? "" : "Z"}` })];
  };

  const draw = () => {
    const px = board?.mm ?? 1;
    const handles = inHand().flatMap((line) => pointsOf(line).map(([x, y], at) => {
      const isChosen = chosen?.line === line && chosen.at === at;
      return element("circle", `handle${line === open && at === 0 ? " corner" : ""}${isChosen ? " chosen" : ""}`, { cx: x, cy: -y, r: (isChosen ? 10 : 7) * px });
    }));
    const ruled = length.length > 1 ? [element("path", "of-scale", { d: `M${length.map(([x, y]) => `${x} ${-y}`).join("L")}` })] : [];
    drawn.replaceChildren(...lines.flatMap(shapes), ...ruled, ...handles);
  };

  const tell = () => {
    for (const each of place.querySelectorAll("[data-draw]")) each.setAttribute("aria-pressed", each.dataset.draw === mode);
    for (const each of place.querySelectorAll("[data-of]")) each.hidden = each.dataset.of !== mode;
    const say = { scale: words.sayScale, outline: words.sayOutline, flaw: words.sayFlaw, zone: words.sayZone }[mode];
    find("say").textContent = photo && !isScaled && mode !== "scale" ? words.sayFirst : say;
    find("undo").disabled = !done.length;
    find("redo").disabled = !undone.length;
    find("end").disabled = open === null;
    find("gone").disabled = !chosen;
    place.querySelector(".drawn-lines").replaceChildren(...lines.map((line, at) => {
      const row = document.createElement("li"), name = document.createElement("span");
      const out = Object.assign(document.createElement("button"), { type: "button", className: "quiet", textContent: words.takeOut });
      const called = line.name || { outline: words.outline, flaw: words.flaw }[line.kind] || line.kind;
      const area = line.points.length > 2 ? HideLines.area(line.points) : 0;
      const size = line.points.length === 1 && line.kind === "flaw" ? `⌀ ${Math.round(line.across)} mm` : area > 1e5 ? `${(area / 1e6).toFixed(2)} m²` : `${Math.round(area / 100)} cm²`;
      name.textContent = `${called} · ${size}`;
      out.setAttribute("aria-label", `${words.takeOut}: ${called}`);
      out.addEventListener("click", () => change(() => takeOut(at)));
      row.append(name, out);
      return row;
    }));
  };

  const box = () => {
    if (photo) return [0, 0, photo.wide * per, photo.high * per];
    const all = lines.flatMap((each) => each.points);
    if (!all.length) return [0, 0, ...BARE_MM];
    const [xs, ys] = [0, 1].map((axis) => all.map((each) => each[axis]));
    const [left, bottom, right, top] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
    const edge = 0.05 * Math.max(right - left, top - bottom, 100);
    return [left - edge, bottom - edge, right - left + 2 * edge, top - bottom + 2 * edge];
  };

  const fit = () => {
    const [left, bottom, wide, high] = box();
    if (photo) for (const [name, value] of Object.entries({ x: 0, y: -high, width: wide, height: high })) image.setAttribute(name, value);
    board.all = { x: left, y: -(bottom + high), wide, high };
    board.whole();
  };

  const show = (anew) => {
    field.value = HideLines.written(lines);
    if (anew) fit();
    draw();
    tell();
  };

  let board = null;
  board = new window.Board(svg, box(), {
    shown: () => draw(),
    grab: ([x, y], reach) => {
      let nearest = null, least = reach;
      for (const line of inHand()) {
        pointsOf(line).forEach(([u, v], at) => {
          const away = Math.hypot(u - x, v - y);
          if (away <= least) [nearest, least] = [{ line, at }, away];
        });
      }
      return nearest && { ...nearest, before: state() };
    },
    at: ({ line, at }) => pointsOf(line)[at],
    drag: ({ line, at }, to) => { pointsOf(line)[at] = to; chosen = { line, at }; draw(); },
    drop: ({ line, at, before }, to) => {
      chosen = { line, at };
      if (to) {
        done.push(before);
        undone = [];
        if (line < 0) scale();
        show(line < 0);
      } else if (line === open && at === 0 && lines[line].points.length > 2) change(() => { open = null; });
      else { draw(); tell(); }
    },
    let: (held) => { if (held) restore(held.before); },
    tap: (to) => { chosen = null; change(() => point(to)); },
  });

  // ---- the photo ----

  const take = async (file) => {
    const bitmap = await createImageBitmap(file);
    const by = Math.min(1, MOST_PX / Math.max(bitmap.width, bitmap.height));
    const canvas = Object.assign(document.createElement("canvas"), { width: Math.round(bitmap.width * by), height: Math.round(bitmap.height * by) });
    canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    image.setAttribute("href", canvas.toDataURL("image/jpeg", 0.85));
    photo = { wide: canvas.width, high: canvas.height };
    [per, isScaled, length, mode] = [BARE_MM[0] / canvas.width, false, [], "scale"];
    show(true);
  };

  // ---- the controls ----

  const acts = {
    in: () => board.zoom(window.Board.STEP),
    out: () => board.zoom(1 / window.Board.STEP),
    whole: () => board.whole(),
    undo: () => { undone.push(state()); restore(done.pop()); },
    redo: () => { done.push(state()); restore(undone.pop()); },
    end: () => change(() => { open = null; }),
    gone: () => change(() => {
      const { line, at } = chosen;
      pointsOf(line).splice(at, 1);
      if (line >= 0 && !lines[line].points.length) takeOut(line);
      chosen = null;
    }),
  };
  for (const [name, act] of Object.entries(acts)) find(name).addEventListener("click", act);
  for (const button of place.querySelectorAll("[data-draw]")) {
    button.addEventListener("click", () => {
      mode = button.dataset.draw;
      open = chosen = null;
      draw();
      tell();
    });
  }
  find("long").addEventListener("change", () => change(scale));
  find("zone").addEventListener("change", ({ target }) => { if (open !== null && lines[open].kind === "zone") change(() => { lines[open].name = target.value.trim().toLowerCase(); }); });
  find("across").addEventListener("change", () => { if (open !== null && lines[open].kind === "flaw") change(() => { lines[open].across = mm("across") || 40; }); });
  document.getElementById("hide-photo").addEventListener("change", ({ target }) => { if (target.files[0]) take(target.files[0]); });
  field.addEventListener("change", () => change(() => { lines = HideLines.read(field.value.replaceAll("\r", "")); open = chosen = null; }));
  svg.addEventListener("keydown", (event) => {
    const by = ARROWS[event.key];
    if (!chosen) return;
    if (by) {
      event.preventDefault();
      change(() => { const held = pointsOf(chosen.line)[chosen.at]; held[0] += NUDGE_MM * by[0]; held[1] += NUDGE_MM * by[1]; });
    } else if (event.key === "Delete" || event.key === "Backspace") acts.gone();
  });
  tell();
})();

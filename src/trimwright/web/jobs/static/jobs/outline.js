// An outline's points moved, added and taken out by hand. What is changed stands as lines in the form's own field, as it
// may be typed; everything shown is read from there, so undo is an earlier text. The server draws the line and keeps them.
(() => {
  const { Board, OutlineChanges } = window;
  const NUDGE_MM = 0.5, FLATTEST = 1.1, AGAIN_MS = 4000, SVG = "http://www.w3.org/2000/svg";
  const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

  const element = (name, look, attributes) => {
    const made = document.createElementNS(SVG, name);
    made.setAttribute("class", look);
    for (const [each, value] of Object.entries(attributes)) made.setAttribute(each, value);
    return made;
  };

  function start(place) {
    if (place.dataset.started) return;
    place.dataset.started = "yes";
    const came = JSON.parse(document.getElementById("outline-read").textContent);
    const field = document.getElementById("line-moves"), form = field.form, words = place.dataset;
    const svg = place.querySelector("svg"), find = (name) => place.querySelector(`[data-${name}]`);
    const typed = () => field.value.replaceAll("\r", "");
    const worked = came.moves.replaceAll("\r", "").trim();
    let board, points = [], seen = [], line = [], wrong = [], chosen = null, spot = null;
    let undone = [], done = typed().trim() === worked ? [] : [worked], next = null, isAsking = false;

    const way = svg.appendChild(element("path", "way", {}));
    const marks = svg.appendChild(element("g", "marks", {}));
    const run = () => (line.length ? line : seen);

    // ---- what is shown ----

    const draw = () => {
      if (!board) return;
      const { mm } = board;
      way.setAttribute("d", seen.length ? `M${run().map(([x, y]) => `${x} ${-y}`).join("L")}Z` : "");
      way.setAttribute("class", `way${line.length ? "" : " rough"}${wrong.length ? " crossed" : ""}`);
      const written = [];
      const handles = points.flatMap((point, at) => {
        const [x, y] = seen[at], isChosen = at === chosen;
        const made = [
          element("circle", "doubt-disc", { cx: x, cy: -y, r: point.doubt }),
          element("circle", `handle${point.corner ? " corner" : ""}${isChosen ? " chosen" : ""}`, { cx: x, cy: -y, r: (isChosen ? 9 : 6) * mm }),
        ];
        if (!point.added && (isChosen || written.every(([u, v]) => Math.hypot(u - x, v - y) > 24 * mm))) {
          written.push([x, y]);
          const number = element("text", "number", { x: x + 9 * mm, y: -y - 9 * mm, "font-size": 13 * mm, "stroke-width": 3 * mm });
          number.textContent = point.number;
          made.push(number);
        }
        return made;
      });
      const cross = spot ? [element("path", "here", { d: `M${spot.place[0] - 9 * mm} ${-spot.place[1]}h${18 * mm}m${-9 * mm} ${-9 * mm}v${18 * mm}` })] : [];
      marks.replaceChildren(...handles, ...cross);
    };

    const called = () => {
      const point = points[chosen ?? spot?.behind];
      const say = !point ? words.none : chosen === null ? words.edge : point.added ? words.behind : words.point;
      return say.replace("0", point?.number);
    };

    const tell = () => {
      const point = points[chosen];
      for (const each of place.querySelectorAll("[data-of-point]")) each.disabled = !point;
      find("add").disabled = !point && !spot;
      find("undo").disabled = !done.length;
      find("redo").disabled = !undone.length;
      find("name").textContent = called();
      find("turn").textContent = point?.corner ? words.curve : words.corner;
      for (const axis of ["x", "y"]) if (document.activeElement !== find(axis)) find(axis).value = point ? point[axis].toFixed(1) : "";
      find("wrong").replaceChildren(...wrong.map((each) => Object.assign(document.createElement("span"), { className: "warn", textContent: each })));
      find("anew").hidden = typed().trim() === worked || wrong.length > 0;
      if (document.activeElement.disabled && place.contains(document.activeElement)) svg.focus({ preventScroll: true });  // keys go on working
    };

    const choose = (at, on = null) => { chosen = at; spot = on; draw(); tell(); };

    // ---- the server ----

    // One question at a time, the last text wins: held arrow keys don't overtake each other.
    const ask = async (text, keep) => {
      next = { text, keep: keep || Boolean(next?.keep) };
      if (isAsking) return;
      isAsking = true;
      while (next) {
        const { text: moves, keep: isKept } = next;
        next = null;
        const answer = await fetch(words.line, {
          method: "POST",
          keepalive: true,
          headers: { "X-CSRFToken": form.elements.csrfmiddlewaretoken.value },
          body: new URLSearchParams({ moves, ...(isKept ? { keep: "yes" } : {}) }),
        }).then((each) => (each.ok || each.status === 422 ? each.json() : null), () => null);
        if (!next) take(answer, moves, isKept);
      }
      isAsking = false;
    };

    const take = (answer, text, keep) => {
      wrong = answer ? answer.wrong : [words.unheard];
      if (!answer) setTimeout(() => { if (!isAsking && typed() === text) ask(text, keep); }, AGAIN_MS);
      if (answer?.line && answer.nodes.length === points.length) {
        line = answer.line;
        seen = answer.nodes;
        points.forEach((each, at) => { each.aside = [seen[at][0] - each.x, seen[at][1] - each.y]; });
      }
      draw();
      tell();
    };

    // Shows what stands in the field, and asks for the line through it.
    const show = (text, keep) => {
      const before = new Map(points.map((each) => [`${each.number} ${each.added}`, each.aside]));
      points = OutlineChanges.read(came.nodes, text);
      for (const each of points) each.aside = before.get(`${each.number} ${each.added}`) ?? before.get(`${each.number} false`) ?? [0, 0];
      seen = points.map((each) => [each.x + each.aside[0], each.y + each.aside[1]]);
      if (chosen >= points.length) chosen = null;
      spot = null;
      line = [];
      draw();
      tell();
      ask(text, keep);
    };

    const write = (text) => { field.value = text; show(text, true); };

    // ---- what is done ----

    const change = (make, isMore = false) => {
      if (!isMore) done.push(typed());
      undone = [];
      make();
      write(OutlineChanges.written(came.nodes, points));
    };

    const put = (at, x, y, isMore) => change(() => Object.assign(points[at], { x, y, moved: true, doubt: 0 }), isMore);

    const step = (by) => {
      choose(((chosen ?? (by > 0 ? -1 : 0)) + by + points.length) % points.length);
      board.see(seen[chosen]);
    };

    const acts = {
      undo: () => { undone.push(typed()); write(done.pop()); },
      redo: () => { done.push(typed()); write(undone.pop()); },
      in: () => board.zoom(Board.STEP, seen[chosen]),
      out: () => board.zoom(1 / Board.STEP, seen[chosen]),
      whole: () => board.whole(),
      back: () => step(-1),
      on: () => step(1),
      add: () => {
        const { behind, place: [x, y] } = spot ?? { behind: chosen, place: OutlineChanges.middle(run(), seen, chosen) };
        const { number, aside } = points[behind];
        change(() => points.splice(behind + 1, 0, { number, added: true, x: x - aside[0], y: y - aside[1], corner: false, aside, doubt: 0 }));
        choose(behind + 1);
      },
      gone: () => { const at = chosen; chosen = null; change(() => points.splice(at, 1)); },
      turn: () => change(() => { points[chosen].corner = !points[chosen].corner; points[chosen].moved = true; }),
    };

    svg.style.aspectRatio = `${came.picture[2]} / ${Math.max(came.picture[3], came.picture[2] / FLATTEST)}`;
    board = new Board(svg, came.picture, {
      shown: () => draw(),
      grab: ([x, y], reach) => {
        const away = seen.map(([u, v]) => Math.hypot(u - x, v - y));
        const nearest = away.indexOf(Math.min(...away));
        return away[nearest] <= reach ? nearest : null;
      },
      at: (at) => seen[at],
      drag: (at, to) => { seen[at] = to; line = []; choose(at); },
      drop: (at, to) => (to ? put(at, to[0] - points[at].aside[0], to[1] - points[at].aside[1]) : choose(at)),
      let: () => show(typed(), false),
      tap: (to, reach) => choose(null, OutlineChanges.nearest(run(), seen, to, reach)),
    });

    for (const [name, act] of Object.entries(acts)) find(name).addEventListener("click", act);
    for (const axis of ["x", "y"]) {
      find(axis).addEventListener("change", ({ target }) => {
        const mm = Number(target.value.replace(",", "."));
        if (chosen === null || !target.value.trim() || !Number.isFinite(mm)) return tell();
        put(chosen, axis === "x" ? mm : points[chosen].x, axis === "y" ? mm : points[chosen].y);
      });
    }
    place.addEventListener("keydown", (event) => {
      const by = ARROWS[event.key];
      if (chosen === null || event.target.matches("input")) return;
      if (by) {
        event.preventDefault();
        put(chosen, points[chosen].x + NUDGE_MM * by[0], points[chosen].y + NUDGE_MM * by[1], event.repeat);
      } else if (event.key === "Delete" || event.key === "Backspace") acts.gone();
    });
    field.addEventListener("change", () => write(typed()));
    show(typed(), false);
  }

  const look = () => document.querySelectorAll("[data-outline]").forEach(start);
  document.addEventListener("DOMContentLoaded", look);
  document.addEventListener("htmx:load", look);
})();

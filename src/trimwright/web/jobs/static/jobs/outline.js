// An outline's points moved, added and taken out by hand. What is changed stands as lines in the form's own field, as it
// may be typed; everything shown is read from there, so undo is an earlier text. The server draws the line.
(() => {
  const CHANGE = /^(\d{1,4})([+-]?)(?:[\s,;]+([^\s,;]+)[\s,;]+([^\s,;]+)(?:[\s,;]+(corner))?)?$/;
  const NUDGE_MM = 0.5, SVG = "http://www.w3.org/2000/svg";
  const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

  // The points after all changes: each with the number it has or stands behind.
  function changed(read, text) {
    const own = read.map(([x, y, corner, doubt], at) => ({ number: at + 1, added: false, x, y, corner, doubt, moved: false }));
    const more = read.map(() => []);
    for (const line of text.split("\n")) {
      const [, typed, how, x, y, corner] = line.split("#")[0].trim().match(CHANGE) ?? [];
      const at = Number(typed) - 1;
      if (!typed || !read[at]) continue;
      if (how === "-") own[at] = null;
      else if (!Number.isFinite(Number(x)) || !Number.isFinite(Number(y))) continue;
      else if (how === "+") more[at].push({ number: at + 1, added: true, x: Number(x), y: Number(y), corner: Boolean(corner), doubt: 0 });
      else own[at] = { ...own[at], number: at + 1, added: false, x: Number(x), y: Number(y), corner: read[at][2], doubt: 0, moved: true };
    }
    return read.flatMap((_, at) => [...(own[at] ? [own[at]] : []), ...more[at]]);
  }

  // The same as lines.
  function written(read, points) {
    const mm = (value) => String(Math.round(value * 10) / 10);
    return read.flatMap((_, at) => {
      const here = points.filter((each) => each.number === at + 1), own = here.find((each) => !each.added);
      return [
        ...(own ? (own.moved ? [`${at + 1} ${mm(own.x)} ${mm(own.y)}`] : []) : [`${at + 1}-`]),
        ...here.filter((each) => each.added).map((each) => `${at + 1}+ ${mm(each.x)} ${mm(each.y)}${each.corner ? " corner" : ""}`),
      ];
    }).join("\n");
  }

  function start(place) {
    if (place.dataset.started) return;
    place.dataset.started = "yes";
    const came = JSON.parse(document.getElementById("outline-read").textContent);
    const field = document.getElementById("line-moves"), form = field.form;
    const svg = place.querySelector("svg"), find = (name) => place.querySelector(`[data-${name}]`);
    const words = place.dataset, kept = `outline ${words.key}`;
    const worked = field.value.replaceAll("\r", "");
    let board, points = [], seen = [], line = [], wrong = [], chosen = null, asked = 0, undone = [], done = [];

    const way = svg.appendChild(document.createElementNS(SVG, "path"));
    const marks = svg.appendChild(document.createElementNS(SVG, "g"));
    way.setAttribute("class", "way");

    const draw = () => {
      if (!board) return;
      const { mm } = board, run = line.length ? line : seen;
      way.setAttribute("d", run.length ? `M${run.map(([x, y]) => `${x} ${-y}`).join("L")}Z` : "");
      way.setAttribute("class", `way${line.length ? "" : " rough"}${wrong.length ? " crossed" : ""}`);
      const written = [];
      marks.replaceChildren(...points.flatMap((point, at) => {
        const [x, y] = seen[at], disc = document.createElementNS(SVG, "circle"), handle = document.createElementNS(SVG, "circle");
        for (const each of [disc, handle]) { each.setAttribute("cx", x); each.setAttribute("cy", -y); }
        disc.setAttribute("r", point.doubt);
        disc.setAttribute("class", "doubt-disc");
        handle.setAttribute("r", (at === chosen ? 9 : 6) * mm);
        handle.setAttribute("class", `handle${point.corner ? " corner" : ""}${at === chosen ? " chosen" : ""}`);
        const made = [disc, handle];
        if (!point.added && (at === chosen || written.every(([u, v]) => Math.hypot(u - x, v - y) > 24 * mm))) {
          const number = document.createElementNS(SVG, "text");
          number.setAttribute("x", x + 9 * mm);
          number.setAttribute("y", -y - 9 * mm);
          number.setAttribute("class", "number");
          number.setAttribute("font-size", 13 * mm);
          number.setAttribute("stroke-width", 3 * mm);
          number.textContent = point.number;
          written.push([x, y]);
          made.push(number);
        }
        return made;
      }));
    };

    const tell = () => {
      const point = points[chosen];
      for (const each of place.querySelectorAll("[data-of-point]")) each.disabled = !point;
      find("undo").disabled = !done.length;
      find("redo").disabled = !undone.length;
      find("name").textContent = point ? (point.added ? words.behind : words.point).replace("0", point.number) : words.none;
      find("turn").textContent = point?.corner ? words.curve : words.corner;
      for (const axis of ["x", "y"]) if (document.activeElement !== find(axis)) find(axis).value = point ? point[axis].toFixed(1) : "";
      find("wrong").replaceChildren(...wrong.map((each) => Object.assign(document.createElement("span"), { className: "warn", textContent: each })));
      find("anew").hidden = field.value.trim() === worked.trim();
    };

    const choose = (at) => { chosen = at; draw(); tell(); };

    // Shows what stands in the field, and asks for the line through it.
    const show = async (text) => {
      const before = new Map(points.map((each) => [`${each.number} ${each.added}`, each.aside]));
      points = changed(came.nodes, text);
      for (const each of points) each.aside = before.get(`${each.number} ${each.added}`) ?? before.get(`${each.number} false`) ?? [0, 0];
      seen = points.map((each) => [each.x + each.aside[0], each.y + each.aside[1]]);
      if (chosen >= points.length) chosen = null;
      line = [];
      draw();
      tell();
      const mine = ++asked;
      const answer = await fetch(words.line, {
        method: "POST",
        headers: { "X-CSRFToken": form.elements.csrfmiddlewaretoken.value },
        body: new URLSearchParams({ moves: text }),
      }).then((each) => (each.ok || each.status === 422 ? each.json() : null), () => null);
      if (mine !== asked) return;
      wrong = answer ? answer.wrong : [words.unheard];
      if (answer?.line && answer.nodes.length === points.length) {
        line = answer.line;
        seen = answer.nodes;
        points.forEach((each, at) => { each.aside = [seen[at][0] - each.x, seen[at][1] - each.y]; });
      }
      draw();
      tell();
    };

    const write = (text) => {
      field.value = text;
      try { localStorage.setItem(kept, text); } catch { /* then it lasts as long as the page */ }
      show(text);
    };

    const change = (make) => {
      done.push(field.value);
      undone = [];
      make();
      write(written(came.nodes, points));
    };

    const put = (at, x, y) => change(() => Object.assign(points[at], { x, y, moved: true, doubt: 0 }));

    const acts = {
      undo: () => { if (done.length) { undone.push(field.value); write(done.pop()); } },
      redo: () => { if (undone.length) { done.push(field.value); write(undone.pop()); } },
      in: () => board.zoom(window.Board.STEP),
      out: () => board.zoom(1 / window.Board.STEP),
      whole: () => board.whole(),
      back: () => step(-1),
      on: () => step(1),
      add: () => {
        const [from, to] = [points[chosen], points[(chosen + 1) % points.length]];
        const at = chosen + 1;
        change(() => points.splice(at, 0, { number: from.number, added: true, x: (from.x + to.x) / 2, y: (from.y + to.y) / 2, corner: false, aside: from.aside, doubt: 0 }));
        choose(at);
      },
      gone: () => { const at = chosen; chosen = null; change(() => points.splice(at, 1)); },
      // A point that was read keeps what it is: it goes, and another comes in its place.
      turn: () => change(() => Object.assign(points[chosen], { corner: !points[chosen].corner, added: true })),
    };

    const step = (by) => {
      choose(((chosen ?? (by > 0 ? -1 : 0)) + by + points.length) % points.length);
      board.see(seen[chosen]);
    };

    board = new window.Board(svg, came.picture, {
      shown: () => draw(),
      grab: ([x, y], reach) => {
        const away = seen.map(([u, v]) => Math.hypot(u - x, v - y));
        const nearest = away.indexOf(Math.min(...away));
        return away[nearest] <= reach ? nearest : null;
      },
      drag: (at, to) => { choose(at); seen[at] = to; line = []; draw(); },
      drop: (at, to) => (to ? put(at, to[0] - points[at].aside[0], to[1] - points[at].aside[1]) : choose(at)),
      let: () => show(field.value),
      tap: () => choose(null),
    });

    for (const [name, act] of Object.entries(acts)) find(name).addEventListener("click", act);
    for (const axis of ["x", "y"]) {
      find(axis).addEventListener("change", ({ target }) => {
        const mm = Number(target.value.replace(",", "."));
        if (chosen === null || !target.value.trim() || !Number.isFinite(mm)) return tell();
        put(chosen, axis === "x" ? mm : points[chosen].x, axis === "y" ? mm : points[chosen].y);
      });
    }
    svg.addEventListener("keydown", (event) => {
      const by = ARROWS[event.key];
      if (by && chosen !== null) {
        event.preventDefault();
        put(chosen, points[chosen].x + NUDGE_MM * by[0], points[chosen].y + NUDGE_MM * by[1]);
      } else if ((event.key === "Delete" || event.key === "Backspace") && chosen !== null) acts.gone();
    });
    field.addEventListener("change", () => write(field.value.replaceAll("\r", "")));
    form.addEventListener("submit", () => { try { localStorage.removeItem(kept); } catch { /* nothing was kept */ } });

    let draft = null;
    try { draft = localStorage.getItem(kept); } catch { /* nothing was kept */ }
    if (draft !== null && draft !== worked) { done.push(worked); field.value = draft; }
    show(field.value.replaceAll("\r", ""));
  }

  const look = () => document.querySelectorAll("[data-outline]").forEach(start);
  document.addEventListener("DOMContentLoaded", look);
  document.addEventListener("htmx:load", look);
})();

// What is done to an outline: the list of changes as points and back, and places along the closed line through them.
// Places are mm, y up.
(() => {
  const CHANGE = /^(\d{1,4})([+-]?)(?:[\s,;]+([^\s,;]+)[\s,;]+([^\s,;]+)(?:[\s,;]+(corner|curve))?)?$/;

  const away = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
  const shared = (a, b, share) => [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];

  // The points after all changes: each with the number it has or stands behind.
  function read(nodes, text) {
    const own = nodes.map(([x, y, corner, doubt], at) => ({ number: at + 1, added: false, x, y, corner, doubt, moved: false }));
    const more = nodes.map(() => []);
    for (const line of text.split("\n")) {
      const [, typed, how, x, y, kind] = line.split("#")[0].trim().match(CHANGE) ?? [];
      const at = Number(typed) - 1, to = { x: Number(x), y: Number(y), doubt: 0 };
      if (!typed || !nodes[at]) continue;
      if (how === "-") own[at] = null;
      else if (!Number.isFinite(to.x) || !Number.isFinite(to.y)) continue;
      else if (how === "+") more[at].push({ number: at + 1, added: true, corner: kind === "corner", ...to });
      else own[at] = { number: at + 1, added: false, moved: true, corner: kind ? kind === "corner" : nodes[at][2], ...to };
    }
    return nodes.flatMap((_, at) => [...(own[at] ? [own[at]] : []), ...more[at]]);
  }

  // The same as lines.
  function written(nodes, points) {
    const mm = (value) => String(Math.round(value * 10) / 10);
    const line = ({ number, added, x, y, corner }, isCorner) => {
      const kind = corner === isCorner ? "" : corner ? " corner" : " curve";
      return `${number}${added ? "+" : ""} ${mm(x)} ${mm(y)}${kind}`;
    };
    return nodes.flatMap((node, at) => {
      const here = points.filter((each) => each.number === at + 1), own = here.find((each) => !each.added);
      return [
        ...(own ? (own.moved ? [line(own, node[2])] : []) : [`${at + 1}-`]),
        ...here.filter((each) => each.added).map((each) => line(each, false)),
      ];
    }).join("\n");
  }

  // Which place of the line each point is nearest to: the line runs through them one after the other.
  const along = (line, points) => points.map((point) => line.reduce((best, each, at) => (away(each, point) < away(line[best], point) ? at : best), 0));

  // Where the line comes nearest to a place, and behind which point that is; null beyond reach.
  function nearest(line, points, place, reach) {
    let found = null, least = reach, edge = 0;
    line.forEach((a, at) => {
      const b = line[(at + 1) % line.length], long = away(a, b) ** 2 || 1;
      const share = ((place[0] - a[0]) * (b[0] - a[0]) + (place[1] - a[1]) * (b[1] - a[1])) / long;
      const on = shared(a, b, Math.min(1, Math.max(0, share)));
      if (away(on, place) <= least) [found, least, edge] = [on, away(on, place), at];
    });
    if (!found) return null;
    const starts = along(line, points), last = (reached) => starts.reduce((best, at, point) => (reached(at) && (best < 0 || at >= starts[best]) ? point : best), -1);
    const before = last((at) => at <= edge);
    return { place: found, behind: before < 0 ? last(() => true) : before };
  }

  // Half-way along the line from a point to the next.
  function middle(line, points, at) {
    const starts = along(line, points), from = starts[at], to = starts[(at + 1) % points.length];
    const run = Array.from({ length: (to - from + line.length) % line.length + 1 }, (_, step) => line[(from + step) % line.length]);
    if (run.length < 2) return shared(points[at], points[(at + 1) % points.length], 0.5);
    let left = run.slice(1).reduce((sum, each, step) => sum + away(run[step], each), 0) / 2, step = 0;
    while (left > away(run[step], run[step + 1])) left -= away(run[step], run[step += 1]);
    return shared(run[step], run[step + 1], left / (away(run[step], run[step + 1]) || 1));
  }

  window.OutlineChanges = { read, written, nearest, middle };
})();

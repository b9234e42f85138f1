// The lines of a hide as its file has them: a heading, and the points below it [mm, y up].
(() => {
  const round = (value) => String(Math.round(value * 10) / 10);

  window.HideLines = {
    read(text) {
      const lines = [];
      for (const row of text.split("\n")) {
        const words = row.split("#")[0].replaceAll(",", " ").trim().split(/\s+/).filter(Boolean);
        const [kind] = words;
        if (["outline", "flaw", "zone"].includes(kind?.toLowerCase())) {
          lines.push({ kind: kind.toLowerCase(), name: words.slice(1).join(" "), points: [], across: 0 });
        } else if (lines.length && words.length > 1 && words.every((each) => Number.isFinite(Number(each)))) {
          lines.at(-1).points.push([Number(words[0]), Number(words[1])]);
          if (words.length > 2) lines.at(-1).across = Number(words[2]);
        }
      }
      return lines;
    },

    written(lines) {
      return lines.map(({ kind, name, points, across }) => {
        const rows = points.map(([x, y]) => `${round(x)} ${round(y)}`);
        if (kind === "flaw" && rows.length === 1) rows[0] += ` ${round(across)}`;
        return `${kind === "zone" ? `zone ${name}` : kind}\n${rows.map((each) => `${each}\n`).join("")}`;
      }).join("");
    },

    scaled: (lines, by) => lines.map((each) => ({ ...each, points: each.points.map(([x, y]) => [x * by, y * by]) })),

    area(points) {
      return Math.abs(points.reduce((sum, [x, y], at) => {
        const [u, v] = points[(at + 1) % points.length];
        return sum + x * v - u * y;
      }, 0)) / 2;
    },

    // Behind which point of a closed line another comes, so that it turns aside least.
    edge(points, [x, y]) {
      const aside = points.map(([a, b], at) => {
        const [u, v] = points[(at + 1) % points.length];
        const long = (u - a) ** 2 + (v - b) ** 2 || 1;
        const along = Math.min(1, Math.max(0, ((x - a) * (u - a) + (y - b) * (v - b)) / long));
        return Math.hypot(a + along * (u - a) - x, b + along * (v - b) - y);
      });
      return aside.indexOf(Math.min(...aside));
    },
  };
})();

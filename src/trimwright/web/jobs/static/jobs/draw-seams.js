// Seams drawn on the picture of a scan. What is drawn is written into the form's own lines, where it may be typed as
// well: the lines are all there is, the picture shows them. A blank line ends a seam.
(() => {
  const { ScanMesh } = window.trimwrightScanMesh;
  const { ScanView } = window.trimwrightScanView;
  const SAME_PX = 6;
  const IN_MM = 25.4;

  class Drawing {
    constructor(sheet, mesh) {
      this.sheet = sheet;
      this.mesh = mesh;
      this.lines = document.getElementById("line-seams");
      this.unit = document.getElementById("line-unit");
      this.perUnit = JSON.parse(sheet.dataset.mm);
      this.laid = new Map(JSON.parse(document.getElementById("seam-ways")?.textContent ?? "[]").map(({ lines, way }) => [key(pointsOf(lines)), way.map((each) => this.inside(each))]));
      this.earlier = [];
      this.places = new Map();
      this.listen();
      sheet.querySelector(".draw").hidden = false;
      this.view = new ScanView(this.find("canvas"), mesh, {
        drawOver: () => this.drawOver(),
        tapped: (...at) => this.tapped(...at),
      });
      if (this.laid.size) this.lines.value = `${this.lines.value.trimEnd()}\n\n`; // what is laid flat is ended
      this.read();
    }

    find(name) { return this.sheet.querySelector(name); }

    // The scan's own coordinates, and those of the picture about its middle.
    inside(point) { return point.map((each, k) => each - this.mesh.centre[k]); }

    outside(point) { return point.map((each, k) => each + this.mesh.centre[k]); }

    // ---- the lines ----

    // Every seam of the lines, as points of the picture and the way through them; null for one drawn on the flat piece.
    read() {
      this.seams = this.lines.value.replaceAll("\r", "").split(/\n\s*\n/).filter((each) => each.trim()).map((lines) => {
        const points = pointsOf(lines);
        const inside = points.every((each) => each.length === 3) ? points.map((each) => this.inside(each)) : [];
        const way = this.laid.get(key(points)) ?? this.wayThrough(inside);
        return { lines, points: inside, way };
      });
      this.tellSeams();
      this.view.ask();
    }

    wayThrough(points) {
      const places = points.map((each) => {
        const name = String(each);
        if (!this.places.has(name)) this.places.set(name, this.mesh.place(each));
        return this.places.get(name);
      });
      return places.flatMap((each, k) => k ? this.mesh.way(places[k - 1], each) : [this.mesh.at(each)]);
    }

    get isOpen() { return this.seams.length > 0 && this.seams.at(-1).points.length > 0 && !/\n\s*\n\s*$/.test(this.lines.value); }

    write(lines) {
      this.earlier.push(this.lines.value);
      this.lines.value = lines;
      this.read();
    }

    add(point) {
      const places = 2 + Math.ceil(Math.log10(this.perUnit[this.unit.value]));
      const line = this.outside(point).map((each) => String(Number(each.toFixed(places)))).join(" ");
      const before = this.lines.value.trimEnd();
      this.write(before ? `${before}${this.isOpen ? "\n" : "\n\n"}${line}` : line);
    }

    end() { this.write(`${this.lines.value.trimEnd()}\n\n`); }

    takeBack() {
      if (!this.earlier.length) return;
      this.lines.value = this.earlier.pop();
      this.read();
    }

    takeOut(number) {
      const left = this.seams.filter((_, at) => at !== number).map((each) => each.lines.trim());
      this.write(left.length ? `${left.join("\n\n")}\n\n` : "");
    }

    // ---- the picture ----

    tapped(x, y, reach) {
      const open = this.isOpen ? this.seams.at(-1) : null;
      const last = open && this.view.shown(open.points.at(-1));
      if (last && Math.hypot(last.x - x, last.y - y) < SAME_PX) return;
      const others = this.seams.filter((each) => each !== open).map((each) => each.way);
      const point = this.view.pick(x, y, reach, others);
      if (point) this.add(point);
    }

    drawOver() {
      const { view } = this, { context } = view;
      const style = getComputedStyle(view.canvas);
      const colour = (name) => style.getPropertyValue(name).trim();
      context.lineCap = context.lineJoin = "round";
      const rim = new Path2D();
      for (const side of this.mesh.rim) {
        const [p, q] = this.mesh.ends(side).map((each) => view.shown(each));
        if (p.hidden && q.hidden) continue;
        rim.moveTo(p.x, p.y);
        rim.lineTo(q.x, q.y);
      }
      Object.assign(context, { strokeStyle: colour("--ink"), lineWidth: 1.25 });
      context.stroke(rim);
      this.seams.forEach((seam, number) => this.drawSeam(context, seam, number, colour));
    }

    drawSeam(context, seam, number, colour) {
      const seen = new Path2D(), behind = new Path2D();
      const way = seam.way.map((each) => this.view.shown(each));
      for (let k = 1; k < way.length; k++) {
        const path = way[k - 1].hidden && way[k].hidden ? behind : seen;
        path.moveTo(way[k - 1].x, way[k - 1].y);
        path.lineTo(way[k].x, way[k].y);
      }
      Object.assign(context, { strokeStyle: colour("--thread"), lineWidth: 1 });
      context.setLineDash([2, 5]);
      context.stroke(behind);
      context.setLineDash([]);
      Object.assign(context, { strokeStyle: colour("--sheet"), lineWidth: 5 });
      context.stroke(seen);
      Object.assign(context, { strokeStyle: colour("--thread"), lineWidth: 2.5 });
      context.stroke(seen);
      for (const point of seam.points) {
        const { x, y, hidden } = this.view.shown(point);
        if (hidden) continue;
        context.beginPath();
        context.arc(x, y, 5, 0, 2 * Math.PI);
        Object.assign(context, { fillStyle: colour("--sheet"), lineWidth: 2 });
        context.fill();
        context.stroke();
      }
      const first = way.find((each) => !each.hidden);
      if (!first) return;
      Object.assign(context, { font: "600 14px 'Hanken Grotesk', sans-serif", fillStyle: colour("--thread"), strokeStyle: colour("--sheet"), lineWidth: 4 });
      context.strokeText(number + 1, first.x + 9, first.y - 9);
      context.fillText(number + 1, first.x + 9, first.y - 9);
    }

    // ---- what the page says ----

    tellSeams() {
      const row = this.find("#drawn-seam").content;
      const per = this.perUnit[this.unit.value];
      this.find(".drawn-seams").replaceChildren(...this.seams.map((seam, number) => {
        const told = row.cloneNode(true);
        const long = seam.way.reduce((sum, each, k) => sum + (k ? Math.hypot(...each.map((one, axis) => one - seam.way[k - 1][axis])) : 0), 0);
        for (const each of told.querySelectorAll("[data-number]")) each.textContent = number + 1;
        told.querySelector("[data-long]").textContent = seam.way.length > 1 ? `${(long * per).toFixed(0)} mm` : "";
        told.querySelector("button").dataset.takeOut = number;
        return told;
      }));
      this.find("[data-end-seam]").disabled = !this.isOpen || this.seams.at(-1).points.length < 2;
      this.find("[data-take-back]").disabled = !this.earlier.length;
    }

    tellSize() {
      const size = this.find("[data-sides]");
      if (!size) return;
      const sides = JSON.parse(size.dataset.sides).map((each) => each * this.perUnit[this.unit.value]);
      size.textContent = `${sides.map((each) => each.toFixed(0)).join(" × ")} mm (${sides.map((each) => (each / IN_MM).toFixed(1)).join(" × ")} in)`;
    }

    listen() {
      this.lines.addEventListener("input", () => this.read());
      this.unit.addEventListener("change", () => { this.tellSize(); this.tellSeams(); });
      this.sheet.addEventListener("click", (event) => {
        const button = event.target.closest("button");
        if (!button) return;
        const { view } = button.dataset;
        if (view === "closer") this.view.closer(1.4);
        if (view === "farther") this.view.closer(1 / 1.4);
        if (view === "whole") this.view.whole();
        if ("endSeam" in button.dataset) this.end();
        if ("takeBack" in button.dataset) this.takeBack();
        if ("takeOut" in button.dataset) this.takeOut(Number(button.dataset.takeOut));
      });
    }
  }

  function pointsOf(lines) {
    return lines.split("\n").map((each) => each.split("#")[0].trim()).filter(Boolean)
      .map((each) => each.split(/[,;\s]+/).map(Number)).filter((each) => each.every(Number.isFinite));
  }

  const key = (points) => points.map(String).join(" ");

  async function setUp({ target }) {
    const sheet = document.querySelector("[data-scan]:not([data-drawn])");
    if (!sheet) return;
    sheet.dataset.drawn = "";
    const answer = await fetch(sheet.dataset.scan);
    if (answer.ok) new Drawing(sheet, new ScanMesh(await answer.arrayBuffer()));
    if (target?.id === "told") target.scrollIntoView(); // what was waited for is shown where one looks
  }

  document.addEventListener("htmx:afterSettle", setUp);
  setUp({});
})();

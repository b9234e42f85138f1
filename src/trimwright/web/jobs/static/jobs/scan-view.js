// A scan on a canvas: shaded so that its form reads, turned with a finger, pinched nearer; a tap tells a place on it.
// Every pixel knows its triangle and how near it is, so a tap needs no search and lines behind the panel are seen to be.
(() => {
  const { between } = window.trimwrightScanMesh;
  const LIGHT = [-0.55, 0.6, 0.58]; // raking, from the upper left, so that slight forms read
  const SHADOW = 30, KEY = 165, FILL = 60; // of 255
  const TURN_PER_PX = 0.009, TAP_PX = 7, FINGER_PX = 18, MOUSE_PX = 10, REST_MS = 160, SLOW_MS = 40, MARGIN = 0.9;

  class ScanView {
    constructor(canvas, mesh, { drawOver, tapped }) {
      Object.assign(this, { canvas, mesh, drawOver, tapped, held: new Map(), grain: 1 });
      this.context = canvas.getContext("2d");
      const n = mesh.points.length / 3;
      [this.x, this.y, this.near, this.shade] = [0, 1, 2, 3].map(() => new Float32Array(n));
      this.listen();
      new ResizeObserver(() => { this.fit(); this.ask(); }).observe(canvas);
      new MutationObserver(() => this.ask()).observe(document.documentElement, { attributeFilter: ["data-theme"] });
      matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.ask());
      this.whole();
    }

    // ---- from where it is looked at ----

    whole() {
      this.turned = [...this.mesh.view];
      this.shift = [0, 0];
      this.zoom = 1;
      this.fit();
      this.ask();
    }

    fit() {
      const { points, view } = this.mesh;
      let wide = 0, high = 0;
      for (let at = 0; at < points.length; at += 3) {
        wide = Math.max(wide, Math.abs(view[0] * points[at] + view[1] * points[at + 1] + view[2] * points[at + 2]));
        high = Math.max(high, Math.abs(view[3] * points[at] + view[4] * points[at + 1] + view[5] * points[at + 2]));
      }
      this.unzoomed = MARGIN * Math.min(this.canvas.clientWidth / wide, this.canvas.clientHeight / high) / 2;
    }

    turn(acrossPx, downPx) {
      const [across, down] = [acrossPx * TURN_PER_PX, downPx * TURN_PER_PX];
      const t = this.turned, rows = [t.slice(0, 3), t.slice(3, 6), t.slice(6, 9)];
      const mixed = (p, q, angle) => p.map((each, k) => Math.cos(angle) * each + Math.sin(angle) * q[k]);
      const [right, towards] = [mixed(rows[0], rows[2], across), mixed(rows[2], rows[0], -across)];
      const [up, nearer] = [mixed(rows[1], towards, -down), mixed(towards, rows[1], down)];
      this.turned = [...right, ...up, ...nearer];
      this.move();
    }

    // Nearer about a point of the canvas, which stays under the finger.
    closer(times, x = this.canvas.clientWidth / 2, y = this.canvas.clientHeight / 2) {
      const wanted = Math.min(20, Math.max(0.5, this.zoom * times)), by = wanted / this.zoom;
      const [cx, cy] = [x - this.canvas.clientWidth / 2, y - this.canvas.clientHeight / 2];
      this.shift = [cx - (cx - this.shift[0]) * by, cy - (cy - this.shift[1]) * by];
      this.zoom = wanted;
      this.move();
    }

    move() {
      clearTimeout(this.resting);
      this.moving = true;
      this.resting = setTimeout(() => { this.moving = false; this.ask(); }, REST_MS);
      this.ask();
    }

    // ---- painting ----

    ask() { this.asked ??= requestAnimationFrame(() => { this.asked = null; this.paint(); }); }

    paint() {
      const { canvas, context } = this, began = performance.now();
      if (!canvas.clientWidth) return;
      this.dots = this.moving ? this.grain : Math.min(2, devicePixelRatio || 1);
      const [wide, high] = [canvas.clientWidth, canvas.clientHeight].map((each) => Math.round(each * this.dots));
      if (canvas.width !== wide || canvas.height !== high || !this.image) {
        [canvas.width, canvas.height] = [wide, high];
        this.image = context.createImageData(wide, high);
        this.pixels = new Uint32Array(this.image.data.buffer);
        this.depth = new Float32Array(wide * high);
        this.face = new Int32Array(wide * high);
      }
      this.pixels.fill(0);
      this.depth.fill(-Infinity);
      this.face.fill(-1);
      this.project();
      this.fill(this.tints());
      context.putImageData(this.image, 0, 0);
      context.setTransform(this.dots, 0, 0, this.dots, 0, 0);
      this.drawOver(this);
      context.setTransform(1, 0, 0, 1, 0, 0);
      const took = performance.now() - began;
      if (this.moving && took > SLOW_MS) this.grain = Math.max(0.4, this.grain * 0.8);
    }

    // The look of each of 256 degrees of light, as the page's colours have it now.
    tints() {
      const style = getComputedStyle(this.canvas);
      const [deep, pale] = ["--scan-deep", "--scan-pale"].map((each) => style.getPropertyValue(each).trim().match(/[0-9a-f]{2}/gi).map((two) => parseInt(two, 16)));
      return Uint32Array.from({ length: 256 }, (_, at) => {
        const [red, green, blue] = between(deep, pale, at / 255).map(Math.round);
        return (255 << 24 | blue << 16 | green << 8 | red) >>> 0;
      });
    }

    project() {
      const { mesh: { points, normals }, turned: t, x, y, near, shade, dots } = this;
      const scale = this.unzoomed * this.zoom * dots;
      const [cx, cy] = [this.canvas.width / 2 + this.shift[0] * dots, this.canvas.height / 2 + this.shift[1] * dots];
      for (let at = 0, p = 0; at < x.length; at++, p += 3) {
        const [px, py, pz] = [points[p], points[p + 1], points[p + 2]], [nx, ny, nz] = [normals[p], normals[p + 1], normals[p + 2]];
        x[at] = cx + scale * (t[0] * px + t[1] * py + t[2] * pz);
        y[at] = cy - scale * (t[3] * px + t[4] * py + t[5] * pz);
        near[at] = t[6] * px + t[7] * py + t[8] * pz;
        const front = t[6] * nx + t[7] * ny + t[8] * nz;
        const lit = LIGHT[0] * (t[0] * nx + t[1] * ny + t[2] * nz) + LIGHT[1] * (t[3] * nx + t[4] * ny + t[5] * nz) + LIGHT[2] * front;
        shade[at] = SHADOW + KEY * Math.max(0, front < 0 ? -lit : lit) + FILL * Math.abs(front);
      }
    }

    fill(tints) {
      const { mesh: { faces }, x, y, near, shade, pixels, depth, face } = this;
      const wide = this.canvas.width, high = this.canvas.height;
      for (let f = 0; f < faces.length; f += 3) {
        const a = faces[f], b = faces[f + 1], c = faces[f + 2];
        const ax = x[a], ay = y[a], bx = x[b], by = y[b], cx = x[c], cy = y[c];
        const whole = (by - cy) * (ax - cx) + (cx - bx) * (ay - cy);
        if (Math.abs(whole) < 1e-6) continue;
        const left = Math.max(0, Math.ceil(Math.min(ax, bx, cx))), right = Math.min(wide - 1, Math.floor(Math.max(ax, bx, cx)));
        const top = Math.max(0, Math.ceil(Math.min(ay, by, cy))), bottom = Math.min(high - 1, Math.floor(Math.max(ay, by, cy)));
        const stepA = (by - cy) / whole, stepB = (cy - ay) / whole;
        for (let row = top; row <= bottom; row++) {
          let shareA = ((by - cy) * (left - cx) + (cx - bx) * (row - cy)) / whole;
          let shareB = ((cy - ay) * (left - cx) + (ax - cx) * (row - cy)) / whole;
          for (let column = left, at = row * wide + left; column <= right; column++, at++, shareA += stepA, shareB += stepB) {
            const shareC = 1 - shareA - shareB;
            if (shareA < -1e-4 || shareB < -1e-4 || shareC < -1e-4) continue;
            const here = shareA * near[a] + shareB * near[b] + shareC * near[c];
            if (here <= depth[at]) continue;
            depth[at] = here;
            face[at] = f / 3;
            pixels[at] = tints[(shareA * shade[a] + shareB * shade[b] + shareC * shade[c]) & 255];
          }
        }
      }
    }

    // Where a point in space stands on the canvas [CSS px], and whether the panel hides it.
    shown([px, py, pz]) {
      const t = this.turned, scale = this.unzoomed * this.zoom;
      const x = this.canvas.clientWidth / 2 + this.shift[0] + scale * (t[0] * px + t[1] * py + t[2] * pz);
      const y = this.canvas.clientHeight / 2 + this.shift[1] - scale * (t[3] * px + t[4] * py + t[5] * pz);
      const [column, row] = [Math.round(x * this.dots), Math.round(y * this.dots)];
      const inside = column >= 0 && row >= 0 && column < this.canvas.width && row < this.canvas.height;
      const front = inside ? this.depth[row * this.canvas.width + column] : -Infinity;
      return { x, y, hidden: front > t[6] * px + t[7] * py + t[8] * pz + 6 / scale };
    }

    // ---- the finger ----

    // The point of the panel under a tap: on one of `lines` (rows of points in space) or the rim where it is near, else
    // in its triangle; null beside the panel.
    pick(x, y, reach, lines) {
      const rim = this.mesh.rim.map((side) => this.mesh.ends(side));
      for (const rows of [lines, rim]) {
        let best = null, least = reach;
        for (const row of rows) {
          for (let k = 1; k < row.length; k++) {
            const [p, q] = [this.shown(row[k - 1]), this.shown(row[k])];
            if (p.hidden && q.hidden) continue;
            const [dx, dy] = [q.x - p.x, q.y - p.y];
            const share = Math.min(1, Math.max(0, ((x - p.x) * dx + (y - p.y) * dy) / (dx * dx + dy * dy || 1)));
            const away = Math.hypot(p.x + share * dx - x, p.y + share * dy - y);
            if (away < least) [best, least] = [between(row[k - 1], row[k], share), away];
          }
        }
        if (best) return best;
      }
      const [column, row] = [Math.round(x * this.dots), Math.round(y * this.dots)];
      const face = this.face[row * this.canvas.width + column];
      if (!(face >= 0)) return null;
      const [a, b, c] = this.mesh.corners(face), [px, py] = [x * this.dots, y * this.dots];
      const whole = (this.y[b] - this.y[c]) * (this.x[a] - this.x[c]) + (this.x[c] - this.x[b]) * (this.y[a] - this.y[c]);
      const shareA = ((this.y[b] - this.y[c]) * (px - this.x[c]) + (this.x[c] - this.x[b]) * (py - this.y[c])) / whole;
      const shareB = ((this.y[c] - this.y[a]) * (px - this.x[c]) + (this.x[a] - this.x[c]) * (py - this.y[c])) / whole;
      return this.mesh.at({ face, shares: [shareA, shareB, 1 - shareA - shareB] });
    }

    listen() {
      const { canvas, held } = this;
      const spot = (event) => {
        const box = canvas.getBoundingClientRect();
        return [event.clientX - box.left, event.clientY - box.top];
      };
      canvas.addEventListener("pointerdown", (event) => {
        if (event.button) return;
        canvas.setPointerCapture(event.pointerId);
        const here = spot(event);
        held.set(event.pointerId, { here, from: here });
        this.isTap = held.size === 1;
      });
      canvas.addEventListener("pointermove", (event) => {
        const mine = held.get(event.pointerId);
        if (!mine) return;
        const last = mine.here, here = mine.here = spot(event);
        if (Math.hypot(here[0] - mine.from[0], here[1] - mine.from[1]) > TAP_PX) this.isTap = false;
        if (this.isTap) return;
        if (held.size === 1) this.turn(here[0] - last[0], here[1] - last[1]);
        else this.pinch(event.pointerId, last, here);
      });
      const end = (event) => {
        const mine = held.get(event.pointerId);
        held.delete(event.pointerId);
        if (event.type !== "pointerup" || !mine || !this.isTap) return;
        clearTimeout(this.resting);
        this.moving = false;
        this.paint(); // what is under the finger is read at rest
        this.tapped(...mine.here, event.pointerType === "mouse" ? MOUSE_PX : FINGER_PX);
      };
      for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, end);
      canvas.addEventListener("wheel", (event) => {
        event.preventDefault();
        this.closer(Math.exp(-event.deltaY * 0.0015), ...spot(event));
      }, { passive: false });
      canvas.addEventListener("keydown", (event) => {
        const by = { ArrowLeft: [-12, 0], ArrowRight: [12, 0], ArrowUp: [0, -12], ArrowDown: [0, 12] }[event.key];
        if (!by) return;
        event.preventDefault();
        this.turn(...by);
      });
    }

    // Two fingers: apart is nearer, together moved is moved.
    pinch(id, last, here) {
      const other = [...this.held].find(([each]) => each !== id)[1].here;
      const far = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]) || 1;
      this.shift = [this.shift[0] + (here[0] - last[0]) / 2, this.shift[1] + (here[1] - last[1]) / 2];
      this.closer(far(here) / far(last), (here[0] + other[0]) / 2, (here[1] + other[1]) / 2);
    }
  }

  window.trimwrightScanView = { ScanView };
})();

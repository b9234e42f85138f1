// A picture with a scale that is drawn on: moved and made larger with fingers, wheel or buttons; points are taken hold of.
// Places are mm, y up. `on` says what is there: grab(place, reach) gives the point nearest by, or null, and at(point)
// its place; drag(point, place) and drop(point, place) while and after it is moved, as far as the finger and no further;
// tap(place, reach) where there was none; shown(mm) with the mm of one pixel.
(() => {
  const TAP_PX = 6, REACH_PX = 26, MOST_TIMES = 40, STEP = 1.6;

  window.Board = class {
    constructor(svg, [left, bottom, wide, high], on) {
      Object.assign(this, { svg, on, all: { x: left, y: -(bottom + high), wide, high }, fingers: new Map(), held: null, aside: [0, 0], moved: false });
      const laid = { x: left, y: -(bottom + high), width: wide, height: high };
      for (const [name, value] of Object.entries(laid)) svg.querySelector("image")?.setAttribute(name, value);
      svg.addEventListener("pointerdown", (event) => this.#down(event));
      svg.addEventListener("pointermove", (event) => this.#move(event));
      for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, (event) => this.#up(event));
      svg.addEventListener("wheel", (event) => { event.preventDefault(); this.zoom(event.deltaY < 0 ? STEP : 1 / STEP, this.place(event)); }, { passive: false });
      new ResizeObserver(() => this.#show()).observe(svg);
      this.whole();
    }

    whole() { this.view = { ...this.all }; this.#show(); }

    zoom(times, [x, y] = this.middle()) {
      const { view, all } = this;
      const by = Math.min(Math.max(times, view.wide / (all.wide * 1.2)), view.wide * MOST_TIMES / all.wide);
      this.view = { x: x - (x - view.x) / by, y: -y - (-y - view.y) / by, wide: view.wide / by, high: view.high / by };
      this.#show();
    }

    middle() { return [this.view.x + this.view.wide / 2, -(this.view.y + this.view.high / 2)]; }

    // Where a pointer is [mm].
    place({ clientX, clientY }) {
      const at = new DOMPoint(clientX, clientY).matrixTransform(this.svg.getScreenCTM().inverse());
      return [at.x, -at.y];
    }

    get mm() { const box = this.svg.getBoundingClientRect(); return Math.max(this.view.wide / (box.width || 1), this.view.high / (box.height || 1)); }

    // Bring a place into sight where it is out of it.
    see([x, y]) {
      const { view } = this, edge = REACH_PX * this.mm;
      view.x += Math.min(0, x - edge - view.x) + Math.max(0, x + edge - view.x - view.wide);
      view.y += Math.min(0, -y - edge - view.y) + Math.max(0, -y + edge - view.y - view.high);
      this.#show();
    }

    #show() {
      const { x, y, wide, high } = this.view;
      this.svg.setAttribute("viewBox", `${x} ${y} ${wide} ${high}`);
      this.on.shown?.(this.mm);
    }

    #down(event) {
      this.svg.setPointerCapture(event.pointerId);
      this.fingers.set(event.pointerId, event);
      if (this.fingers.size > 1) return this.#let();
      this.moved = false;
      const there = this.place(event);
      this.held = this.on.grab?.(there, REACH_PX * this.mm) ?? null;
      if (this.held !== null) this.aside = this.on.at(this.held).map((each, axis) => each - there[axis]);
    }

    #move(event) {
      const before = this.fingers.get(event.pointerId);
      if (!before) return;
      if (!this.moved && Math.hypot(event.clientX - before.clientX, event.clientY - before.clientY) < TAP_PX) return;
      this.moved = true;
      const from = [...this.fingers.values()];
      this.fingers.set(event.pointerId, event);
      if (this.held !== null) return this.on.drag?.(this.held, this.#carried(event));
      const to = [...this.fingers.values()];
      if (to.length > 1) {
        const apart = ([a, b]) => Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) || 1;
        this.zoom(apart(to) / apart(from), this.place(this.#between(to)));
      }
      const [a, b] = [this.place(this.#between(from)), this.place(this.#between(to))];
      this.view.x -= b[0] - a[0];
      this.view.y += b[1] - a[1];
      this.#show();
    }

    #up(event) {
      this.fingers.delete(event.pointerId);
      if (this.fingers.size) return;
      const { held } = this;
      this.held = null;
      if (event.type !== "pointerup") return this.on.let?.(held);
      if (held !== null) this.on.drop?.(held, this.moved ? this.#carried(event) : null);
      else if (!this.moved) this.on.tap?.(this.place(event), REACH_PX * this.mm);
    }

    #carried(event) { return this.place(event).map((each, axis) => each + this.aside[axis]); }

    // A second finger: nothing is moved but the picture.
    #let() {
      if (this.held !== null) this.on.let?.(this.held);
      this.held = null;
      this.moved = true;
    }

    #between(fingers) {
      const mean = (name) => fingers.slice(0, 2).reduce((sum, each) => sum + each[name], 0) / Math.min(2, fingers.length);
      return { clientX: mean("clientX"), clientY: mean("clientY") };
    }
  };
  window.Board.STEP = STEP;
})();

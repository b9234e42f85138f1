// The finish under the finger: ten stitches that are dragged along, or stepped by key, from 0 (ruined) to 10 (as new).
(() => {
  const WIDE = 345, FIRST = 15, PITCH = 30; // as the stitches are drawn
  const STEPS = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 2, PageDown: -2 };
  const inside = (finish) => Math.max(0, Math.min(10, finish));

  class Stitches {
    // `words` are those of the finishes, `unseen` that of none; `now()` tells the finish as it stands, `told` is called
    // with the one chosen.
    constructor(slider, words, unseen, { now, told }) {
      Object.assign(this, { slider, words, unseen, now, told, dragged: null });
      slider.hidden = false;
      slider.addEventListener("pointerdown", (event) => {
        slider.setPointerCapture(event.pointerId);
        this.drag(event);
      });
      slider.addEventListener("pointermove", (event) => { if (this.dragged !== null) this.drag(event); });
      slider.addEventListener("pointerup", () => { if (this.dragged !== null) told(this.dragged); this.dragged = null; });
      slider.addEventListener("pointercancel", () => { this.dragged = null; this.show(now()); });
      slider.addEventListener("keydown", (event) => {
        const wanted = this.stepped(event.key);
        if (wanted === undefined) return;
        event.preventDefault();
        this.show(wanted);
        told(wanted);
      });
    }

    drag(event) {
      const box = this.slider.getBoundingClientRect();
      this.dragged = inside(Math.round(((event.clientX - box.left) / box.width * WIDE - FIRST) / PITCH));
      this.show(this.dragged);
    }

    stepped(key) {
      if (key in STEPS) return inside((this.now() ?? 0) + STEPS[key]);
      if (key === "Home") return 0;
      if (key === "End") return 10;
      if (/^[0-9]$/.test(key)) return Number(key);
      if (key === "Delete" || key === "Backspace") return null;
      return undefined;
    }

    show(finish) {
      const { slider } = this;
      const word = finish === null ? this.unseen : this.words[finish];
      slider.querySelectorAll("path").forEach((each, at) => each.setAttribute("class", at < finish ? "now" : "rest"));
      slider.classList.toggle("unset", finish === null);
      slider.setAttribute("aria-valuenow", finish ?? 0);
      slider.setAttribute("aria-valuetext", finish === null ? word : `${finish}: ${word}`);
      document.querySelector("[data-finish-word]").textContent = word;
      document.querySelector("[data-finish-figure]").textContent = finish ?? "?";
      document.getElementById("finish").value = finish ?? "";
    }
  }

  window.Stitches = Stitches;
})();

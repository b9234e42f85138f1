// A part's size by the tape: what each shape is measured by, and the working while figures are typed, asked of the server.
(() => {
  class Tape {
    // `form` has the shapes and measures; `address()` is where the working is asked.
    constructor(form, address) {
      Object.assign(this, { form, address, asking: 0 });
      this.working = form.querySelector("[data-working]");
    }

    has(field) {
      return Boolean(field.closest("[data-tape]"));
    }

    clear() {
      for (const input of this.form.querySelectorAll(".measures input")) input.value = "";
      this.working.replaceChildren();
      this.showShape();
    }

    showShape() {
      const shape = this.form.querySelector("[name=shape]:checked");
      const measures = shape.dataset.measures.split(";");
      ["a", "b", "c"].forEach((letter, at) => {
        const label = this.form.querySelector(`[data-measure="${letter}"]`);
        label.textContent = measures[at] ?? "";
        label.closest("div").hidden = !measures[at];
      });
      this.working.textContent = shape.dataset.formula;
    }

    fields() {
      const form = new FormData(this.form);
      return ["shape", "measure-a", "measure-b", "measure-c"].map((name) => [name, form.get(name)]);
    }

    async showWorking() {
      const asked = ++this.asking;
      const wanted = [...this.form.querySelectorAll(".measures input")].filter((each) => !each.closest("div").hidden);
      if (wanted.some((each) => !each.value.trim())) return this.showShape();
      try {
        const response = await fetch(`${this.address()}?${new URLSearchParams(this.fields())}`, { headers: { Accept: "application/json" } });
        const { working, problems } = await response.json();
        if (asked === this.asking) this.working.textContent = working || problems.join(" ");
      } catch {
        this.showShape();
      }
    }
  }

  window.Tape = Tape;
})();

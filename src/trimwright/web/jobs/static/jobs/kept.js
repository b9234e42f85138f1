// What every page does that goes on when the line is lost: each posted form waits in the queue until the server has
// answered for it, what waits and what asks is shown, undo takes back what waits first, and the pages themselves are
// kept by the browser where it can. The page's own script says what an entry is about and shows it.
(() => {
  const LONGEST = 2560; // px; what the server keeps at most
  const NOT_TOLD = ["csrfmiddlewaretoken", "revision", "edit_id"];
  const words = JSON.parse(document.getElementById("words")?.textContent ?? "{}");
  const say = (word, values = {}) => words[word].replace(/\{(\w+)\}/g, (_, name) => values[name]);
  const $ = (selector, inside = document) => inside.querySelector(selector);
  const $$ = (selector, inside = document) => [...inside.querySelectorAll(selector)];

  class Kept {
    // `root` names the job in its data; `page` has `show()`, `became(entry, answer)`, `elsewhere()`, `nameOf(entry)`,
    // `flush()` for what is being typed, `addresses()` of pages to keep, and `keepsTyped` where its forms stay as typed.
    constructor(root, page) {
      Object.assign(this, { root, page, goesOn: new Set() }); // ids of entries after which the page goes where the answer says
    }

    async start() {
      const token = $("[name=csrfmiddlewaretoken]", this.root).value;
      const heard = { told: () => this.show(), became: (...told) => this.became(...told), elsewhere: () => this.page.elsewhere() };
      this.queue = await window.trimwrightQueue.start(this.root.dataset.job, token, heard);
      if (!this.queue) return false; // a browser that keeps nothing: the plain forms do
      this.root.classList.add("scripted");
      document.body.addEventListener("htmx:beforeRequest", (event) => { if (!navigator.onLine) event.preventDefault(); });
      return true;
    }

    ready() {
      this.setUpForms();
      this.setUpUndo();
      this.show();
      this.queue.send();
      this.keepPages();
      this.root.dataset.ready = "";
    }

    show() {
      this.showWaiting();
      this.showUndo();
      this.page.show();
    }

    // Saying something.

    // A browser that is full says so at once: what is not kept is not shown as if it were.
    async keep(entry) {
      try {
        await this.queue.add(entry);
        return true;
      } catch {
        const card = document.createElement("p");
        Object.assign(card, { className: "sheet problems", textContent: `${this.page.nameOf(entry)}: ${say("full")}` });
        $("[data-asked]", this.root).after(card);
        return false;
      }
    }

    leaveWith(entry) {
      const id = window.trimwrightQueue.newId();
      this.goesOn.add(id);
      return this.keep({ ...entry, id, control: "" });
    }

    async became(entry, answer) {
      await this.page.became(entry, answer);
      if (answer.line) this.lastLine = answer.line;
      if (this.goesOn.delete(entry.id) && answer.next) this.goTo(new URL(answer.next, location.href));
    }

    // A place on this very page is there only once the page is asked for anew.
    goTo(next) {
      const here = next.pathname === location.pathname && next.search === location.search;
      location.assign(next);
      if (here) location.reload();
    }

    // What a form says; files stand apart.
    fieldsOf(form, button) {
      return [...new FormData(form, button)].filter(([name, value]) => !NOT_TOLD.includes(name) && !(value instanceof File));
    }

    setUpForms() {
      for (const form of $$("form[data-keep]", this.root)) {
        if (form.dataset.set !== undefined) continue;
        form.dataset.set = "";
        form.addEventListener("submit", async (event) => {
          event.preventDefault();
          const told = this.fieldsOf(form, event.submitter);
          $("button:not([type=button])", form).disabled = true;
          await this.leaveWith({ url: form.action, part: "", fields: told, seen: form.elements.revision.value, what: form.dataset.what });
        });
      }
    }

    // Photos are made smaller before they wait, so that they weigh less in the browser and on the line.
    async smaller(file) {
      try {
        const bitmap = await createImageBitmap(file);
        const scale = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
        const canvas = document.createElement("canvas");
        canvas.width = Math.round(bitmap.width * scale);
        canvas.height = Math.round(bitmap.height * scale);
        canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
        const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85));
        return blob && blob.size < file.size ? blob : file;
      } catch {
        return file; // the server says what is wrong with it
      }
    }

    // What waits, and what asks.

    showWaiting() {
      const count = this.queue.entries.length;
      const line = $("[data-waiting]", this.root);
      const waits = say("waiting", { count });
      line.hidden = !count;
      line.textContent = { idle: waits, sending: waits, away: say("away", { count }), locked: say("locked", { count }) }[this.queue.state];
      line.classList.toggle("away", this.queue.state === "away");
      const asked = $("[data-asked]", this.root);
      const open = this.queue.entries.filter((each) => each.asks || each.refused);
      if (asked.dataset.of === open.map((each) => each.number).join()) return;
      asked.dataset.of = open.map((each) => each.number).join();
      asked.replaceChildren(...open.map((each) => (each.asks ? this.question(each) : this.refusal(each))));
    }

    // The server's own card, both values on it, its two buttons answered here.
    question(entry) {
      const card = new DOMParser().parseFromString(entry.asks.html, "text/html").body.firstElementChild;
      $("form", card).addEventListener("submit", (event) => { event.preventDefault(); this.queue.insist(entry); });
      $("[data-keep-theirs]", card).addEventListener("click", async (event) => {
        event.preventDefault();
        event.stopPropagation();
        await this.letGo(entry);
      });
      return card;
    }

    refusal(entry) {
      const card = document.createElement("section");
      card.className = "sheet problems";
      const told = entry.refused.map((each) => [each.where && `${each.where}:`, each.what, each.way_out].filter(Boolean).join(" ")).join(" ");
      const button = Object.assign(document.createElement("button"), { type: "button", className: "button second", textContent: "OK" });
      button.addEventListener("click", () => this.letGo(entry));
      card.append(Object.assign(document.createElement("p"), { textContent: `${this.page.nameOf(entry)}: ${say("refused")} ${told}` }), button);
      return card;
    }

    async letGo(entry) {
      await this.queue.drop(entry);
      await this.queue.forget(entry.part ?? "");
      const typedStays = entry.refused && this.page.keepsTyped; // to be put right and sent again
      if (typedStays) for (const button of $$("form[data-keep] button:disabled", this.root)) button.disabled = false;
      else if (!this.queue.entries.length) location.reload();
    }

    // The button takes back what waits last, else what this browser changed last.
    showUndo() {
      const waits = this.queue.entries.at(-1);
      for (const form of $$("[data-undo]", this.root)) {
        const line = $("[data-line]", form);
        if (waits) line.textContent = [this.page.nameOf(waits), say("undo_waiting")].filter(Boolean).join(": ");
        else if (this.lastLine) line.textContent = this.lastLine;
        form.hidden = !line.textContent;
      }
    }

    setUpUndo() {
      for (const form of $$("[data-undo]", this.root)) {
        form.addEventListener("submit", (event) => {
          this.page.flush();
          form.elements.next.value = location.pathname;
          const waits = this.queue.entries.at(-1);
          if (!waits) return;
          event.preventDefault();
          if (waits.number !== this.queue.now) this.queue.drop(waits);
        });
      }
    }

    // Pages kept by the browser. An address without HTTPS has no worker: the open page still goes on.
    keepPages() {
      if (!("serviceWorker" in navigator)) return;
      navigator.serviceWorker.register(this.root.dataset.keeper).then(async (registration) => {
        const worker = registration.active ?? registration.installing ?? registration.waiting;
        const files = $$("script[src], link[rel=stylesheet]").map((each) => each.src ?? each.href);
        navigator.serviceWorker.addEventListener("message", (event) => { if (event.data?.kept) this.root.dataset.kept = ""; });
        worker?.postMessage({ keep: [...new Set([...this.page.addresses(), ...files])].filter(Boolean) });
      }).catch(() => {}); // without it everything works while the page is open
    }
  }

  window.trimwrightKept = { Kept, say, words };
})();

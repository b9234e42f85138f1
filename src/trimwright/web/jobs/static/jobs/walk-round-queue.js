// What was said and cannot be sent yet: kept in the browser in its order, sent when the line is back.
//
// An entry is one posted form: where to, its fields, the revision it was made on, an id of its own. The id makes it
// harmless to send one twice; two entries of the same control follow each other, so the later is made on what the
// earlier became. An entry leaves the queue only when the server has answered for it, or the person has let it go.
// No script of ours but this one talks to the browser's store.
(() => {
  const SLOWEST_MS = 30000;
  const PATIENCE_MS = 20000;
  const PATIENCE_WITH_PHOTO_MS = 180000;
  const NAME = "trimwright-walk-round";

  const done = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

  function open() {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("entries", { keyPath: "number", autoIncrement: true });
      request.result.createObjectStore("known", { keyPath: ["job", "part"] });
    };
    return done(request);
  }

  function newId() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (each) => each.toString(16).padStart(2, "0")).join("");
  }

  class Queue {
    // `told` is called whenever what waits has changed, `became` with an entry and the server's answer to it,
    // `elsewhere` when another page of this browser has changed something.
    constructor(database, job, token, { told, became, elsewhere }) {
      Object.assign(this, { database, job, token, told, became, elsewhere });
      this.entries = [];
      this.state = "idle"; // idle, sending, away, locked
      this.wait = 0;
      this.others = "BroadcastChannel" in window ? new BroadcastChannel(NAME) : null;
      this.others?.addEventListener("message", (event) => {
        if (event.data === this.job) Promise.all([this.reread(), this.elsewhere()]).then(() => this.told());
      });
      window.addEventListener("online", () => this.send());
      window.addEventListener("offline", () => { if (this.entries.length) this.away(); });
      document.addEventListener("visibilitychange", () => { if (!document.hidden) this.send(); });
    }

    store(name, mode) {
      return this.database.transaction(name, mode).objectStore(name);
    }

    async reread() {
      const all = await done(this.store("entries", "readonly").getAll());
      const last = all.at(-1)?.number ?? 0;
      const younger = this.entries.filter((each) => each.number > last); // added since the store was asked
      this.entries = [...all.filter((each) => each.job === this.job), ...younger];
    }

    async known() {
      const all = await done(this.store("known", "readonly").getAll());
      return all.filter((each) => each.job === this.job);
    }

    async know(part, revision, data) {
      await done(this.store("known", "readwrite").put({ job: this.job, part, revision, data }));
    }

    async forget(part) {
      await done(this.store("known", "readwrite").delete([this.job, part]));
    }

    // Keep one posted form. While its forerunner of the same control has not been tried yet, it takes its place.
    async add(entry) {
      const before = this.entries.findLast((each) => each.part === entry.part && each.control === entry.control);
      if (entry.control && before && !before.tried && before.number !== this.now) {
        before.fields = entry.fields;
        await this.keep(before);
      } else {
        const kept = { job: this.job, id: newId(), tried: false, ...entry };
        kept.number = await done(this.store("entries", "readwrite").add(kept));
        this.entries.push(kept);
      }
      this.changed();
      this.send();
    }

    async keep(entry) {
      await done(this.store("entries", "readwrite").put(entry));
    }

    async drop(entry) {
      await done(this.store("entries", "readwrite").delete(entry.number));
      this.entries = this.entries.filter((each) => each.number !== entry.number);
      this.changed();
    }

    changed() {
      this.told();
      this.others?.postMessage(this.job);
    }

    // The next one to send: those that wait for an answer of the person's hold up only what is of the same control.
    next() {
      const held = new Set();
      for (const each of this.entries) {
        const about = `${each.part} ${each.control}`;
        if (each.asks || each.refused) held.add(about);
        else if (!held.has(about) || !each.control) return each;
      }
      return null;
    }

    async send() {
      if (this.state === "sending") { this.again = true; return; }
      clearTimeout(this.timer);
      this.state = "sending";
      this.told();
      await this.reread(); // another page of ours may have sent some
      let entry = this.next();
      while (entry && this.state === "sending") {
        await this.post(entry);
        entry = this.next();
      }
      if (this.state === "sending") { this.state = "idle"; this.wait = 0; }
      this.told();
      if (this.again && this.state === "idle") { this.again = false; if (this.next()) this.send(); }
      this.again = false;
    }

    async post(entry) {
      this.now = entry.number;
      entry.tried = true;
      await this.keep(entry);
      const body = new FormData();
      for (const [name, value] of entry.fields) body.append(name, value);
      if (entry.photo) body.append("photo", entry.photo, "photo.jpg");
      body.set("revision", entry.seen);
      body.set("edit_id", entry.id);
      body.set("csrfmiddlewaretoken", this.token);
      let response, answer;
      try {
        response = await fetch(entry.url, { method: "POST", body, headers: { Accept: "application/json" }, credentials: "same-origin", signal: AbortSignal.timeout(entry.photo ? PATIENCE_WITH_PHOTO_MS : PATIENCE_MS) });
        if (response.redirected || response.status === 403) { this.state = "locked"; return; }
        if (response.status >= 500) throw new Error(response.statusText);
        answer = await response.json();
      } catch {
        this.away();
        return;
      } finally {
        this.now = null;
      }
      if (response.ok) await this.acknowledged(entry, answer);
      else if (response.status === 409) { entry.asks = answer; await this.keep(entry); }
      else { entry.refused = answer.problems || [{ what: response.statusText }]; await this.keep(entry); }
    }

    async acknowledged(entry, answer) {
      for (const each of this.entries) {
        const follows = each.number > entry.number && each.part === entry.part && each.control === entry.control;
        if (entry.control && follows) { each.seen = answer.revision; await this.keep(each); }
      }
      await this.became(entry, answer);
      await this.drop(entry);
    }

    away() {
      this.state = "away";
      this.wait = Math.min(SLOWEST_MS, Math.max(1000, this.wait * 2));
      clearTimeout(this.timer);
      this.timer = setTimeout(() => { this.state = "idle"; this.send(); }, this.wait);
      this.told();
    }

    // The person's answer to a question: mine stands, made on what stands there now; or it goes.
    async insist(entry) {
      entry.seen = entry.asks.revision;
      delete entry.asks;
      await this.keep(entry);
      this.send();
    }
  }

  window.trimwrightQueue = {
    newId,
    // null where the browser keeps nothing.
    async start(job, token, page) {
      const database = await open().catch(() => null);
      if (!database) return null;
      const queue = new Queue(database, job, token, page);
      await queue.reread();
      return queue;
    },
  };
})();

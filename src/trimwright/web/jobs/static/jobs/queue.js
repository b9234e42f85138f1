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
  const NAME = "trimwright-waiting";

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

    // Several pages of one browser share the store: what depends on what stands there is read and written in one go.
    change(work) {
      const transaction = this.database.transaction("entries", "readwrite");
      let result;
      work(transaction.objectStore("entries"), (value) => { result = value; });
      return new Promise((resolve, reject) => {
        transaction.oncomplete = () => resolve(result);
        transaction.onabort = () => reject(transaction.error);
      });
    }

    async reread() {
      const all = await done(this.store("entries", "readonly").getAll());
      this.entries = all.filter((each) => each.job === this.job);
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
      const before = this.entries.findLast((each) => entry.control && each.part === entry.part && each.control === entry.control);
      const kept = { job: this.job, id: newId(), tried: false, ...entry };
      const written = await this.change((entries, told) => {
        const look = entries.get(before?.number ?? 0);
        look.onsuccess = () => {
          const there = look.result;
          const same = there && !there.tried ? { ...there, fields: entry.fields } : kept;
          entries.put(same).onsuccess = (event) => told({ ...same, number: event.target.result });
        };
      });
      this.entries = [...this.entries.filter((each) => each.number !== written.number), written].sort((a, b) => a.number - b.number);
      this.changed();
      this.send();
    }

    // The entry as it stands, marked as tried; undefined when another page of ours has brought it through.
    claim(entry) {
      return this.change((entries, told) => {
        const look = entries.get(entry.number);
        look.onsuccess = () => {
          if (!look.result) return;
          look.result.tried = true;
          entries.put(look.result);
          told(look.result);
        };
      });
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

    // The next one to send: those that wait for an answer of the person's, or for a hold of the server's to be over, hold
    // up only what is of the same control.
    next() {
      const held = new Set();
      for (const each of this.entries) {
        const about = `${each.part} ${each.control}`;
        if (each.asks || each.refused || each.until > Date.now()) held.add(about);
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
      if (this.state === "sending") { this.state = "idle"; this.wait = 0; this.comeBack(); }
      this.told();
      if (this.again && this.state === "idle") { this.again = false; if (this.next()) this.send(); }
      this.again = false;
    }

    async post(waiting) {
      this.now = waiting.number;
      const entry = await this.claim(waiting);
      if (!entry) {
        this.entries = this.entries.filter((each) => each.number !== waiting.number);
        return;
      }
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
      if (response.ok) return this.acknowledged(entry, answer);
      if (response.status === 409) entry.asks = answer;
      else if (answer.wait_s) entry.until = Date.now() + 1000 * answer.wait_s;
      else entry.refused = answer.problems ?? [{ what: response.statusText }];
      await this.keep(entry);
      await this.reread();
    }

    // What follows on the same control was made on what this one became.
    async acknowledged(entry, answer) {
      await this.became(entry, answer);
      await this.change((entries) => {
        const look = entries.getAll();
        look.onsuccess = () => {
          for (const each of look.result) {
            const follows = each.number > entry.number && each.job === entry.job && each.part === entry.part && each.control === entry.control;
            if (entry.control && follows) entries.put({ ...each, seen: answer.own ?? answer.revision });
          }
          entries.delete(entry.number);
        };
      });
      this.entries = this.entries.filter((each) => each.number !== entry.number);
      await this.reread();
      this.changed();
    }

    // When the first hold is over, what waits for it is sent.
    comeBack() {
      const untils = this.entries.map((each) => each.until).filter((until) => until > Date.now());
      if (untils.length) this.timer = setTimeout(() => this.send(), Math.min(...untils) - Date.now() + 50);
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

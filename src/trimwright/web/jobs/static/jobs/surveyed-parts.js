// What is known of a surveyed cabin's parts: the page's word, the server's later answers, then what is said and waits.
// The trade's faults and materials stand in the catalogue beside it.
(() => {
  const { say } = window.trimwrightKept;

  class SurveyedParts {
    // `cabin` is the page's word, null on a page without parts; `kept` keeps what is said until the server has it.
    constructor(cabin, kept) {
      Object.assign(this, { cabin, kept, queue: kept.queue, saying: [], pictures: new Map() });
      this.parts = new Map((cabin?.parts ?? []).map((each) => [each.id, each]));
    }

    async start() {
      await this.learnWhatIsKnown();
      this.catalogue = await (await fetch(this.cabin.urls.catalogue)).json();
    }

    async learnWhatIsKnown() {
      if (!this.cabin) return;
      for (const part of this.cabin.parts) this.parts.set(part.id, part);
      for (const { part, revision, data } of await this.queue.known()) {
        if (revision <= this.cabin.revision) await this.queue.forget(part);
        else if (this.parts.has(part)) this.parts.set(part, data);
      }
    }

    get ids() {
      return [...this.parts.keys()];
    }

    has(id) {
      return this.parts.has(id);
    }

    nameOf(id) {
      return this.parts.get(id)?.name;
    }

    revisionOf(id) {
      return this.parts.get(id).revision ?? this.cabin.revision;
    }

    // A part as it stands now.
    now(id) {
      const { small_photo: small, photo: large } = this.cabin.urls;
      const part = { ...this.parts.get(id) };
      part.faults = { ...part.faults };
      part.photos = part.photos.map((name) => ({ name, small: small.replace("PHOTO", name), url: large.replace("PHOTO", name) }));
      for (const entry of this.queue.entries) {
        if (entry.part !== id) continue;
        if (entry.photo) part.photos.push({ small: this.picture(entry), waits: true });
        for (const [name, value] of entry.fields) this.take(part, name, value);
      }
      for (const each of this.saying) if (each.part === id) for (const [name, value] of each.fields) this.take(part, name, value);
      return part;
    }

    take(part, name, value) {
      if (name === "finish") part.finish = value === "" ? null : Number(value);
      else if (name.startsWith("fault-")) {
        if (value) part.faults[name.slice(6)] = value;
        else delete part.faults[name.slice(6)];
      } else if (name === "missing") part.missing = Number(value);
      else if (name === "then" && value === "measure") part.area = say("measured");
      else if (name === "drop_photo") part.photos = part.photos.filter((each) => each.name !== value);
      else if (name === "kind") {
        const usual = this.catalogue.kinds[value];
        part.kind = value;
        if (!usual?.includes(part.material)) part.material = usual?.[0] ?? part.material;
      } else if (name in part && typeof part[name] === "string") part[name] = value;
    }

    // A photo that waits, as an address of the page's own.
    picture(entry) {
      if (!this.pictures.has(entry.number)) this.pictures.set(entry.number, URL.createObjectURL(entry.photo));
      return this.pictures.get(entry.number);
    }

    isSeen(id) {
      return this.now(id).finish !== null;
    }

    nextToSee(id) {
      const { ids } = this;
      const at = ids.indexOf(id) + 1;
      return [...ids.slice(at), ...ids.slice(0, at)].find((each) => each !== id && !this.isSeen(each));
    }

    // Say something of a part; whether it is kept.
    async tell(part, control, fields) {
      const said = { part, fields };
      this.saying.push(said); // shown at once, on its way into the queue
      const url = this.cabin.urls.part.replace("PART", part);
      const stands = await this.kept.keep({ url, part, control, fields, seen: this.revisionOf(part) });
      this.saying.splice(this.saying.indexOf(said), 1);
      return stands;
    }

    async became(entry, answer) {
      const part = this.parts.get(entry.part);
      if (entry.photo && part) {
        // the answer tells of the photo alone: what else the part is known by stays as old as it was
        const photos = [...part.photos.filter((name) => name !== answer.photo), answer.photo];
        await this.learn({ ...part, photos }, answer.revision);
      } else if (answer.part) {
        await this.learn({ ...answer.part, revision: answer.revision }, answer.revision);
      }
    }

    async learn(part, revision) {
      this.parts.set(part.id, part);
      await this.queue.know(part.id, revision, part);
    }
  }

  window.SurveyedParts = SurveyedParts;
})();

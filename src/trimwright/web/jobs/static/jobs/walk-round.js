// The walk-round on the phone: from part to part without asking the server, and every control kept in the queue before
// anything else happens. Pages work without this; it only makes them quick and lets them outlast a lost line. What is
// known of the parts stands in surveyed-parts.js; the cabin's data stands on the page.
(() => {
  const walk = document.getElementById("walk");
  const cabin = JSON.parse(document.getElementById("cabin")?.textContent ?? "null");
  const $ = (selector, inside = walk) => inside.querySelector(selector);
  const $$ = (selector, inside = walk) => [...inside.querySelectorAll(selector)];
  const { SurveyedParts, Stitches, Tape } = window;
  const { Kept, say } = window.trimwrightKept;
  const EXTENTS = ["light", "medium", "heavy"];

  let kept, known, stitches, tape, current;

  const isSeen = (part) => part.finish !== null; // of a part as it stands now

  // Saying something.

  async function tell(control, fields) {
    if (!await known.tell(current, control, fields)) show();
  }

  function tellFinish(finish) {
    $("[data-finish-help]").hidden = true;
    tell("finish", [["finish", finish === null ? "" : String(finish)]]);
  }

  // Faults.

  function faultChip(id, extent) {
    const fault = known.catalogue.faults[id];
    const chip = document.getElementById("fault-chip").content.firstElementChild.cloneNode(true);
    chip.dataset.fault = id;
    for (const each of $$("[data-name]", chip)) each.textContent = fault.name;
    $("[data-look-for]", chip).textContent = fault.look_for;
    $("[data-measured]", chip).textContent = fault.measure;
    $$("input", chip).forEach((input) => { input.name = `fault-${id}`; input.checked = input.value === (extent ?? ""); });
    $$("[data-grade]", chip).forEach((grade, at) => { grade.textContent = fault.grades[at]; });
    $$("[data-cap]", chip).forEach((input, at) => { input.dataset.cap = fault.caps[at]; });
    showExtent(chip, extent);
    return chip;
  }

  function showExtent(chip, extent) {
    chip.classList.toggle("chosen", Boolean(extent));
    $("[data-extent]", chip).textContent = extent ? cabin.extent_words[extent] : "";
    for (const input of $$("input", chip)) input.checked = input.value === (extent ?? "");
  }

  function showFaults(part) {
    const box = $("[data-faults]");
    const wanted = Object.keys(known.catalogue.faults).filter((id) => known.catalogue.faults[id].materials.includes(part.material) || id in part.faults);
    const there = $$("[data-fault]", box).map((each) => each.dataset.fault);
    if (box.dataset.of !== part.id || wanted.join() !== there.join()) {
      box.replaceChildren(...wanted.map((id) => faultChip(id, part.faults[id])));
      box.dataset.of = part.id;
    } else {
      for (const chip of $$("[data-fault]", box)) showExtent(chip, part.faults[chip.dataset.fault]);
    }
  }

  function tellFault(input) {
    const id = input.name.slice(6);
    const { finish } = known.now(current);
    input.closest("details").open = false;
    tell(input.name, [[input.name, input.value]]);
    if (input.value && finish === null) {
      const cap = known.catalogue.faults[id].caps[EXTENTS.indexOf(input.value)];
      tell("finish", [["finish", String(cap)]]);
      $("[data-finish-help]").textContent = say("capped", { finish: cap });
      $("[data-finish-help]").hidden = false;
    }
    $("summary", $(`[data-fault="${CSS.escape(id)}"]`))?.focus({ preventScroll: true });
  }

  // Photos.

  async function tellPhotos(input) {
    const files = [...input.files];
    const part = current;
    input.value = "";
    for (const file of files) {
      const photo = await kept.smaller(file);
      await kept.keep({ url: cabin.urls.photos, part, control: "", fields: [["part", part]], photo, seen: cabin.revision });
    }
  }

  function showPhotos(part) {
    const box = $("[data-thumbs]");
    const looks = part.photos.map((each) => each.small).join();
    if (box.dataset.looks === looks) return;
    box.dataset.looks = looks;
    box.replaceChildren(...part.photos.map((each, at) => {
      const figure = document.getElementById("thumb").content.firstElementChild.cloneNode(true);
      Object.assign($("img", figure), { src: each.small, alt: say("photo", { number: at + 1 }) });
      if (each.url) $("a", figure).href = each.url;
      const button = $("button", figure);
      button.hidden = Boolean(each.waits);
      button.setAttribute("aria-label", `${button.textContent} ${say("photo", { number: at + 1 })}`);
      button.addEventListener("click", () => tell(`photo ${each.name}`, [["drop_photo", each.name]]));
      return figure;
    }));
  }

  // Showing a part, the list, the plan.

  function showPart() {
    const part = known.now(current);
    const form = $("#part-form");
    form.action = cabin.urls.part.replace("PART", part.id);
    form.dataset.part = part.id;
    $("[name=part]", $("#photo-form")).value = part.id;
    $("#remove-form").action = cabin.urls.remove.replace("PART", part.id);
    $("[data-title]").textContent = part.name;
    $("[data-cautions]").replaceChildren(...part.cautions.map((each) => Object.assign(document.createElement("p"), { className: "caution", textContent: each })));
    stitches.show(part.finish);
    showFaults(part);
    showPhotos(part);
    const size = part.area || (part.usual.area || part.usual.edge ? say("usually", { size: part.usual.area || part.usual.edge }) : say("not_known"));
    $("[data-size]").textContent = size;
    for (const [name, value] of [["missing", part.missing], ["area", part.area], ["edge", part.edge], ["notes", part.notes], ["name", part.name], ["kind", part.kind]]) {
      const field = form.elements[name];
      if (field !== document.activeElement) field.value = value;
    }
    form.elements.area.placeholder = part.usual.area;
    form.elements.edge.placeholder = part.usual.edge;
    showMaterials(part, form.elements.material);
    showPrimary(part);
  }

  function showMaterials(part, select) {
    const usual = known.catalogue.kinds[part.kind] ?? [];
    $("[data-usual]", select).replaceChildren(...usual.map((id) => new Option(known.catalogue.families[id], id)));
    select.value = part.material;
    $("[data-identity]").textContent = known.catalogue.families[part.material];
  }

  function showPrimary(part) {
    const primary = $("[data-primary]");
    const sound = part.finish === null && !Object.keys(part.faults).length;
    const onward = known.nextToSee(part.id);
    primary.value = sound ? "sound" : "next";
    primary.textContent = sound ? say("sound_next") : onward ? say("next", { name: known.nameOf(onward) }) : say("all_seen");
  }

  function showList() {
    const all = known.ids.map((id) => known.now(id));
    const seen = all.filter(isSeen).length;
    $("[data-seen]").textContent = say("seen", { seen, parts: all.length });
    for (const part of all) {
      const told = $("[data-told]", $(`[data-row="${CSS.escape(part.id)}"]`));
      const count = Object.keys(part.faults).length;
      if (isSeen(part)) told.replaceChildren(count === 1 ? `${say("fault")} · ` : count ? `${say("faults", { count })} · ` : "", Object.assign(document.createElement("b"), { textContent: part.finish }));
      else told.textContent = say("to_see");
      told.previousElementSibling.textContent = part.name;
      showRegion(part);
    }
    for (const zone of $$("[data-zone]")) {
      const left = $$("[data-row]", zone).filter((row) => !known.isSeen(row.dataset.row)).length;
      $("[data-left]", zone).textContent = left ? say("left", { count: left }) : "";
    }
    const onward = known.nextToSee(current);
    const link = $("[data-onward]");
    if (link) {
      link.hidden = !onward;
      if (onward) Object.assign(link, { href: cabin.urls.part.replace("PART", onward), textContent: say("next", { name: known.nameOf(onward) }) });
    }
  }

  function showRegion(part) {
    const region = $(`.plan [data-part="${CSS.escape(part.id)}"]`);
    const shape = region && $(".shape", region);
    if (!shape) return;
    region.classList.remove("hatched", ...Array.from({ length: 11 }, (_, finish) => `f${finish}`));
    region.classList.add(isSeen(part) ? `f${part.finish}` : "hatched");
    if (isSeen(part)) shape.removeAttribute("fill");
    else shape.setAttribute("fill", "url(#cabin-unseen)");
    region.classList.toggle("selected", part.id === current && document.body.classList.contains("at-part"));
    region.setAttribute("aria-label", `${part.name}: ${isSeen(part) ? `${part.finish}, ${cabin.finish_words[part.finish]}` : say("not_seen")}`);
    $("title", region).textContent = region.getAttribute("aria-label");
  }

  function show() {
    if (!known?.catalogue) return;
    if (document.body.classList.contains("at-part")) showPart();
    showList();
  }

  function goTo(id, { push = true } = {}) {
    flush();
    const atPart = id !== null && known.has(id);
    if (atPart) current = id;
    document.body.classList.toggle("at-part", atPart);
    document.body.classList.toggle("at-list", !atPart);
    $("[data-view=part]").hidden = !atPart;
    $("[data-view=list]").hidden = atPart;
    if (!atPart) $("[data-title]").textContent = $("[data-title]").dataset.listTitle;
    for (const each of $$("#part-form details[open]")) each.open = false;
    $("[data-finish-help]").hidden = true;
    tape.clear();
    const address = atPart ? cabin.urls.part.replace("PART", id) : cabin.urls.list;
    if (push) history.pushState({}, "", address);
    document.title = `${$("[data-title]").textContent} · ${document.title.split(" · ").slice(1).join(" · ")}`;
    show();
    if (atPart) $("details.note").open = Boolean(known.now(id).notes);
    window.scrollTo(0, 0);
    $("[data-title]").focus({ preventScroll: true });
  }

  function partAt(address) {
    const [before, after] = cabin.urls.part.split("PART");
    const { pathname, origin } = new URL(address, location.href);
    if (origin !== location.origin) return undefined;
    if (pathname === cabin.urls.list) return null;
    if (!pathname.startsWith(before) || !pathname.endsWith(after)) return undefined;
    const id = decodeURIComponent(pathname.slice(before.length, -after.length));
    return known.has(id) ? id : undefined;
  }

  // Hands.

  const typed = new Map(); // text that is being typed: kept after a pause, and at once when anything else happens

  function flush() {
    for (const [field, timer] of typed) {
      clearTimeout(timer);
      typed.delete(field);
      tell(field.name, [[field.name, field.value]]);
    }
  }

  function setUpPart() {
    const form = $("#part-form");
    const heard = { now: () => known.now(current).finish, told: tellFinish };
    stitches = new Stitches($(".gauge"), cabin.finish_words, say("not_seen"), heard);
    tape = new Tape(form, () => cabin.urls.size.replace("PART", current));
    $(".ends").hidden = false;
    $("#finish").hidden = $("[data-finish-help]").hidden = true;
    for (const input of $$("[data-photo]")) {
      input.addEventListener("change", () => tellPhotos(input));
      if (!input.capture) input.multiple = true;
    }
    for (const button of $$("[data-less], [data-more]")) {
      button.hidden = false;
      button.addEventListener("click", () => {
        const wanted = Math.max(0, Number(form.elements.missing.value) + ("less" in button.dataset ? -1 : 1));
        form.elements.missing.value = wanted;
        tell("missing", [["missing", String(wanted)]]);
      });
    }
    form.addEventListener("input", (event) => {
      const field = event.target;
      if (tape.has(field)) return field.name === "shape" ? tape.showShape() : tape.showWorking();
      if (!["notes", "name", "area", "edge", "missing"].includes(field.name)) return;
      clearTimeout(typed.get(field));
      typed.set(field, setTimeout(() => { typed.delete(field); tell(field.name, [[field.name, field.value]]); }, field.name === "notes" ? 400 : 1200));
    });
    form.addEventListener("change", (event) => {
      const field = event.target;
      if (field.name.startsWith("fault-")) tellFault(field);
      else if (field.name === "material" || field.name === "kind") tell(field.name, [[field.name, field.value]]);
      else if (field.name === "shape") tape.showWorking();
      else if (typed.has(field)) flush();
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      press(event.submitter);
    });
  }

  async function press(button) {
    flush();
    if (button?.value === "measure") {
      await tell("area", [["then", "measure"], ...tape.fields()]);
      button.closest("details").open = false;
      return;
    }
    if (button?.value === "sound") await tell("finish", [["finish", String(cabin.sound)]]);
    else if (button?.value === "unseen" && known.now(current).finish !== null) await tell("finish", [["finish", ""]]);
    else if (button?.value !== "next" && button?.value !== "unseen") return;
    goTo(known.nextToSee(current) ?? null);
  }

  function setUpWalk() {
    document.addEventListener("click", (event) => {
      const link = event.target.closest("a[href]");
      if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
      const href = link.href.baseVal ?? link.href; // regions of the plan are links of an SVG
      const id = partAt(href);
      if (id === undefined) return;
      event.preventDefault();
      goTo(id);
    });
    window.addEventListener("popstate", () => {
      const id = partAt(location.href);
      if (id === undefined) location.reload();
      else goTo(id, { push: false });
    });
    window.addEventListener("pagehide", flush);
    document.addEventListener("visibilitychange", () => { if (document.hidden) flush(); });
    const remove = $("#remove-form");
    remove?.addEventListener("submit", (event) => {
      event.preventDefault();
      flush();
      kept.leaveWith({ url: cabin.urls.remove.replace("PART", current), part: current, fields: [], seen: known.revisionOf(current) });
    });
  }

  function addresses() {
    const links = $$('a[href*="/walk-round/"]').map((each) => each.href.baseVal ?? each.href).filter((each) => !each.includes("/parts/"));
    return [walk.dataset.list, current && cabin.urls.part.replace("PART", current), cabin?.urls.catalogue, ...links];
  }

  async function start() {
    kept = new Kept(walk, {
      show, flush, addresses,
      became: (entry, answer) => known.became(entry, answer),
      elsewhere: async () => known?.learnWhatIsKnown(),
      nameOf: (entry) => known.nameOf(entry.part) ?? entry.what ?? "",
    });
    if (!await kept.start()) return;
    known = new SurveyedParts(cabin, kept);
    if (cabin) {
      await known.start();
      current = $("#part-form")?.dataset.part;
      if (known.ids.length) {
        setUpPart();
        setUpWalk();
        tape.showShape();
        const id = partAt(location.href);
        if (id && id !== current) goTo(id, { push: false }); // a kept page stands for every part's
      }
    }
    kept.ready();
  }

  start();
})();

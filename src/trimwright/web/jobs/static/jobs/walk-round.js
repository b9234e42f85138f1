// The walk-round on the phone: from part to part without asking the server, the ten stitches under the finger, and
// every control kept in the queue before anything else happens. Pages work without this; it only makes them quick and
// lets them outlast a lost line. The cabin's data stands on the page, the trade's faults in the catalogue beside it.
(() => {
  const walk = document.getElementById("walk");
  const cabin = JSON.parse(document.getElementById("cabin")?.textContent ?? "null");
  const $ = (selector, inside = walk) => inside.querySelector(selector);
  const $$ = (selector, inside = walk) => [...inside.querySelectorAll(selector)];
  const { Kept, say } = window.trimwrightKept;
  const EXTENTS = ["light", "medium", "heavy"];
  const GAUGE_WIDE = 345, FIRST_STITCH = 15, STITCH_PITCH = 30; // as the stitches are drawn

  let kept, queue, catalogue, current;
  const saying = []; // said, and on its way into the queue
  let parts = new Map();
  const pictures = new Map(); // entries' photos as addresses of the page's own

  // What is known of a part: the page's word, the server's later answers, then what still waits.

  function merged(id) {
    const part = { ...parts.get(id) };
    part.faults = { ...part.faults };
    part.photos = part.photos.map((name) => ({ name, small: cabin.urls.small_photo.replace("PHOTO", name), url: cabin.urls.photo.replace("PHOTO", name) }));
    for (const entry of queue.entries) {
      if (entry.part !== id) continue;
      if (entry.photo) part.photos.push({ small: picture(entry), waits: true });
      for (const [name, value] of entry.fields) take(part, name, value);
    }
    for (const each of saying) if (each.part === id) for (const [name, value] of each.fields) take(part, name, value);
    return part;
  }

  function take(part, name, value) {
    if (name === "finish") part.finish = value === "" ? null : Number(value);
    else if (name.startsWith("fault-")) {
      if (value) part.faults[name.slice(6)] = value;
      else delete part.faults[name.slice(6)];
    } else if (name === "missing") part.missing = Number(value);
    else if (name === "then" && value === "measure") part.area = say("measured");
    else if (name === "drop_photo") part.photos = part.photos.filter((each) => each.name !== value);
    else if (name === "kind") { part.kind = value; part.material = catalogue.kinds[value]?.includes(part.material) ? part.material : catalogue.kinds[value]?.[0] ?? part.material; }
    else if (name in part && typeof part[name] === "string") part[name] = value;
  }

  function picture(entry) {
    if (!pictures.has(entry.number)) pictures.set(entry.number, URL.createObjectURL(entry.photo));
    return pictures.get(entry.number);
  }

  const isSeen = (part) => part.finish !== null;

  function nextToSee(id) {
    const ids = [...parts.keys()];
    const at = ids.indexOf(id) + 1;
    return [...ids.slice(at), ...ids.slice(0, at)].find((each) => each !== id && !isSeen(merged(each)));
  }

  // Saying something.

  async function tell(control, fields) {
    const said = { part: current, fields };
    saying.push(said);
    const seen = parts.get(current).revision ?? cabin.revision;
    const stands = await kept.keep({ url: cabin.urls.part.replace("PART", current), part: current, control, fields, seen });
    saying.splice(saying.indexOf(said), 1);
    if (!stands) show();
  }

  async function became(entry, answer) {
    const part = parts.get(entry.part);
    if (entry.photo && part) {
      // the answer tells of the photo alone: what else the part is known by stays as old as it was
      const photos = [...part.photos.filter((name) => name !== answer.photo), answer.photo];
      await learn({ ...part, photos }, answer.revision);
    } else if (answer.part) {
      await learn({ ...answer.part, revision: answer.revision }, answer.revision);
    }
  }

  async function learn(part, revision) {
    parts.set(part.id, part);
    await queue.know(part.id, revision, part);
  }

  // The stitches.

  const gauge = () => $(".gauge");

  function showFinish(finish) {
    const slider = gauge();
    const word = finish === null ? say("not_seen") : cabin.finish_words[finish];
    $$("path", slider).forEach((each, at) => each.setAttribute("class", at < finish ? "now" : "rest"));
    slider.classList.toggle("unset", finish === null);
    slider.setAttribute("aria-valuenow", finish ?? 0);
    slider.setAttribute("aria-valuetext", finish === null ? word : `${finish}: ${word}`);
    $("[data-finish-word]").textContent = word;
    $("[data-finish-figure]").textContent = finish ?? "?";
    $("#finish").value = finish ?? "";
  }

  function finishAt(event) {
    const box = gauge().getBoundingClientRect();
    return Math.max(0, Math.min(10, Math.round(((event.clientX - box.left) / box.width * GAUGE_WIDE - FIRST_STITCH) / STITCH_PITCH)));
  }

  function tellFinish(finish) {
    $("[data-finish-help]").hidden = true;
    tell("finish", [["finish", finish === null ? "" : String(finish)]]);
  }

  function setUpGauge() {
    const slider = gauge();
    let dragged = null;
    slider.hidden = $(".ends").hidden = false;
    $("#finish").hidden = $("[data-finish-help]").hidden = true;
    slider.addEventListener("pointerdown", (event) => {
      slider.setPointerCapture(event.pointerId);
      showFinish(dragged = finishAt(event));
    });
    slider.addEventListener("pointermove", (event) => { if (dragged !== null) showFinish(dragged = finishAt(event)); });
    slider.addEventListener("pointerup", () => { if (dragged !== null) tellFinish(dragged); dragged = null; });
    slider.addEventListener("pointercancel", () => { dragged = null; showFinish(merged(current).finish); });
    slider.addEventListener("keydown", (event) => {
      const now = merged(current).finish;
      const steps = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 2, PageDown: -2 };
      let wanted;
      if (event.key in steps) wanted = Math.max(0, Math.min(10, (now ?? 0) + steps[event.key]));
      else if (event.key === "Home") wanted = 0;
      else if (event.key === "End") wanted = 10;
      else if (/^[0-9]$/.test(event.key)) wanted = Number(event.key);
      else if (event.key === "Delete" || event.key === "Backspace") wanted = null;
      else return;
      event.preventDefault();
      showFinish(wanted);
      tellFinish(wanted);
    });
  }

  // Faults.

  function faultChip(id, extent) {
    const fault = catalogue.faults[id];
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
    const wanted = Object.keys(catalogue.faults).filter((id) => catalogue.faults[id].materials.includes(part.material) || id in part.faults);
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
    const { finish } = merged(current);
    input.closest("details").open = false;
    tell(input.name, [[input.name, input.value]]);
    if (input.value && finish === null) {
      const cap = catalogue.faults[id].caps[EXTENTS.indexOf(input.value)];
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
    const part = merged(current);
    const form = $("#part-form");
    form.action = cabin.urls.part.replace("PART", part.id);
    form.dataset.part = part.id;
    $("[name=part]", $("#photo-form")).value = part.id;
    $("#remove-form").action = cabin.urls.remove.replace("PART", part.id);
    $("[data-title]").textContent = part.name;
    $("[data-cautions]").replaceChildren(...part.cautions.map((each) => Object.assign(document.createElement("p"), { className: "caution", textContent: each })));
    showFinish(part.finish);
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
    const usual = catalogue.kinds[part.kind] ?? [];
    $("[data-usual]", select).replaceChildren(...usual.map((id) => new Option(catalogue.families[id], id)));
    select.value = part.material;
    $("[data-identity]").textContent = catalogue.families[part.material];
  }

  function showPrimary(part) {
    const primary = $("[data-primary]");
    const sound = part.finish === null && !Object.keys(part.faults).length;
    const onward = nextToSee(part.id);
    primary.value = sound ? "sound" : "next";
    primary.textContent = sound ? say("sound_next") : onward ? say("next", { name: parts.get(onward).name }) : say("all_seen");
  }

  function showList() {
    const all = [...parts.keys()].map(merged);
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
      const left = $$("[data-row]", zone).filter((row) => !isSeen(merged(row.dataset.row))).length;
      $("[data-left]", zone).textContent = left ? say("left", { count: left }) : "";
    }
    const onward = nextToSee(current);
    const link = $("[data-onward]");
    if (link) {
      link.hidden = !onward;
      if (onward) Object.assign(link, { href: cabin.urls.part.replace("PART", onward), textContent: say("next", { name: parts.get(onward).name }) });
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
    if (!cabin || !catalogue) return;
    if (document.body.classList.contains("at-part")) showPart();
    showList();
  }

  function goTo(id, { push = true } = {}) {
    flush();
    const atPart = id !== null && parts.has(id);
    if (atPart) current = id;
    document.body.classList.toggle("at-part", atPart);
    document.body.classList.toggle("at-list", !atPart);
    $("[data-view=part]").hidden = !atPart;
    $("[data-view=list]").hidden = atPart;
    if (!atPart) $("[data-title]").textContent = $("[data-title]").dataset.listTitle;
    for (const each of $$("#part-form details[open]")) each.open = false;
    $("[data-finish-help]").hidden = true;
    for (const input of $$(".measures input")) input.value = "";
    $("[data-working]").replaceChildren();
    showShape();
    const address = atPart ? cabin.urls.part.replace("PART", id) : cabin.urls.list;
    if (push) history.pushState({}, "", address);
    document.title = `${$("[data-title]").textContent} · ${document.title.split(" · ").slice(1).join(" · ")}`;
    show();
    if (atPart) $("details.note").open = Boolean(merged(id).notes);
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
    return parts.has(id) ? id : undefined;
  }

  // The tape.

  function showShape() {
    const shape = $("[name=shape]:checked");
    const measures = shape.dataset.measures.split(";");
    ["a", "b", "c"].forEach((letter, at) => {
      const label = $(`[data-measure="${letter}"]`);
      label.textContent = measures[at] ?? "";
      label.closest("div").hidden = !measures[at];
    });
    $("[data-working]").textContent = shape.dataset.formula;
  }

  let asking = 0;
  async function showWorking() {
    const asked = ++asking;
    const form = new FormData($("#part-form"));
    const sent = new URLSearchParams(["shape", "measure-a", "measure-b", "measure-c"].map((name) => [name, form.get(name)]));
    const wanted = $$(".measures input").filter((each) => !each.closest("div").hidden);
    if (wanted.some((each) => !each.value.trim())) return showShape();
    try {
      const response = await fetch(`${cabin.urls.size.replace("PART", current)}?${sent}`, { headers: { Accept: "application/json" } });
      const { working, problems } = await response.json();
      if (asked === asking) $("[data-working]").textContent = working || problems.join(" ");
    } catch {
      showShape();
    }
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
    setUpGauge();
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
      if (field.closest("[data-tape]")) return field.name === "shape" ? showShape() : showWorking();
      if (!["notes", "name", "area", "edge", "missing"].includes(field.name)) return;
      clearTimeout(typed.get(field));
      typed.set(field, setTimeout(() => { typed.delete(field); tell(field.name, [[field.name, field.value]]); }, field.name === "notes" ? 400 : 1200));
    });
    form.addEventListener("change", (event) => {
      const field = event.target;
      if (field.name.startsWith("fault-")) tellFault(field);
      else if (field.name === "material" || field.name === "kind") tell(field.name, [[field.name, field.value]]);
      else if (field.name === "shape") showWorking();
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
      const form = new FormData($("#part-form"));
      const fields = ["shape", "measure-a", "measure-b", "measure-c"].map((name) => [name, form.get(name)]);
      await tell("area", [["then", "measure"], ...fields]);
      button.closest("details").open = false;
      return;
    }
    if (button?.value === "sound") await tell("finish", [["finish", String(cabin.sound)]]);
    else if (button?.value === "unseen" && merged(current).finish !== null) await tell("finish", [["finish", ""]]);
    else if (button?.value !== "next" && button?.value !== "unseen") return;
    goTo(nextToSee(current) ?? null);
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
      kept.leaveWith({ url: cabin.urls.remove.replace("PART", current), part: current, fields: [], seen: parts.get(current).revision ?? cabin.revision });
    });
  }

  async function learnWhatIsKnown() {
    for (const part of cabin?.parts ?? []) parts.set(part.id, part);
    for (const { part, revision, data } of await queue.known()) {
      if (revision <= cabin.revision) await queue.forget(part);
      else if (parts.has(part)) parts.set(part, data);
    }
  }

  function addresses() {
    const links = $$('a[href*="/walk-round/"]').map((each) => each.href.baseVal ?? each.href).filter((each) => !each.includes("/parts/"));
    return [walk.dataset.list, current && cabin.urls.part.replace("PART", current), cabin?.urls.catalogue, ...links];
  }

  async function start() {
    const nameOf = (entry) => parts.get(entry.part)?.name ?? entry.what ?? "";
    kept = new Kept(walk, { show, became, elsewhere: learnWhatIsKnown, nameOf, flush, addresses });
    if (!await kept.start()) return;
    queue = kept.queue;
    if (cabin) {
      await learnWhatIsKnown();
      catalogue = await (await fetch(cabin.urls.catalogue)).json();
      current = $("#part-form")?.dataset.part;
      if (parts.size) {
        setUpPart();
        setUpWalk();
        showShape();
        const id = partAt(location.href);
        if (id && id !== current) goTo(id, { push: false }); // a kept page stands for every part's
      }
    }
    kept.ready();
  }

  start();
})();

// One step a screen, for the ways in and back: the page holds every step and shows one, so that the way from step to
// step needs no line; whatever is noted goes through the queue, and the server's own page is taken in again once it has
// answered. A hold runs down to the moment the page names, by the server's clock, whatever this device's says.
//
// The page marks up: [data-step] with data-url and data-name, data-done where nothing is left to do, data-held while a
// hold is on, data-then where one certain step follows, data-aside for what is said beside the steps; in it
// forms[data-tell="control"], inputs [data-photo], links to other steps; [data-list], the list of all; .hold[data-until]
// in milliseconds, with .clock in it; buttons [data-while-held], which a hold locks, [data-settles], after which nothing
// of the step is left to do, and [data-onward], which go on at once; forms[data-leaves], after which the answer leads on.
(() => {
  const root = document.getElementById("steps");
  const { Kept, say } = window.trimwrightKept;
  const SETTLE_MS = 250, TICK_MS = 200, AGAIN_MS = 30000;
  const $ = (selector, inside = root) => inside.querySelector(selector);
  const $$ = (selector, inside = root) => [...inside.querySelectorAll(selector)];
  const steps = () => $$("[data-step]");
  const stepOf = (id) => $(`[data-step="${CSS.escape(id)}"]`);
  const pictures = new Map(); // entries' photos as addresses of the page's own
  let kept, current = root.dataset.at || null, leaving = null, renewing;

  // From step to step.

  const entriesOf = (id) => kept.queue.entries.filter((each) => each.part === id);
  const isNoted = (step) => "done" in step.dataset || entriesOf(step.dataset.step).some((each) => each.settles && !each.refused);

  function nextOpen(id) {
    const then = stepOf(id)?.dataset.then;
    if (then && stepOf(then)) return then;
    const all = steps().filter((each) => !("aside" in each.dataset));
    const at = all.findIndex((each) => each.dataset.step === id) + 1;
    const ahead = [...all.slice(at), ...all.slice(0, at)].filter((each) => each.dataset.step !== id && !isNoted(each));
    return (ahead.find((each) => !isHeld(each)) ?? ahead[0])?.dataset.step ?? null;
  }

  function stepAt(address) {
    const { pathname, origin } = new URL(address, location.href);
    if (origin !== location.origin) return undefined;
    if (pathname === root.dataset.list) return null;
    return steps().find((each) => new URL(each.dataset.url, location.href).pathname === pathname)?.dataset.step;
  }

  function goTo(id, { push = true, from = current } = {}) {
    const step = id === null ? null : stepOf(id);
    current = step ? id : null;
    document.body.classList.toggle("at-step", Boolean(step));
    for (const each of steps()) each.hidden = each !== step;
    $("[data-list]").hidden = Boolean(step);
    $("[data-title]").textContent = step ? step.dataset.name : $("[data-title]").dataset.listTitle;
    const aside = step && "aside" in step.dataset;
    if (aside && from && from !== id) showFor(step, from);
    if (push) history.pushState({}, "", step ? step.dataset.url + (aside && from ? `?step=${encodeURIComponent(from)}` : "") : root.dataset.list);
    document.title = `${$("[data-title]").textContent} · ${document.title.split(" · ").slice(1).join(" · ")}`;
    kept.show();
    window.scrollTo(0, 0);
    $("[data-title]").focus({ preventScroll: true });
  }

  // What is said beside the steps is of the one it was opened from, and offers what goes with that one.
  function showFor(aside, id) {
    for (const input of $$("[name=step]", aside)) input.value = id;
    for (const each of $$("[data-for]", aside)) {
      each.hidden = !each.dataset.for.split(" ").includes(id);
      if (each.hidden) for (const input of $$("input:checked", each)) input.checked = false;
    }
  }

  // Saying something.

  async function tell(form, button) {
    const step = form.closest("[data-step]");
    const fields = kept.fieldsOf(form, button);
    const file = $("input[type=file]", form)?.files[0];
    const photo = file && await kept.smaller(file);
    const id = window.trimwrightQueue.newId();
    const leaves = "leaves" in form.dataset;
    if (leaves) leaving = { id, back: $("[name=step]", form)?.value || null };
    const entry = { id, url: form.action, part: step.dataset.step, control: leaves ? "" : form.dataset.tell, fields, seen: root.dataset.revision, what: step.dataset.name, settles: "settles" in (button?.dataset ?? {}), ...(photo ? { photo } : {}) };
    if (!await kept.keep(entry)) return;
    if (leaves) $$("button", form).forEach((each) => { each.disabled = true; });
    else if ("onward" in (button?.dataset ?? {})) goTo(nextOpen(step.dataset.step));
    leaveIfAway();
  }

  // Without a line the answer comes later: back to where one came from.
  function leaveIfAway() {
    const entry = leaving && kept.queue.entries.find((each) => each.id === leaving.id);
    if (!leaving || (kept.queue.state !== "away" && !entry?.refused)) return;
    const { back } = leaving;
    leaving = null;
    for (const form of $$("form[data-leaves]")) {
      if (!entry?.refused) form.reset(); // refused, what was typed stays to be put right
      $$("button", form).forEach((each) => { each.disabled = false; });
    }
    if (!entry?.refused) goTo(back && stepOf(back) ? back : null);
  }

  async function tellPhotos(input) {
    const step = input.closest("[data-step]");
    const files = [...input.files];
    const fields = kept.fieldsOf(input.form);
    input.value = "";
    for (const file of files) {
      const photo = await kept.smaller(file);
      await kept.keep({ url: input.form.action, part: step.dataset.step, control: "", fields, photo, seen: root.dataset.revision, what: step.dataset.name });
    }
  }

  async function became(entry, answer) {
    if (answer.revision) root.dataset.revision = Math.max(Number(root.dataset.revision), answer.revision);
    if (leaving?.id === entry.id) { location.assign(answer.next); return; }
    const step = entry.part && stepOf(entry.part);
    if (step && !entry.photo) for (const form of $$("form[data-tell]", step)) form.reset();
    renewSoon();
  }

  // The server's page, taken in again; what somebody is typing in stays.

  function renewSoon() {
    clearTimeout(renewing);
    renewing = setTimeout(renew, SETTLE_MS);
  }

  const isTouched = (step) => (step.contains(document.activeElement) && document.activeElement.matches("input, select, textarea")) ||
    $$("form[data-tell] :is(input:not([type=hidden]), select, textarea)", step).some((each) => {
      if (each.matches("[type=checkbox], [type=radio]")) return each.checked !== each.defaultChecked;
      if (each.matches("select")) return [...each.options].some((option) => option.selected !== option.defaultSelected) && each.selectedIndex > 0;
      return each.value !== each.defaultValue;
    });

  async function renew() {
    const here = location.pathname;
    const asked = "aside" in (stepOf(current ?? "")?.dataset ?? {}) ? root.dataset.list : here; // its own page has no steps
    const response = await fetch(asked, { credentials: "same-origin", headers: { Accept: "text/html" } }).catch(() => null);
    if (!response?.ok || response.redirected) return;
    const fresh = new DOMParser().parseFromString(await response.text(), "text/html").getElementById("steps");
    if (!fresh || location.pathname !== here) return;
    const box = $("[data-steps]");
    const wanted = $$("[data-step]", fresh).map((each) => {
      const old = stepOf(each.dataset.step);
      if (!old) return document.adoptNode(each);
      if (old.outerHTML === each.outerHTML || isTouched(old)) return old;
      for (const [at, opened] of $$("details", old).entries()) if (opened.open && $$("details", each)[at]) $$("details", each)[at].open = true;
      return document.adoptNode(each);
    });
    const focused = box.contains(document.activeElement) ? null : document.activeElement;
    if (wanted.length !== box.children.length || wanted.some((each, at) => each !== box.children[at])) box.replaceChildren(...wanted);
    $("[data-list]").replaceWith(document.adoptNode($("[data-list]", fresh)));
    $("[data-count]").textContent = $("[data-count]", fresh).textContent;
    root.dataset.revision = fresh.dataset.revision;
    for (const each of steps()) each.hidden = each.dataset.step !== current;
    for (const aside of steps().filter((each) => "aside" in each.dataset)) if ($("[name=step]", aside)?.value) showFor(aside, $("[name=step]", aside).value);
    $("[data-list]").hidden = current !== null;
    focused?.focus({ preventScroll: true });
    setUpSteps();
    kept.show();
  }

  // Holds.

  let ahead = 0; // how far the server's clock is ahead of this device's [ms]

  async function setTheClock() {
    const asked = performance.now();
    const told = await fetch(root.dataset.clock, { cache: "no-store" }).then((response) => response.json()).catch(() => null);
    const took = performance.now() - asked;
    if (told) ahead = told.now + took / 2 - Date.now();
    else setTimeout(setTheClock, AGAIN_MS);
    runDown();
  }

  const isRunning = (hold) => Number(hold.dataset.until) > Date.now() + ahead;
  const isHeld = (step) => "held" in step.dataset || $$(".hold[data-until]", step).some(isRunning);

  function runDown() {
    for (const hold of $$(".hold[data-until]")) {
      const seconds = Math.max(0, Math.ceil((Number(hold.dataset.until) - Date.now() - ahead) / 1000));
      const [hours, minutes, rest] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
      const two = (figure) => String(figure).padStart(2, "0");
      const told = hours ? `${hours}:${two(minutes)}:${two(rest)}` : `${minutes}:${two(rest)}`;
      const clock = $(".clock", hold);
      if (clock.textContent !== told) clock.textContent = told;
      hold.classList.toggle("is-over", seconds === 0);
    }
    for (const step of steps()) for (const button of $$("[data-while-held]", step)) button.disabled = isHeld(step);
  }

  // Showing what waits.

  function picture(entry) {
    if (!pictures.has(entry.number)) pictures.set(entry.number, URL.createObjectURL(entry.photo));
    return pictures.get(entry.number);
  }

  function show() {
    leaveIfAway();
    root.classList.toggle("unsent", kept.queue.entries.some((each) => each.settles && !each.refused));
    for (const step of steps()) {
      const waiting = entriesOf(step.dataset.step);
      step.classList.toggle("waits", waiting.some((each) => each.settles && !each.refused));
      const box = $("[data-thumbs]", step);
      for (const old of box ? $$("[data-waits]", box) : []) old.remove();
      for (const entry of box ? waiting.filter((each) => each.photo) : []) {
        const figure = Object.assign(document.createElement("figure"), {});
        figure.dataset.waits = "";
        figure.append(Object.assign(document.createElement("img"), { src: picture(entry), alt: say("photo_waits") }));
        box.append(figure);
      }
      const row = $(`[data-row="${CSS.escape(step.dataset.step)}"] [data-told]`);
      if (row) {
        row.dataset.was ??= row.textContent;
        row.textContent = waiting.length ? say("row_waits") : row.dataset.was;
      }
    }
    runDown();
  }

  // Hands.

  function setUpSteps() {
    for (const form of $$("form[data-tell]")) {
      if (form.dataset.set) continue;
      form.dataset.set = "";
      form.addEventListener("submit", (event) => { event.preventDefault(); tell(form, event.submitter); });
    }
    for (const input of $$("[data-photo]")) {
      if (input.dataset.set) continue;
      input.dataset.set = "";
      input.addEventListener("change", () => tellPhotos(input));
      if (!input.capture) input.multiple = true;
    }
    for (const input of $$("form[data-leaves] input[type=file]")) {
      input.onchange = () => { const told = $("[data-photo-told]", input.form); if (told) told.hidden = !input.files.length; };
    }
    for (const button of $$("[data-less], [data-more]")) {
      if (button.dataset.set) continue;
      button.dataset.set = "";
      button.hidden = false;
      button.addEventListener("click", () => {
        const field = $("input", button.parentElement);
        field.value = Math.max(0, Number(field.value) + ("less" in button.dataset ? -1 : 1));
      });
    }
  }

  function setUpPage() {
    document.addEventListener("click", (event) => {
      const link = event.target.closest("a[href]");
      if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
      const id = stepAt(link.href);
      if (id === undefined) return;
      event.preventDefault();
      goTo(id);
    });
    window.addEventListener("popstate", () => {
      const id = stepAt(location.href);
      if (id === undefined) location.reload();
      else goTo(id, { push: false });
    });
    document.addEventListener("plan-ready", renewSoon);
    document.addEventListener("visibilitychange", () => { if (!document.hidden) { setTheClock(); renewSoon(); } });
    setInterval(runDown, TICK_MS);
  }

  async function start() {
    const nameOf = (entry) => (entry.part && stepOf(entry.part)?.dataset.name) ?? entry.what ?? "";
    const addresses = () => [root.dataset.list, steps().find((each) => !("aside" in each.dataset))?.dataset.url];
    kept = new Kept(root, { keepsTyped: true, show, became, nameOf, addresses, elsewhere: async () => renewSoon(), flush: () => {} });
    if (!await kept.start()) { runDown(); setTheClock(); setInterval(runDown, TICK_MS); return; }
    setUpSteps();
    setUpPage();
    for (const aside of steps().filter((each) => "aside" in each.dataset)) if ($("[name=step]", aside)?.value) showFor(aside, $("[name=step]", aside).value);
    const id = stepAt(location.href);
    if (id !== undefined && id !== current) goTo(id, { push: false }); // a kept page stands for every step's
    kept.ready();
    setTheClock();
  }

  start();
})();

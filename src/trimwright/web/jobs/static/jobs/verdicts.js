// The Verdicts stage: the slider on the staircase, parts opened from the drawing, and the board fetched anew when its
// verdicts are there. Everything here is also done by plain links and forms.

const board = () => document.getElementById("board");
const BOARD = { target: "#board", select: "#board", swap: "outerHTML settle:0ms" };

// ---- the slider ----

function slide(at) {
  const told = JSON.parse(document.getElementById("stairs-data").textContent);
  const stair = told.stairs[at];
  for (const each of document.querySelectorAll("[data-stair]")) each.textContent = stair[each.dataset.stair];
  const rest = document.querySelector("[data-at-rest]");
  if (rest) rest.hidden = at !== told.here;
  const sum = document.getElementById("take-sum");
  sum.value = at === told.here ? sum.defaultValue : stair.sum;
  const marks = document.getElementById("stair-marks").content;
  const rows = stair.changes.map((change) => {
    const row = document.getElementById("stair-change").content.cloneNode(true);
    for (const each of row.querySelectorAll("[data-change]")) {
      if (each.dataset.change !== "mark") each.textContent = change[each.dataset.change];
    }
    const mark = row.querySelector(".sign");
    mark.classList.add(change.mark);
    mark.replaceChildren(...marks.querySelector(`[data-mark="${change.mark}"]`).cloneNode(true).childNodes);
    return row;
  });
  if (!rows.length) rows.push(document.getElementById("stair-rest").content.cloneNode(true));
  document.querySelector("[data-stair-changes]").replaceChildren(...rows);
  moveMark(at, told.here);
}

// The stairs' corners stand in the path of the drawing: the first point, then across and up for each stair.
function moveMark(at, here) {
  const drawing = document.querySelector(".stairs-drawing svg");
  const corners = drawing.querySelector("path.stairs").getAttribute("d").match(/[\d.]+/g).map(Number);
  const line = drawing.querySelector(".mark-line"), dot = drawing.querySelector(".mark-dot");
  if (!dot) return;
  for (const each of [line, dot]) each.dataset.rest ??= JSON.stringify([each.getAttribute("x1") ?? each.getAttribute("cx"), each.getAttribute("cy")]);
  const [restX, restY] = JSON.parse(dot.dataset.rest);
  const [x, y] = at === here ? [restX, restY] : [corners[2 * at], corners[2 * at + 1]];
  line.setAttribute("x1", x);
  line.setAttribute("x2", x);
  dot.setAttribute("cx", x);
  dot.setAttribute("cy", y);
  for (const each of drawing.querySelectorAll(".mark text")) each.style.visibility = at === here ? "" : "hidden";
}

function showSlider() {
  for (const each of document.querySelectorAll(".slide")) each.hidden = false;
}

document.addEventListener("input", (event) => {
  if (event.target.id === "stair-slider") slide(Number(event.target.value));
  const figure = event.target.closest(".slider")?.querySelector("[data-figure]");
  if (figure) figure.textContent = Number(event.target.value);
});

// ---- parts ----

function markOpened() {
  const part = document.querySelector("#opened[data-opened]")?.dataset.opened;
  board().classList.toggle("opened", Boolean(part));
  for (const each of document.querySelectorAll("[data-part-row]")) {
    if (each.dataset.partRow === part) each.setAttribute("aria-current", "true");
    else each.removeAttribute("aria-current");
  }
  for (const each of document.querySelectorAll(".cabin .region")) each.classList.toggle("selected", each.dataset.part === part);
}

document.addEventListener("click", (event) => {
  if (event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const region = event.target.closest(".cabin a");
  const row = region && document.querySelector(`[data-part-row="${region.dataset.part ?? region.dataset.touch}"]`);
  if (row) {
    event.preventDefault();
    row.click();
  }
  const stair = event.target.closest("[data-to-stair]");
  if (stair) {
    event.preventDefault();
    const slider = document.getElementById("stair-slider");
    slider.value = stair.dataset.toStair;
    slide(Number(slider.value));
    slider.focus();
  }
});

// ---- the board, fetched anew ----

let wanted = false, held = false, opened = new Set();

function isBusy() {
  const here = document.activeElement;
  const typing = here?.closest?.("#board") && here.matches("input:not([type=range]), select, textarea") && here.value !== here.defaultValue;
  return held || typing;
}

function fetchBoard() {
  wanted = true;
  if (isBusy()) return;
  wanted = false;
  htmx.ajax("GET", board().dataset.here, BOARD);
}

document.addEventListener("pointerdown", (event) => { held = event.target.matches("#board input[type=range]"); });
for (const end of ["pointerup", "pointercancel", "focusout"]) {
  document.addEventListener(end, () => {
    held = false;
    if (wanted) setTimeout(() => wanted && fetchBoard(), 300);
  });
}

// The strip tells which stages the new plan has; the board needs the verdicts.
document.addEventListener("plan-ready", (event) => {
  const stages = event.detail.stages.split(",");
  if (stages.includes("verdicts") && board() && !board().dataset.has?.includes("verdicts")) fetchBoard();
});
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.target.id !== "board") return;
  opened = new Set([...document.querySelectorAll("details[data-keep][open]")].map((each) => each.dataset.keep));
});
document.addEventListener("htmx:afterSettle", (event) => {
  if (!board()) return;
  showSlider();
  if (event.target.id === "board") {
    for (const each of document.querySelectorAll("details[data-keep]")) if (opened.has(each.dataset.keep)) each.open = true;
    opened = new Set();
  }
  if (event.target.id === "opened") {
    markOpened();
    if (matchMedia("(max-width: 899px)").matches) scrollTo(0, 0);
    document.getElementById("opened").focus({ preventScroll: true });
  }
});
showSlider();

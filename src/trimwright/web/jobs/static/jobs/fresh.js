// Part of a page marked data-fresh is asked for anew when other verdicts are there; not while somebody is typing in it.
function isTouched(part) {
  if (part.contains(document.activeElement) && document.activeElement.matches("input, select, textarea")) return true;
  return [...part.querySelectorAll("input:not([type=hidden]), textarea")].some((each) =>
    each.matches("[type=checkbox], [type=radio]") ? each.checked !== each.defaultChecked : each.value !== each.defaultValue);
}

function tell(part) {
  const told = part.querySelector("[data-fresh-told]");
  if (told) told.hidden = false;
}

document.addEventListener("plan-ready", () => {
  for (const part of document.querySelectorAll("[data-fresh]")) {
    if (isTouched(part)) tell(part);
    else htmx.trigger(part, "fresh");
  }
});

// the answer may come when somebody has begun to type since it was asked for; what was open is opened again
let opened = [];

document.addEventListener("htmx:beforeSwap", (event) => {
  const part = event.detail.target;
  const asked = event.detail.requestConfig?.triggeringEvent;
  if (asked?.type !== "fresh" || !part.matches("[data-fresh]")) return;
  if (isTouched(part)) {
    event.detail.shouldSwap = false;
    tell(part);
  } else opened = [...part.querySelectorAll("details[open] > summary")].map((each) => each.textContent);
});

document.addEventListener("htmx:afterSwap", () => {
  for (const summary of document.querySelectorAll("[data-fresh] details:not([open]) > summary")) {
    if (opened.includes(summary.textContent)) summary.parentElement.open = true;
  }
  opened = [];
});

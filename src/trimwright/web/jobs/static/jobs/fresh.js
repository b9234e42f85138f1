// Part of a page marked data-fresh is asked for anew when other verdicts are there; not while somebody is typing in it.
function isTouched(part) {
  if (part.contains(document.activeElement) && document.activeElement.matches("input, select, textarea")) return true;
  return [...part.querySelectorAll("input:not([type=hidden]), textarea")].some((each) =>
    each.matches("[type=checkbox], [type=radio]") ? each.checked !== each.defaultChecked : each.value !== each.defaultValue);
}

document.addEventListener("plan-ready", () => {
  for (const part of document.querySelectorAll("[data-fresh]")) {
    const told = part.querySelector("[data-fresh-told]");
    if (!isTouched(part)) htmx.trigger(part, "fresh");
    else if (told) told.hidden = false;
  }
});

// A bar of the calendar drawn along its row: to the right it is made no earlier, to the left no later. Nothing but those
// two dates can be set so, and only in the wide picture, where a bar can be taken hold of; the page's own form sends them, and the planner does the rest.
(() => {
  // Once the calendar is laid out anew the page shows that.
  document.addEventListener("plan-ready", (event) => { if (event.detail?.calendar) location.reload(); });

  const form = document.getElementById("dates-form");
  const knots = JSON.parse(document.getElementById("knots")?.textContent ?? "[]").map(([when, share]) => [Date.parse(when), share, when]);
  const LEAST_PX = 12;
  if (!form || !knots.length) return;

  // The ruler lies over all that is drawn, right of the names.
  function momentAt(svg, x) {
    const ruler = svg.querySelector(".ruler").getBoundingClientRect();
    const share = Math.min(1, Math.max(0, (x - ruler.left) / ruler.width));
    const at = knots.findIndex(([, to]) => to > share);
    if (at < 1) return at === 0 ? knots[0][2] : knots.at(-1)[2];
    const [since, from] = knots[at - 1], [until, to] = knots[at];
    return new Date(since + (until - since) * (share - from) / (to - from)).toISOString();
  }

  const dayOf = (moment) => {
    const day = new Date(moment);
    return `${day.getFullYear()}-${String(day.getMonth() + 1).padStart(2, "0")}-${String(day.getDate()).padStart(2, "0")}`;
  };

  for (const bar of document.querySelectorAll(".calendar-picture.at-1000 [data-task]")) {
    bar.style.touchAction = "pan-y";
    bar.addEventListener("pointerdown", (down) => {
      const svg = bar.closest("svg");
      down.preventDefault();
      bar.setPointerCapture(down.pointerId);
      bar.classList.add("drawn");
      bar.onpointermove = (move) => {
        const scale = svg.viewBox.baseVal.width / svg.getBoundingClientRect().width;
        bar.setAttribute("transform", `translate(${(move.clientX - down.clientX) * scale} 0)`);
      };
      const end = (up) => {
        bar.onpointermove = bar.onpointerup = bar.onpointercancel = null;
        bar.classList.remove("drawn");
        bar.removeAttribute("transform");
        if (up.type !== "pointerup" || Math.abs(up.clientX - down.clientX) < LEAST_PX) return;
        const option = [...form.elements.task.options].find((each) => each.value === bar.dataset.task);
        if (!option) return;
        const right = up.clientX > down.clientX;
        option.selected = true;
        form.elements.not_before.value = right ? dayOf(momentAt(svg, up.clientX)) : "";
        form.elements.not_after.value = right ? "" : dayOf(momentAt(svg, up.clientX));
        form.requestSubmit();
      };
      bar.onpointerup = bar.onpointercancel = end;
    });
  }
})();

// Tells when a clock runs out, while a page of the bench is open: through the browser's own notices where it has them and
// the person allows it; where not, the page says so. Clocks themselves run by the server's time (steps.js).
(() => {
  const root = document.getElementById("steps");
  const words = JSON.parse(document.getElementById("words").textContent);
  const WARN_MS = 600000;
  const told = new Set();
  const canTell = () => "Notification" in window && window.isSecureContext;

  function showBell() {
    for (const bell of root.querySelectorAll("[data-bell]")) {
      const button = bell.querySelector("button"), said = bell.querySelector("[data-said]");
      const state = canTell() ? Notification.permission : "cannot";
      button.hidden = state !== "default";
      const line = { granted: bell.dataset.done, denied: bell.dataset.refused, cannot: bell.dataset.cannot }[state];
      if (line && said.textContent !== line) said.textContent = line;
      button.onclick = async () => { await Notification.requestPermission(); showBell(); };
    }
  }

  // A phone shows notices only through the page's keeper.
  async function tell(title, body, tag) {
    const keeper = await navigator.serviceWorker?.getRegistration();
    if (keeper?.showNotification) return keeper.showNotification(title, { body, tag });
    return new Notification(title, { body, tag });
  }

  function look() {
    showBell();
    if (!canTell() || Notification.permission !== "granted") return;
    for (const hold of root.querySelectorAll("[data-bells]")) {
      const left = Number(hold.dataset.until) - Date.now();
      const name = `${hold.dataset.until} ${hold.dataset.bells}`;
      const over = hold.classList.contains("is-over");
      const warns = hold.classList.contains("closes") && left < WARN_MS && !over;
      if (!hold.dataset.seen) { hold.dataset.seen = over ? "over" : "runs"; if (over) told.add(name); }
      const why = warns ? words.closing : over && !hold.classList.contains("closes") ? words.over : "";
      if (!why || told.has(name)) continue;
      told.add(name);
      tell(hold.dataset.bells, why, name);
    }
  }

  setInterval(look, 1000);
  look();
})();

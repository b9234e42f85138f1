// Light or dark as the person chose here; before the page is drawn, so that nothing flashes. Nothing chosen: the system's.
(() => {
  const chosen = localStorage.getItem("theme");
  if (chosen) document.documentElement.dataset.theme = chosen;
})();

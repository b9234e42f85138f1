// What every page does: the light and dark switch, and keeping theirs where two changed the same field.
const dark = matchMedia("(prefers-color-scheme: dark)");

function isDark() {
  const chosen = document.documentElement.dataset.theme;
  return chosen ? chosen === "dark" : dark.matches;
}

function showTheme() {
  for (const button of document.querySelectorAll("[data-theme-switch]")) button.setAttribute("aria-pressed", isDark());
}

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-theme-switch]")) {
    const wanted = isDark() ? "light" : "dark";
    document.documentElement.dataset.theme = wanted;
    localStorage.setItem("theme", wanted);
    showTheme();
  }
  if (event.target.closest("[data-keep-theirs]") && event.target.closest("#answer")) {
    event.preventDefault();
    location.reload();
  }
});
dark.addEventListener("change", showTheme);
showTheme();

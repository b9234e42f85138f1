// What every page does: light and dark, the rail in place, and keeping theirs where two changed the same field.
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

// On a phone the rail is wider than the screen: the stage one is on stands in its middle.
const rail = document.querySelector(".rail");
const here = rail?.querySelector("[aria-current]");
if (here) {
  const [shown, at] = [rail.getBoundingClientRect(), here.getBoundingClientRect()];
  rail.scrollLeft += at.left + at.width / 2 - (shown.left + shown.width / 2);
}

// A pair that could be laid over each other gets a slider, for finger, mouse and keys; without this they stand side by side.
function layOver(two) {
  const laid = document.createElement("div");
  laid.className = "laid";
  const frame = document.createElement("div");
  frame.className = "frame-of";
  const pictures = [["", two.dataset.before], ["upper", two.dataset.over]].map(([kind, address]) => {
    const picture = document.createElement("img");
    picture.className = kind;
    picture.src = address;
    picture.alt = kind ? "" : two.dataset.alt;
    return picture;
  });
  const seam = document.createElement("span");
  seam.className = "seam-at";
  frame.append(...pictures, seam);
  const slider = document.createElement("input");
  slider.type = "range";
  slider.min = 0;
  slider.max = 100;
  slider.value = 50;
  slider.setAttribute("aria-label", `${two.dataset.label}: ${two.dataset.alt}`);
  const show = () => laid.style.setProperty("--at", `${slider.value}%`);
  slider.addEventListener("input", show);
  show();
  const ends = document.createElement("div");
  ends.className = "ends";
  for (const told of two.querySelectorAll("figcaption")) {
    const end = document.createElement("span");
    end.textContent = told.textContent;
    ends.append(end);
  }
  laid.append(frame, slider, ends);
  two.replaceWith(laid);
}

const layAll = (within) => within.querySelectorAll("[data-over]").forEach(layOver);
layAll(document);
document.addEventListener("htmx:load", (event) => layAll(event.detail.elt));

// Bags: something left over is not taken without its reason; and a bag opens its step. The browser reads the code where it can (a secure address and a detector of its own); elsewhere
// the code is photographed and read by the server, or typed. A code that is read needs no line where its step is here.
(() => {
  const AGAIN_MS = 250;
  const $ = (selector) => document.querySelector(`[data-scan] ${selector}`);
  let stream = null, detector = null;

  const canScan = async () => "BarcodeDetector" in window && navigator.mediaDevices?.getUserMedia &&
    (await BarcodeDetector.getSupportedFormats()).includes("qr_code");

  async function offer() {
    if (!$("[data-scan-start]") || !await canScan().catch(() => false)) return;
    $("[data-scan-start]").hidden = false;
    $("[data-scan-picture]").hidden = true;
  }

  function stop() {
    for (const track of stream?.getTracks() ?? []) track.stop();
    stream = null;
    if (!$("[data-camera]")) return;
    $("[data-camera]").hidden = true;
    $("[data-scan-stop]").hidden = true;
    $("[data-scan-start]").hidden = false;
  }

  async function start() {
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch { // no camera, or it was not allowed: the picture and the typed way stay
      $("[data-scan-start]").hidden = true;
      $("[data-scan-picture]").hidden = false;
      return;
    }
    detector ??= new BarcodeDetector({ formats: ["qr_code"] });
    const camera = $("[data-camera]");
    camera.srcObject = stream;
    camera.hidden = false;
    $("[data-scan-stop]").hidden = false;
    $("[data-scan-start]").hidden = true;
    camera.play().catch(() => {});
    look();
  }

  async function look() {
    if (!stream || !$("[data-camera]")) return;
    const found = await detector.detect($("[data-camera]")).catch(() => []);
    if (found.length && open(found[0].rawValue)) return;
    setTimeout(look, AGAIN_MS);
  }

  // What the label says is "job/step"; its step's screen may be on this very page.
  function open(told) {
    const { jobId, steps } = document.querySelector("[data-scan]").dataset;
    const [job, step] = told.split("/", 2);
    $("[data-scan-told]").hidden = job === jobId && Boolean(step);
    if (job !== jobId || !step) return false;
    stop();
    const address = steps.replace("STEP", encodeURIComponent(`back:${step}`));
    const path = (href) => decodeURIComponent(new URL(href, location.href).pathname);
    const link = [...document.querySelectorAll("[data-row]")].find((each) => path(each.href) === path(address));
    if (link) link.click();
    else location.assign(address);
    return true;
  }

  document.addEventListener("click", (event) => {
    if (event.target.closest("[data-scan-start]")) start();
    if (event.target.closest("[data-scan-stop]")) stop();
  });
  // The reason is asked for as soon as something is left over, before anything is sent.
  document.addEventListener("change", (event) => {
    if (event.target.matches(".bag [name=bag]")) {
      event.target.closest(".bag").querySelector("[name=why]").required = event.target.value === "written off";
    }
    if (event.target.matches("[data-scan] [type=file]") && event.target.files.length) event.target.form.requestSubmit();
  });
  window.addEventListener("pagehide", stop);
  offer();
})();

// A page of plain forms that goes on without a line: each form and each photo waits in the queue like all that is said
// at the car. [data-kept-page] names the job; an input [data-photo] shows its picture in [data-picture] at once.
(() => {
  const root = document.querySelector("[data-kept-page]");
  const { Kept } = window.trimwrightKept;

  async function tellPhoto(kept, input) {
    const photo = await kept.smaller(input.files[0]);
    const picture = input.form.querySelector("[data-picture]");
    const fields = kept.fieldsOf(input.form);
    input.value = "";
    if (picture) {
      const address = URL.createObjectURL(photo);
      picture.replaceChildren(Object.assign(document.createElement("img"), { src: address, alt: picture.dataset.picture }));
    }
    await kept.keep({ url: input.form.action, part: "", control: "", fields, photo, seen: root.dataset.revision, what: picture?.dataset.picture });
  }

  async function start() {
    const nothing = () => {};
    const became = async (entry, answer) => { if (answer.revision) root.dataset.revision = answer.revision; };
    const page = { keepsTyped: true, show: nothing, became, elsewhere: async () => {}, flush: nothing, nameOf: (entry) => entry.what ?? "", addresses: () => [root.dataset.list] };
    const kept = new Kept(root, page);
    if (!await kept.start()) return;
    for (const input of root.querySelectorAll("[data-photo]")) input.addEventListener("change", () => { if (input.files.length) tellPhoto(kept, input); });
    kept.ready();
    document.body.addEventListener("htmx:afterSwap", () => kept.setUpForms());
  }

  start();
})();

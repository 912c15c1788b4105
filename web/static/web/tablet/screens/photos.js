// The photos of a finding: taken, marked, left out again. They are in the draft before they are shown.

import { button, h, refill } from "../dom.js";
import { developed, fixed } from "../pictures.js";
import { t } from "../words.js";
import { markPhoto } from "./marking.js";

export const MOST_PHOTOS = 20;

/** @typedef {{ sha256: string, blob: Blob, plain: Blob, marks: import("../marks.js").Mark[] }} Taken */

/**
 * @param {{ photos: Taken[], changed: (photos: Taken[]) => unknown }} wish
 * @returns {HTMLElement}
 */
export function photosField({ photos: given, changed }) {
  let photos = given;
  const shown = h("ul", { class: "taken" });
  const told = h("p", { class: "soft", role: "status" });
  /** @type {Map<string, string>} */
  const urls = new Map();

  /** @param {Taken[]} now */
  async function put(now) {
    photos = now;
    await changed(photos);
    draw();
  }

  function draw() {
    refill(shown, photos.map((photo, place) => {
      if (!urls.has(photo.sha256)) urls.set(photo.sha256, URL.createObjectURL(photo.blob));
      const number = { n: place + 1 };
      return h("li", {},
        h("img", { src: urls.get(photo.sha256), alt: t("photos.one", number) }),
        button(t("photos.mark"), () => mark(photo), { "aria-label": `${t("photos.mark")}: ${t("photos.one", number)}` }),
        button(t("photos.leave_out"), () => put(photos.filter((other) => other !== photo)), { "aria-label": `${t("photos.leave_out")}: ${t("photos.one", number)}` }));
    }));
  }

  /** @param {Taken} photo */
  async function mark(photo) {
    const marked = await markPhoto(photo.plain, photo.marks);
    if (!marked) return;
    const made = marked.marks.length ? await fixed(marked.canvas) : await fixed(await developed(photo.plain));
    await put(photos.map((other) => (other === photo ? { ...made, plain: photo.plain, marks: marked.marks } : other)));
  }

  /** @param {HTMLInputElement} input */
  async function take(input) {
    const files = [...(input.files ?? [])];
    input.value = "";
    for (const [place, file] of files.entries()) {
      if (photos.length >= MOST_PHOTOS) {
        told.textContent = t("photos.enough", { n: MOST_PHOTOS });
        return;
      }
      told.textContent = t("photos.preparing", { place: place + 1, n: files.length });
      try {
        const made = await fixed(await developed(file));
        if (!photos.some(({ sha256 }) => sha256 === made.sha256)) await put([...photos, { ...made, plain: made.blob, marks: [] }]);
        told.textContent = "";
      } catch {
        told.textContent = t("photos.unreadable", { name: file.name });
      }
    }
  }

  const input = (/** @type {string} */ id, /** @type {string} */ words, /** @type {any} */ given_) => {
    const file = h("input", { id, type: "file", accept: "image/*", class: "only-heard", ...given_, on: { change: () => take(file) } });
    return h("span", { class: "file" }, file, h("label", { for: id, class: "button" }, words));
  };
  draw();
  return h("section", { class: "photos" }, h("h2", {}, t("photos.title")),
    shown, told,
    h("div", { class: "deeds" }, input("camera", t("photos.take"), { capture: "environment" }), input("library", t("photos.choose"), { multiple: true })));
}

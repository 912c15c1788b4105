// An arrow or a circle on a photo: by a stroke of the finger, or put in the middle and moved by keys.

import { button, choice, h } from "../dom.js";
import { changed, drawMarks, markInTheMiddle, markOfStroke } from "../marks.js";
import { developed } from "../pictures.js";
import { t } from "../words.js";

const STEP = 0.03;

/**
 * @param {Blob} plain the photo without marks
 * @param {import("../marks.js").Mark[]} before
 * @returns {Promise<{ canvas: HTMLCanvasElement, marks: import("../marks.js").Mark[] } | null>} null where nothing was changed
 */
export async function markPhoto(plain, before) {
  const photo = await developed(plain);
  const canvas = h("canvas", { class: "marking-photo", role: "img", "aria-label": t("marks.picture"), prop: { width: photo.width, height: photo.height } });
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  let marks = [...before];
  /** @type {import("../marks.js").Mark["kind"]} */
  let kind = "circle";
  /** @type {{ x: number, y: number } | null} */
  let from = null;

  const draw = (/** @type {import("../marks.js").Mark[]} */ shown = marks) => {
    pen.drawImage(photo, 0, 0);
    drawMarks(pen, shown);
  };
  const placeOf = (/** @type {PointerEvent} */ event) => {
    const box = canvas.getBoundingClientRect();
    return { x: (event.clientX - box.left) / box.width, y: (event.clientY - box.top) / box.height };
  };
  canvas.addEventListener("pointerdown", (/** @type {PointerEvent} */ event) => {
    from = placeOf(event);
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (/** @type {PointerEvent} */ event) => {
    if (from) draw([...marks, markOfStroke(kind, from, placeOf(event), photo.width, photo.height)]);
  });
  canvas.addEventListener("pointerup", (/** @type {PointerEvent} */ event) => {
    if (!from) return;
    marks = [...marks, markOfStroke(kind, from, placeOf(event), photo.width, photo.height)];
    from = null;
    draw();
  });
  canvas.addEventListener("pointercancel", () => {
    from = null;
    draw();
  });
  const last = (/** @type {Parameters<typeof changed>[1]} */ by) => () => {
    const mark = marks.at(-1);
    if (mark) marks = [...marks.slice(0, -1), changed(mark, by)];
    draw();
  };
  draw();

  return new Promise((resolve) => {
    const dialog = h("dialog", { class: "marking", "aria-label": t("marks.title") },
      h("p", { class: "hint" }, t("marks.how")),
      canvas,
      choice({ name: "mark", legend: t("marks.which"), options: [["circle", t("marks.circle")], ["arrow", t("marks.arrow")]], chosen: kind,
        changed: (code) => { kind = /** @type {typeof kind} */ (code); } }),
      h("details", {}, h("summary", {}, t("marks.by_keys")),
        h("div", { class: "keys", role: "group", "aria-label": t("marks.by_keys") },
          button(t("marks.put"), () => { marks = [...marks, markInTheMiddle(kind)]; draw(); }),
          button(t("marks.left"), last({ x: -STEP })), button(t("marks.right"), last({ x: STEP })),
          button(t("marks.up"), last({ y: -STEP })), button(t("marks.down"), last({ y: STEP })),
          button(t("marks.larger"), last({ size: 1.2 })), button(t("marks.smaller"), last({ size: 1 / 1.2 })),
          button(t("marks.turn"), last({ turn: 30 })))),
      h("p", { class: "deeds" },
        button(t("marks.keep"), () => { resolve({ canvas, marks }); dialog.close(); }, { class: "main" }),
        button(t("marks.take_back"), () => { marks = marks.slice(0, -1); draw(); }),
        button(t("cancel"), () => dialog.close())));
    dialog.addEventListener("close", () => {
      dialog.remove();
      resolve(null);
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}

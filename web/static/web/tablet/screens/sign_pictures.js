// A small drawing beside the word of a sign of the stock list. A yard's own sign has its word alone.

import { svg } from "../dom.js";

/** @type {Record<string, string>} */
let drawings = {};

/** Words do without them: a tablet that can't read the drawings goes on. */
export async function loadSignPictures() {
  drawings = await fetch(new URL("../sign_pictures.json", import.meta.url)).then((answer) => answer.json()).catch(() => ({}));
}

/** @param {string} code */
export const signPicture = (code) => drawings[code] && svg("svg", { viewBox: "0 0 24 24", "aria-hidden": "true", focusable: "false" }, svg("path", { d: drawings[code] }));

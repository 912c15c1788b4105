// The tablet's page begins: what is kept on it is opened, and the first screen shows.

import { fault } from "./apart.js";
import { Page } from "./app.js";
import { h } from "./dom.js";
import { loadSignPictures } from "./screens/sign_pictures.js";
import { Tablet } from "./tablet.js";
import { watchForNewVersion } from "./versions.js";
import { loadWords } from "./words.js";

async function begin() {
  const tablet = await Tablet.open();
  await Promise.all([loadWords(tablet.likes.language), loadSignPictures()]);
  const page = new Page(tablet, /** @type {HTMLElement} */ (document.getElementById("app")));
  await page.show();
  tablet.start();
  await watchForNewVersion((load) => page.tellNewVersion(load));
}

begin().catch((error) => {
  fault(error); // a page that is loaded again while it begins is none
  const root = document.getElementById("app");
  root?.replaceChildren(h("main", {}, h("h1", {}, "Faying"), h("p", {}, "This page could not start: ", String(error?.message ?? error)),
    h("p", {}, "What was kept on this tablet is still there. Load the page again; if that does not help, tell the office.")));
});

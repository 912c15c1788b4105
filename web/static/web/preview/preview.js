// A template as the tablet shows it: the tablet's own page and store, on an imagined boat with one part. What is tried
// here goes nowhere, and is thrown away when the page is left.

import { Page } from "../tablet/app.js";
import { h } from "../tablet/dom.js";
import { loadSignPictures } from "../tablet/screens/sign_pictures.js";
import { openStore } from "../tablet/store.js";
import { Tablet } from "../tablet/tablet.js";
import { uuid7 } from "../tablet/uuid7.js";
import { loadWords } from "../tablet/words.js";

const ROOT = /** @type {HTMLElement} */ (document.getElementById("app"));

/** A tablet that is signed in and never reaches the yard. */
class PreviewTablet extends Tablet {
  /** @returns {Promise<{ reached: boolean }>} */
  async round() {
    return { reached: false };
  }

  /** @returns {Promise<any>} */
  async ask() {
    return { kind: "refused", status: 422, detail: "This is a preview: nothing is sent and nothing is closed.", errors: [] };
  }
}

/** @returns {Promise<any>} the package of the version */
async function fetchPackage() {
  const answer = await fetch(/** @type {string} */ (ROOT.dataset.package), { headers: { Accept: "application/json" }, cache: "no-store" });
  const body = await answer.json();
  if (answer.ok) return body;
  throw new Error([body.detail, ...(body.errors ?? []).map((/** @type {any} */ { problem, remedy }) => `${problem}: ${remedy}`)].join(" "));
}

async function begin() {
  const name = `faying-preview-${uuid7()}`;
  addEventListener("pagehide", () => indexedDB.deleteDatabase(name));
  const [body, store] = await Promise.all([fetchPackage(), openStore(name)]);
  const tablet = new PreviewTablet(store);
  tablet.facts.device = { shared: false, member: { id: 0, name: "Preview" } };
  await store.putPackage({ inspection: body.inspection.id, fetchedAt: Date.now(), tag: "", body });
  await Promise.all([loadWords(tablet.likes.language), loadSignPictures()]);
  const home = `#/boat/${body.inspection.id}/${body.steps.length ? "opening" : "round"}`;
  // Boats, names and what is unsent belong to a real tablet: here every such way leads back to the part.
  const stay = () => {
    if (!location.hash.startsWith(`#/boat/${body.inspection.id}/`) && location.hash !== "#/settings") location.replace(home);
  };
  stay();
  addEventListener("hashchange", stay);
  const page = new Page(tablet, ROOT);
  page.skip.remove(); // it is no way past anything where the page stands inside another
  await page.show();
}

begin().catch((error) => {
  ROOT.replaceChildren(h("main", {}, h("h1", {}, "The tablet can’t show this yet"), h("p", { class: "refused", role: "alert" }, String(error?.message ?? error))));
});

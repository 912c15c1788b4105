// What is only on this tablet, what the yard could not take, and everything unsent as one file.

import { button, h } from "../dom.js";
import { saveUnsent } from "../export.js";
import { asSaid, refusalTold } from "../refusals.js";
import { statusWords } from "../status.js";
import { figure, momentOf, t, word } from "../words.js";

const MEGABYTE = 1_000_000;
const MOST_SHOWN = 100;

/** @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function show({ tablet, page }) {
  const [waiting, refused, aside, photos, packages] = await Promise.all([
    tablet.store.entriesThatAre("kept"), tablet.store.entriesThatAre("refused"), tablet.store.entriesThatAre("aside"), tablet.store.photosUnsent(), tablet.store.packages(),
  ]);
  const boats = new Map();
  for (const { inspection } of packages) boats.set(inspection, await tablet.aboard(inspection));
  const unsent = waiting.length + refused.length + photos.length;
  /** @param {import("../store.js").Kept} entry */
  const about = ({ inspection, sheet }) => {
    const aboard = boats.get(inspection);
    const what = sheet.step ? t(`opening.${sheet.outcome}`) : word("answer", sheet.answer, aboard?.body);
    return [aboard?.body.boat.name, aboard?.placeName(sheet), what].filter(Boolean).join(": ");
  };
  const line = (/** @type {import("../store.js").Kept} */ entry) => h("li", {}, about(entry), h("span", { class: "soft" }, ` · ${entry.authorName}, ${momentOf(entry.madeAt)}`));
  return {
    title: t("kept.title"),
    back: { href: "#/today", words: t("today.title") },
    live: true,
    body: [
      h("p", { class: "lead" }, statusWords(tablet), "."),
      h("p", { class: "deeds" },
        button(t("kept.try"), () => tablet.courier.hurry(), { class: "main", id: "try", disabled: !tablet.device }),
        button(t("kept.export"), async () => {
          const { entries, photos: pictures } = await saveUnsent(tablet);
          page.say(t("kept.exported", { n: entries, photos: pictures }));
        }, { id: "export", disabled: !unsent }),
        tablet.trouble?.kind === "signed_out" && h("a", { class: "button", href: "#/sign-in" }, t("sign_in.title"))),
      h("p", { class: "hint" }, t("kept.export_hint")),
      refused.length > 0 && h("section", {}, h("h2", {}, t("kept.refused")), h("p", { class: "purpose" }, t("kept.refused_why")),
        h("ul", { class: "lines" }, refused.map((entry) => h("li", {}, about(entry),
          ...refusalTold(entry),
          mend(entry))))),
      aside.length > 0 && h("section", {}, h("h2", {}, t("kept.aside")), h("p", { class: "purpose" }, t("kept.aside_why")),
        h("ul", { class: "lines" }, aside.map((entry) => h("li", {}, about(entry), ...asSaid([entry.why]))))),
      h("h2", {}, t("kept.only_here")),
      waiting.length ? h("ul", { class: "lines" }, waiting.slice(0, MOST_SHOWN).map(line)) : h("p", { class: "none" }, t("kept.nothing")),
      waiting.length > MOST_SHOWN && h("p", { class: "soft" }, t("kept.and_more", { n: waiting.length - MOST_SHOWN })),
      photos.length > 0 && h("p", {}, t("status.photos", { n: photos.length })),
      photos.filter(({ where }) => where === "refused").map(({ why, sha256 }) => h("section", {}, h("p", {}, t("refused.photo")), ...asSaid([`${sha256.slice(0, 8)}: ${why}`]))),
      h("h2", {}, t("kept.room")),
      h("p", {}, Number.isFinite(tablet.storage.free) ? t("kept.free", { mb: figure(tablet.storage.free / MEGABYTE, 0) }) : "", " ", t(tablet.storage.persisted ? "kept.persisted" : "kept.not_persisted")),
    ].flat(),
  };

  /** The way to the screen on which it can be said again. @param {import("../store.js").Kept} entry */
  function mend({ inspection, sheet }) {
    const address = sheet.step ? `/boat/${inspection}/opening` : sheet.check ? `/boat/${inspection}/check/${sheet.check}` : `/boat/${inspection}/besides`;
    return boats.get(inspection) && h("a", { class: "button", href: `#${address}` }, t("kept.say_again"));
  }
}

// How whoever holds the tablet likes it, their PIN, and giving the device back.

import { button, choice, h } from "../dom.js";
import { fetchMembers } from "../fetching.js";
import { answerWords } from "../status.js";
import { LANGUAGES, loadWords, t } from "../words.js";
import { addresses } from "../yard.js";

/** @param {import("../app.js").Call} call @returns {import("../app.js").Screen} */
export function show({ tablet, page }) {
  const likes = tablet.likes;
  const like = async (/** @type {Record<string, string>} */ some) => {
    await tablet.like(some);
    if (some.language) await loadWords(some.language);
    await page.show({ quietly: true });
  };
  const pick = (/** @type {string} */ name, /** @type {[string, string][]} */ options) =>
    choice({ name, legend: t(`settings.${name}`), options, chosen: likes[name], changed: (code) => void like({ [name]: code }) });
  const unsent = tablet.counts.entries.kept + tablet.counts.photos.kept + tablet.counts.entries.refused;
  return {
    title: t("settings.title"),
    back: { href: "#/today", words: t("today.title") },
    body: [
      pick("language", LANGUAGES.map(([code, name]) => [code, name])),
      pick("hand", [["right", t("settings.hand.right")], ["left", t("settings.hand.left")]]),
      pick("light", [["plain", t("settings.light.plain")], ["sun", t("settings.light.sun")], ["dark", t("settings.light.dark")]]),
      pick("text", [["normal", t("settings.text.normal")], ["large", t("settings.text.large")], ["larger", t("settings.text.larger")]]),
      tablet.person && tablet.device && pinForm(),
      tablet.device && h("section", {}, h("h2", {}, t("settings.device")),
        h("p", {}, [tablet.device.device_name, tablet.device.yard?.name].filter(Boolean).join(" · ")),
        unsent > 0 ? h("p", { class: "note" }, t("settings.unsent", { n: unsent })) : null,
        h("p", { class: "deeds" }, button(t("settings.sign_out"), signOut, { disabled: unsent > 0 }))),
    ],
  };

  function pinForm() {
    const input = h("input", { id: "new-pin", type: "password", inputmode: "numeric", pattern: "[0-9]{4,6}", maxlength: 6, autocomplete: "off", required: true });
    return h("form", { on: { submit: async (/** @type {Event} */ event) => {
      event.preventDefault();
      const person = /** @type {{ id: number }} */ (tablet.person);
      const answer = await tablet.ask(addresses.pin(person.id), { method: "PUT", json: { pin: input.value }, fits: () => true });
      if (answer.kind === "ok") await fetchMembers(tablet);
      page.say(answer.kind === "ok" ? t("settings.pin_set") : answerWords(answer));
      input.value = "";
    } } },
    h("h2", {}, t("settings.pin")),
    h("p", { class: "field" }, h("label", { for: "new-pin" }, t("settings.new_pin")), input),
    h("p", { class: "deeds" }, h("button", {}, t("settings.set_pin"))));
  }

  async function signOut() {
    const answer = await tablet.ask(addresses.device(tablet.device.id), { method: "DELETE", fits: () => true });
    if (answer.kind === "out_of_reach") return page.say(answerWords(answer));
    await tablet.know("device", undefined);
    await tablet.know("person", undefined);
    await tablet.changed();
    return page.go("/sign-in");
  }
}

// Signing the device in, and saying who holds it.

import { apart } from "../apart.js";
import { button, h, refill } from "../dom.js";
import { fetchMe, fetchMembers, fetchToday } from "../fetching.js";
import { pinFits } from "../pins.js";
import { shutWords, wantsSecond } from "../letting_in.js";
import { answerWords } from "../status.js";
import { readTag } from "../tag_code.js";
import { slipWords } from "../slips.js";
import { loadWords, t } from "../words.js";
import { addresses, isSignedIn } from "../yard.js";

const PIN_LENGTHS = [4, 6];

/** @param {import("../app.js").Call} call @returns {import("../app.js").Screen} */
export function signIn({ tablet, page, query }) {
  const problem = h("p", { class: "refused", role: "alert", hidden: true });
  const refuse = (/** @type {string} */ text, kind = "refused") => {
    problem.textContent = text;
    problem.className = kind;
    problem.hidden = false;
  };
  const byPassword = query.get("by") === "password";
  const field = (/** @type {string} */ id, /** @type {string} */ label, /** @type {any} */ given) =>
    h("p", { class: "field" }, h("label", { for: id }, label), h("input", { id, ...given }));
  const device = field("device", t("sign_in.device"), { type: "text", maxlength: 80, autocomplete: "off", prop: { value: tablet.device?.device_name ?? "" } });
  const value = (/** @type {string} */ id) => /** @type {HTMLInputElement} */ (document.getElementById(id)).value.trim();

  // Asked for only where the yard says that it wants it; name and password stay as they were typed.
  const second = field("second", t("sign_in.second"), { type: "text", inputmode: "numeric", autocomplete: "one-time-code", maxlength: 20 });
  second.hidden = true;
  const askSecond = () => {
    second.hidden = false;
    const input = /** @type {HTMLInputElement} */ (second.querySelector("input"));
    input.required = true;
    input.select();
  };

  /** @param {string} address @param {any} json */
  async function send(address, json) {
    const answer = await tablet.ask(address, { method: "POST", json, key: undefined, fits: isSignedIn });
    if (answer.kind !== "ok") {
      const asking = wantsSecond(answer);
      refuse(shutWords(answer), asking && second.hidden ? "note" : "refused");
      return asking && askSecond();
    }
    const yard = await fetchMe(tablet, answer.body);
    await tablet.know("device", { ...answer.body, yard: yard ?? tablet.device?.yard ?? null });
    await tablet.know("person", undefined);
    tablet.trouble = null;
    await fetchMembers(tablet);
    apart(fetchToday(tablet).then(() => tablet.changed()));
    apart(tablet.courier.hurry());
    apart(tablet.askForRoom());
    return page.go(answer.body.shared ? "/who" : "/today");
  }

  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    problem.hidden = true;
    const device_name = value("device") || t("sign_in.a_tablet");
    if (byPassword) {
      const code = second.hidden ? {} : { code: value("second").replace(/\s/g, "") };
      return void send(addresses.devices, { username: value("username"), password: value("password"), ...code, device_name });
    }
    const code = readTag(value("code"));
    if (!("code" in code)) return refuse(slipWords(code));
    return void send(addresses.byCode, { code: code.code, device_name });
  };
  return {
    title: t("sign_in.title"),
    body: [
      h("p", { class: "purpose" }, t("sign_in.purpose")),
      tablet.counts.entries.kept + tablet.counts.photos.kept > 0 && h("p", { class: "note" }, t("sign_in.kept", { n: tablet.counts.entries.kept })),
      h("form", { on: { submit } },
        problem,
        byPassword
          ? [field("username", t("sign_in.username"), { type: "text", autocomplete: "username", autocapitalize: "none", required: true }),
            field("password", t("sign_in.password"), { type: "password", autocomplete: "current-password", required: true }),
            second]
          : field("code", t("sign_in.code"), { type: "text", autocomplete: "off", autocapitalize: "characters", spellcheck: "false", required: true, class: "code" }),
        device,
        h("p", { class: "deeds" }, h("button", { class: "main" }, t("sign_in.do")))),
      h("p", {}, h("a", { class: "step-aside", href: byPassword ? "#/sign-in" : "#/sign-in?by=password" }, byPassword ? t("sign_in.by_code") : t("sign_in.by_password"))),
      h("p", { class: "keys languages" },
        button("English", () => choose("en"), { lang: "en" }), button("Deutsch", () => choose("de"), { lang: "de" })),
    ],
  };

  /** @param {string} language */
  async function choose(language) {
    await tablet.like({ language });
    await loadWords(language);
    await page.show();
  }
}

/** @param {import("../app.js").Call} call @returns {import("../app.js").Screen} */
export function who({ tablet, page }) {
  const members = tablet.facts.members ?? [];
  const name = (/** @type {any} */ member) => h("li", {},
    member.pin ? h("a", { class: "row", href: `#/who/${member.id}` }, h("span", { class: "row-name" }, member.name), h("span", { class: "soft" }, t("who.pin")))
      : h("button", { type: "button", class: "row", on: { click: () => take(tablet, page, member) } }, h("span", { class: "row-name" }, member.name)));
  return {
    title: t("who.title"),
    body: [
      h("p", { class: "purpose" }, t("who.purpose")),
      members.length ? h("ul", { class: "rows" }, members.map(name)) : h("p", { class: "note" }, t("who.none")),
      h("p", { class: "deeds" },
        button(t("who.fetch"), async () => {
          const wrong = await fetchMembers(tablet);
          await page.show();
          if (wrong) page.say(answerWords(wrong));
        }),
        h("a", { class: "button", href: "#/settings" }, t("settings.title"))),
    ],
  };
}

/** @param {import("../tablet.js").Tablet} tablet @param {import("../app.js").Page} page @param {any} member */
async function take(tablet, page, member) {
  await tablet.know("person", { id: member.id, name: member.name, role: member.role, day: new Date().toDateString() });
  await loadWords(tablet.likes.language);
  await page.go("/today");
}

/** @param {import("../app.js").Call} call @returns {import("../app.js").Screen} */
export function pin({ tablet, page, params }) {
  const member = (tablet.facts.members ?? []).find((/** @type {any} */ { id }) => id === Number(params[0]));
  if (!member?.pin) return who({ tablet, page, params, query: new URLSearchParams() });
  const problem = h("p", { class: "refused", role: "alert", hidden: true });
  const input = h("input", {
    id: "pin", type: "password", inputmode: "numeric", autocomplete: "off", maxlength: PIN_LENGTHS[1], class: "pin",
    "aria-label": t("pin.label"), on: { input: () => input.value.length >= PIN_LENGTHS[0] && problem.setAttribute("hidden", "") },
  });
  const enter = async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (await pinFits(input.value, member.pin)) return take(tablet, page, member);
    refill(problem, t("pin.wrong"));
    problem.hidden = false;
    input.value = "";
    input.focus();
    return undefined;
  };
  const press = (/** @type {string} */ digit) => button(digit, () => {
    if (input.value.length < PIN_LENGTHS[1]) input.value += digit;
  });
  return {
    title: member.name,
    back: { href: "#/who", words: t("who.title") },
    body: [
      h("p", { class: "purpose" }, t("pin.purpose")),
      h("form", { class: "pin-form", on: { submit: enter } },
        problem, input,
        h("div", { class: "pad" }, ["1", "2", "3", "4", "5", "6", "7", "8", "9"].map(press),
          button("⌫", () => { input.value = input.value.slice(0, -1); }, { "aria-label": t("pin.back") }),
          press("0"), h("button", { class: "main" }, t("pin.enter")))),
    ],
  };
}

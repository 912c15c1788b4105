// The page: which screen shows, what stands above and below it, and what is said about how it stands with the yard.

import { apart } from "./apart.js";
import { h, refill } from "./dom.js";
import { isWritingIn, Presses } from "./presses.js";
import { statusWords, warningsOf } from "./status.js";
import { t } from "./words.js";
import { notHere, NotHere } from "./screens/aboard.js";
import * as people from "./screens/people.js";
import * as today from "./screens/today.js";
import * as round from "./screens/round.js";
import * as opening from "./screens/opening.js";
import * as check from "./screens/check.js";
import * as finding from "./screens/finding.js";
import * as finish from "./screens/finish.js";
import * as kept from "./screens/kept.js";
import * as settings from "./screens/settings.js";

/**
 * @typedef {{ title: string, body: (Node | null | false)[], back?: { href: string, words: string }, boat?: number, kind?: string,
 *   foot?: Node, live?: boolean }} Screen
 *   foot: what stays in reach of the thumb. live: shown anew when something was brought to the yard
 * @typedef {{ tablet: import("./tablet.js").Tablet, params: string[], query: URLSearchParams, page: Page }} Call
 * @typedef {(call: Call) => Screen | Promise<Screen>} Show
 */

/** @type {[RegExp, Show][]} */
const SCREENS = [
  [/^\/sign-in$/, people.signIn],
  [/^\/who$/, people.who],
  [/^\/who\/(\d+)$/, people.pin],
  [/^\/today$/, today.show],
  [/^\/boat\/(\d+)\/opening$/, opening.show],
  [/^\/boat\/(\d+)\/round$/, round.show],
  [/^\/boat\/(\d+)\/plan$/, round.plan],
  [/^\/boat\/(\d+)\/check\/(\d+)$/, check.show],
  [/^\/boat\/(\d+)\/finding$/, finding.show],
  [/^\/boat\/(\d+)\/besides$/, finding.besides],
  [/^\/boat\/(\d+)\/finish$/, finish.show],
  [/^\/kept$/, kept.show],
  [/^\/settings$/, settings.show],
];
const TAP_AGAIN = 250;
const WITHOUT_NAME = new Set(["/sign-in", "/kept", "/settings"]);

export class Page {
  /** @param {import("./tablet.js").Tablet} tablet @param {HTMLElement} root */
  constructor(tablet, root) {
    this.tablet = tablet;
    this.root = root;
    this.shown = 0;
    this.newVersion = () => {};
    // What stands on every screen is made once, so that what is said in it is read aloud.
    this.head = h("div", { class: "head" });
    this.status = h("a", { class: "status", href: "#/kept" });
    this.warnings = h("div", { class: "warnings" });
    this.said = h("div", { class: "said", role: "status" });
    this.main = h("main", { id: "content" });
    this.foot = h("section", { class: "foot" });
    this.nav = h("nav", { class: "places" });
    const skip = h("a", { class: "skip", href: "#heading", on: { click: (/** @type {Event} */ event) => {
      event.preventDefault();
      document.getElementById("heading")?.focus();
    } } });
    this.skip = skip;
    refill(root, skip, h("header", {}, this.head, this.status, this.warnings, this.said), this.main, this.foot, this.nav);
    /** @type {Screen | null} */
    this.screen = null;
    this.turning = 0;
    this.stale = false;
    this.told = "";
    this.presses = new Presses(window, () => this.#catchUp());
    this.main.addEventListener("focusout", () => setTimeout(() => this.#catchUp()));
    addEventListener("hashchange", () => apart(this.show()));
    for (const news of ["changed", "status", "reached"]) tablet.addEventListener(news, () => this.#heard(news));
  }

  /** @param {string} address @returns {Promise<void> | undefined} */
  go(address) {
    if (location.hash === `#${address}`) return this.show();
    location.hash = address;
    return undefined;
  }

  /**
   * Say what was done, with a way to take it back where there is one. It stays as long as the screen.
   *
   * @param {string} text
   * @param {Node} [more]
   */
  say(text, more) {
    refill(this.said, text && h("p", {}, text), more);
  }

  /** Say it on the next screen. @param {string} text @param {Node} [more] */
  carry(text, more) {
    this.say(text, more);
    this.carried = true;
  }

  /** @returns {string} where one is to be, given who is known */
  #address() {
    const wanted = location.hash.slice(1).split("?")[0] || "/today";
    if (WITHOUT_NAME.has(wanted)) return wanted;
    if (!this.tablet.device) return "/sign-in";
    if (!this.tablet.person && !wanted.startsWith("/who")) return "/who";
    return wanted;
  }

  /**
   * @param {{ quietly?: boolean, byItself?: boolean }} [how] quietly: the same screen anew, with scroll and focus left
   *   where they are. byItself: nobody asked for it, so it waits for whoever presses or writes
   * @returns {Promise<void>}
   */
  async show({ quietly = false, byItself = false } = {}) {
    const turn = (this.shown += 1);
    const inTurn = quietly && !this.turning; // what was asked for before this comes with it, and is a new screen
    if (!inTurn) this.turning = turn;
    const address = this.#address();
    const found = SCREENS.map(([pattern, show]) => ({ show, match: pattern.exec(address) })).find(({ match }) => match);
    if (!found?.match) return this.go("/today");
    const query = new URLSearchParams(location.hash.split("?")[1] ?? "");
    try {
      const screen = await this.#screenOf(found.show, { tablet: this.tablet, params: found.match.slice(1), query, page: this });
      if (turn !== this.shown) return undefined; // somebody has gone on meanwhile
      if (byItself && this.#isInHand()) return this.#laterOn();
      this.screen = screen;
      if (!inTurn && !this.carried) refill(this.said);
      if (!inTurn) this.carried = false;
      this.#draw(screen, inTurn);
    } finally {
      if (this.turning === turn) this.turning = 0;
    }
    return undefined;
  }

  /** @param {Show} show @param {Call} call @returns {Promise<Screen>} */
  async #screenOf(show, call) {
    try {
      return await show(call);
    } catch (error) {
      if (error instanceof NotHere) return notHere();
      throw error;
    }
  }

  /** @param {Screen} screen @param {boolean} quietly */
  #draw(screen, quietly) {
    const { tablet } = this;
    const likes = tablet.likes;
    const focused = document.activeElement?.id;
    Object.assign(document.documentElement.dataset, { hand: likes.hand, light: likes.light, text: likes.text });
    document.documentElement.lang = likes.language;
    document.title = `${screen.title} · Faying`;
    const heading = h("h1", { tabindex: -1, id: "heading" }, screen.title);
    const person = tablet.person;
    this.skip.textContent = t("skip");
    refill(this.head,
      screen.back ? h("a", { class: "back", href: screen.back.href }, h("span", { "aria-hidden": "true" }, "‹ "), screen.back.words) : h("span", { class: "back name" }, "Faying"),
      tablet.device && h("a", { class: "who", href: tablet.device.shared ? "#/who" : "#/settings" }, person ? person.name : t("who.nobody")));
    this.main.className = screen.kind ?? "";
    refill(this.main, heading, ...screen.body);
    refill(this.foot, screen.foot);
    this.foot.hidden = !screen.foot;
    this.foot.setAttribute("aria-label", t("foot"));
    this.#drawPlaces(screen.boat);
    this.#tellStatus();
    if (quietly) {
      if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
      return;
    }
    // The second half of a double tap is no answer to the next place.
    this.foot.inert = true;
    setTimeout(() => { this.foot.inert = false; }, TAP_AGAIN);
    scrollTo(0, 0);
    this.main.scrollTop = 0;
    heading.focus({ preventScroll: true });
  }

  /** The places of a boat, one tap away everywhere. @param {number | undefined} boat */
  #drawPlaces(boat) {
    this.nav.hidden = boat === undefined;
    this.nav.setAttribute("aria-label", t("places.name"));
    const here = location.hash.slice(1).split("?")[0];
    const link = (/** @type {string} */ place, /** @type {string} */ words, also = "") => {
      const address = `/boat/${boat}/${place}`;
      const current = here === address || (also && here.startsWith(`/boat/${boat}/${also}`));
      return h("li", {}, h("a", { href: `#${address}`, "aria-current": current ? "page" : null }, words));
    };
    refill(this.nav, h("ul", {},
      link("opening", t("places.opening")),
      link("round", t("places.round"), "check"),
      link("plan", t("places.plan")),
      link("besides", t("places.besides")),
      link("finish", t("places.finish"))));
  }

  /** Somebody presses or writes on the screen as it stands. */
  #isInHand() {
    return this.presses.held || isWritingIn(this.main);
  }

  #laterOn() {
    this.stale = true;
  }

  #catchUp() {
    if (!this.stale || this.presses.held) return;
    this.stale = false;
    this.#heard("changed");
  }

  /** There is news of what is kept or of the yard. @param {string} news */
  #heard(news) {
    if (this.presses.held) return this.#laterOn(); // a line more above would move what is under the finger
    this.#tellStatus();
    if (news === "status" || !this.screen?.live || this.turning) return undefined;
    if (this.#isInHand()) return this.#laterOn();
    return void apart(this.show({ quietly: true, byItself: true }));
  }

  #tellStatus() {
    const { tablet } = this;
    const words = statusWords(tablet);
    if (this.status.textContent !== words) this.status.textContent = words;
    this.status.hidden = !tablet.device && !tablet.counts.entries.kept;
    const warnings = warningsOf(tablet);
    const told = JSON.stringify([warnings, this.newVersionReady && t("version.ready")]);
    if (told === this.told) return; // the same words anew would only take the focus away
    this.told = told;
    refill(this.warnings, warnings.map((text) => h("p", { class: "warning" }, text)),
      this.newVersionReady && h("p", { class: "warning" }, t("version.ready"), " ",
        h("button", { type: "button", class: "plain", on: { click: () => this.newVersion() } }, t("version.load"))));
  }

  /** @param {() => void} load */
  tellNewVersion(load) {
    this.newVersionReady = true;
    this.newVersion = load;
    this.#tellStatus();
  }
}

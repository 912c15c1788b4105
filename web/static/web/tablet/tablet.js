// The tablet as the screens see it: what is kept, who holds it, how it stands with the yard.

import { Aboard } from "./aboard.js";
import { apart } from "./apart.js";
import { ask } from "./asking.js";
import { better, offsetOf } from "./clock.js";
import { HELD_BACK, openStore } from "./store.js";
import { bring, Courier } from "./sync.js";
import { uuid7 } from "./uuid7.js";
import { addresses, CONTRACT, heartbeat } from "./yard.js";

const FACTS = ["device", "members", "person", "settings", "clock", "contact", "today"];
const LOCK = "faying-bring";
const AGAIN_EVERY = 60_000;
const NEARLY_FULL = 0.85;

export class Tablet extends EventTarget {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    super();
    this.store = store;
    /** @type {Record<string, any>} */
    this.facts = {};
    this.counts = { entries: { kept: 0, yard: 0, aside: 0, refused: 0 }, photos: { kept: 0, yard: 0, aside: 0, refused: 0 } };
    /** @type {null | { kind: string, why?: string, withdrawn?: boolean, detail?: string }} */
    this.trouble = null;
    this.busy = false;
    this.newerContract = false;
    this.storage = { nearlyFull: false, persisted: true, free: Infinity };
    this.courier = new Courier({ round: (size) => this.round(size), told: (outcome) => this.told(outcome) });
  }

  static async open() {
    const tablet = new Tablet(await openStore());
    for (const name of FACTS) tablet.facts[name] = await tablet.store.fact(name);
    await tablet.count();
    return tablet;
  }

  /** Begin to keep in touch with the yard. */
  start() {
    addEventListener("online", () => apart(this.courier.hurry()));
    document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && apart(this.courier.hurry()));
    setInterval(() => document.visibilityState === "visible" && apart(this.courier.nudge()), AGAIN_EVERY);
    apart(this.courier.nudge());
    apart(this.askForRoom());
  }

  /** @param {string} name @param {any} value */
  async know(name, value) {
    this.facts[name] = value;
    await this.store.setFact(name, value);
  }

  get device() {
    return this.facts.device;
  }

  /** Who holds the tablet now; on somebody's own device that is them. @returns {{ id: number, name: string } | undefined} */
  get person() {
    const { device, person } = this.facts;
    if (!device) return undefined;
    if (!device.shared) return device.member;
    return person?.day === new Date().toDateString() ? person : undefined;
  }

  /** What whoever holds it likes: language, hand, light, size of the text. */
  get likes() {
    const settings = this.facts.settings ?? {};
    return { language: navigator.language.startsWith("de") ? "de" : "en", hand: "right", light: "plain", text: "normal",
      ...settings.last, ...settings[this.person?.id ?? ""] };
  }

  /** @param {Record<string, string>} some */
  async like(some) {
    const likes = { ...this.likes, ...some };
    await this.know("settings", { ...this.facts.settings, last: likes, ...(this.person && { [this.person.id]: likes }) });
  }

  /** @param {string} address @param {any} wish @returns {Promise<import("./asking.js").Answer>} */
  async ask(address, wish) {
    const answer = await ask(address, { key: this.device?.key, ...wish });
    if (answer.kind === "ok" && answer.contract > CONTRACT) this.newerContract = true;
    return answer;
  }

  /**
   * Keep what was said. When this comes back it is on the disk, and only then may a page say so.
   *
   * @param {number} inspection
   * @param {Record<string, any>[]} sheets without time and author; an id is made where there is none
   * @param {{ photos?: { sha256: string, blob: Blob }[], draft?: string, mended?: string, undoable?: boolean }} [more]
   */
  async keep(inspection, sheets, { photos = [], draft, mended, undoable = false } = {}) {
    const person = this.person;
    if (!person) throw new Error("nobody is named");
    const madeAt = Date.now();
    const offset = this.facts.clock ? this.facts.clock.offset : null;
    const entries = sheets.map((sheet) => {
      const document = { id: uuid7(), ...sheet, observed_at: new Date(madeAt).toISOString(), author: person.id };
      return {
        id: document.id, inspection, author: person.id, authorName: person.name, sheet: document, madeAt, offset,
        ...(undoable && { notBefore: madeAt + HELD_BACK }),
      };
    });
    const pictures = photos.map(({ sha256, blob }) => ({ sha256, blob, inspection, madeAt }));
    const kept = await this.store.keep(entries, pictures, { forget: draft, mended });
    await this.changed();
    if (undoable) setTimeout(() => apart(this.courier.nudge()), HELD_BACK + 50);
    else apart(this.courier.nudge());
    return kept;
  }

  /** @param {string} id @returns {Promise<boolean>} false where it may be at the yard already */
  async undo(id) {
    const done = await this.store.undo(id);
    await this.changed();
    return done;
  }

  /** @param {number} inspection @returns {Promise<Aboard | null>} */
  async aboard(inspection) {
    const [pack, kept] = await Promise.all([this.store.package(inspection), this.store.entriesOf(inspection)]);
    return pack ? new Aboard(pack.body, kept) : null;
  }

  async count() {
    this.counts = await this.store.counts();
  }

  async changed() {
    await this.count();
    this.dispatchEvent(new Event("changed"));
  }

  /** One round to the yard and back. Two windows on one tablet take turns. @param {number} size */
  async round(size) {
    /** @type {import("./sync.js").Outcome} */
    const nothing = { reached: false };
    if (!this.device) return nothing;
    return navigator.locks.request(LOCK, { ifAvailable: true }, async (lock) => {
      if (!lock) return nothing;
      const pulse = await heartbeat();
      if (pulse.kind !== "ok") return { reached: false, stopped: pulse };
      await this.heard(pulse);
      this.busy = true;
      this.dispatchEvent(new Event("status"));
      const offset = this.facts.clock.offset;
      const outcome = await bring({
        shelf: this.store, ask: (address, wish) => this.ask(address, wish), addresses, size, offset,
        changed: () => apart(this.changed()),
      });
      return { ...outcome, reached: true };
    });
  }

  /** @param {import("./asking.js").Answered} pulse */
  async heard({ body, times, contract }) {
    const measured = offsetOf({ ...times, server: Date.parse(body.server_time) });
    await this.know("clock", better(this.facts.clock, { ...measured, at: times.heard }));
    await this.know("contact", { at: times.heard });
    if (contract > CONTRACT) this.newerContract = true;
  }

  /** @param {import("./sync.js").Outcome} outcome */
  async told(outcome) {
    this.busy = false;
    this.trouble = outcome.stopped ?? null;
    await this.changed();
    if (outcome.reached) this.dispatchEvent(new Event("reached"));
  }

  /** Ask the browser never to clear what is kept here, and see how much room is left. */
  async askForRoom() {
    if (!navigator.storage?.estimate) return;
    const persisted = (await navigator.storage.persisted?.()) || Boolean(this.device && (await navigator.storage.persist?.()));
    const { usage = 0, quota = 0 } = await navigator.storage.estimate();
    this.storage = { persisted, nearlyFull: quota > 0 && usage / quota > NEARLY_FULL, free: Math.max(0, quota - usage) };
    this.dispatchEvent(new Event("status"));
  }
}

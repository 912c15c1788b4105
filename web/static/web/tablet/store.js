// What is kept on the tablet. Everything is in IndexedDB before the page says "kept": the page may be killed, the
// battery may go, and what was said is there when the tablet starts again.

// @ts-ignore the library is kept without its types
import { openDB } from "./vendor/idb.js";

/**
 * kept: on this tablet only. yard: stored there. aside: at the yard, for the office to place.
 * refused: the yard could not take it as it is; it stays here until somebody has dealt with it. mended: it was dealt
 * with. undone: taken back by whoever said it, before it was ever on its way.
 * @typedef {"kept" | "yard" | "aside" | "refused" | "mended" | "undone"} Where
 *
 * @typedef {{
 *   id: string, inspection: number, sequence: number, where: Where, author: number, authorName: string,
 *   sheet: Record<string, any>, madeAt: number, offset: number | null, why?: string,
 *   errors?: import("./asking.js").Objection[], tried?: boolean, notBefore?: number,
 * }} Kept madeAt: by the tablet's clock. offset: how far the server was ahead of it, where that was known. tried: it was
 *   on its way once, so that it may be at the yard though no answer came. notBefore: held back so long for an undoing
 * @typedef {{ sha256: string, inspection: number, blob: Blob, where: Where, madeAt: number, why?: string, sentAt?: number }} KeptPhoto
 * @typedef {{ inspection: number, fetchedAt: number, tag: string, body: any }} Package
 */

const NAME = "faying-tablet";
// How long an answer of one tap waits on the tablet, so that one more tap can take it back.
export const HELD_BACK = 8_000;
const SAFE = /** @type {const} */ ({ durability: "strict" });

/** The fact that says which package of a boat is here. @param {number} inspection */
const stampOf = (inspection) => `package:${inspection}`;

/** @param {string} name */
export async function openStore(name = NAME) {
  const db = await openDB(name, 1, {
    upgrade(/** @type {any} */ base) {
      base.createObjectStore("facts");
      base.createObjectStore("packages", { keyPath: "inspection" });
      const entries = base.createObjectStore("entries", { keyPath: "id" });
      entries.createIndex("by_where", ["where", "sequence"]);
      entries.createIndex("by_inspection", ["inspection", "sequence"]);
      base.createObjectStore("photos", { keyPath: "sha256" }).createIndex("by_where", "where");
      base.createObjectStore("pictures");
    },
    // A newer page wants to change the shape of the store: let it, it asks again in a moment.
    blocking: (/** @type {number} */ _before, /** @type {number | null} */ _after, /** @type {Event} */ event) => /** @type {IDBDatabase} */ (event.target).close(),
  });
  return new Store(db);
}

export class Store {
  /** @param {any} db as the library opens it */
  constructor(db) {
    this.db = db;
    /** @type {{ stamp: string, one: Package } | null} the package read last: a large one takes longer to read than a tap may */
    this.held = null;
  }

  /** @param {string} name */
  fact(name) {
    return this.db.get("facts", name);
  }

  /** @param {string} name @param {any} value undefined forgets it */
  async setFact(name, value) {
    const work = this.db.transaction("facts", "readwrite", SAFE);
    await (value === undefined ? work.store.delete(name) : work.store.put(value, name));
    await work.done;
  }

  /**
   * Keep entries and their photos, all or nothing, with the next numbers of this tablet's count.
   *
   * @param {Omit<Kept, "sequence" | "where">[]} entries
   * @param {Omit<KeptPhoto, "where">[]} photos those that are not here yet
   * @param {{ forget?: string, mended?: string }} [more] forget: the fact that held a draft of it. mended: the refused
   *   entry that it stands for
   * @returns {Promise<Kept[]>} once all is on the disk
   */
  async keep(entries, photos = [], { forget, mended } = {}) {
    const work = this.db.transaction(["facts", "entries", "photos"], "readwrite", SAFE);
    const [facts, shelf, pictures] = ["facts", "entries", "photos"].map((name) => work.objectStore(name));
    let sequence = (await facts.get("sequence")) ?? 0;
    const kept = entries.map((entry) => {
      sequence += 1;
      return { ...entry, sequence, sheet: { ...entry.sheet, sequence }, where: /** @type {const} */ ("kept") };
    });
    await facts.put(sequence, "sequence");
    if (forget) await facts.delete(forget);
    for (const entry of kept) await shelf.add(entry);
    for (const photo of photos) {
      const here = await pictures.get(photo.sha256);
      if (!here) await pictures.put({ ...photo, where: "kept" });
    }
    const refused = mended && (await shelf.get(mended));
    if (refused) await shelf.put({ ...refused, where: "mended" });
    await work.done;
    return kept;
  }

  /** The entries that are to go to the yard, in the order of the tablet's count. @param {number} most @param {number} [now] */
  async waiting(most, now = Date.now()) {
    const range = IDBKeyRange.bound(["kept", 0], ["kept", Infinity]);
    /** @type {Kept[]} */
    const kept = await this.db.getAllFromIndex("entries", "by_where", range, most);
    const held = kept.findIndex(({ notBefore = 0 }) => notBefore > now && notBefore - now <= HELD_BACK);
    return held < 0 ? kept : kept.slice(0, held);
  }

  /** They are on their way, and may arrive without our hearing of it. @param {string[]} ids */
  async trying(ids) {
    const work = this.db.transaction("entries", "readwrite", SAFE);
    for (const id of ids) {
      const entry = await work.store.get(id);
      if (entry && !entry.tried) await work.store.put({ ...entry, tried: true });
    }
    await work.done;
  }

  /** Take an entry back. @param {string} id @returns {Promise<boolean>} false where it may be at the yard already */
  async undo(id) {
    const work = this.db.transaction("entries", "readwrite", SAFE);
    const entry = await work.store.get(id);
    const ours = Boolean(entry) && entry.where === "kept" && !entry.tried;
    if (ours) await work.store.put({ ...entry, where: "undone" });
    await work.done;
    return ours;
  }

  /** @param {{ id: string, where: Where, why?: string, errors?: any[] }[]} outcomes what became of each */
  async settle(outcomes) {
    const work = this.db.transaction("entries", "readwrite", SAFE);
    for (const { id, where, why, errors } of outcomes) {
      const entry = await work.store.get(id);
      if (entry) await work.store.put({ ...entry, where, why, errors });
    }
    await work.done;
  }

  /** @param {number} inspection @returns {Promise<Kept[]>} */
  entriesOf(inspection) {
    return this.db.getAllFromIndex("entries", "by_inspection", IDBKeyRange.bound([inspection, 0], [inspection, Infinity]));
  }

  /** @param {Where} where @returns {Promise<Kept[]>} */
  entriesThatAre(where) {
    return this.db.getAllFromIndex("entries", "by_where", IDBKeyRange.bound([where, 0], [where, Infinity]));
  }

  /** @returns {Promise<{ entries: Record<Where, number>, photos: Record<Where, number> }>} */
  async counts() {
    const work = this.db.transaction(["entries", "photos"]);
    const entries = work.objectStore("entries").index("by_where");
    const photos = work.objectStore("photos").index("by_where");
    /** @type {any} */
    const counted = { entries: {}, photos: {} };
    for (const where of ["kept", "yard", "aside", "refused"]) {
      counted.entries[where] = await entries.count(IDBKeyRange.bound([where, 0], [where, Infinity]));
      counted.photos[where] = await photos.count(where);
    }
    return counted;
  }

  /** @returns {Promise<string[]>} digests of the photos that are on this tablet only */
  async photosWaiting() {
    const keys = await this.db.getAllKeysFromIndex("photos", "by_where", "kept");
    return keys.map(String);
  }

  /** @param {string} sha256 @returns {Promise<KeptPhoto | undefined>} */
  photo(sha256) {
    return this.db.get("photos", sha256);
  }

  /** @param {string} sha256 @param {Where} where @param {string} [why] */
  async settlePhoto(sha256, where, why) {
    const work = this.db.transaction("photos", "readwrite", SAFE);
    const photo = await work.store.get(sha256);
    if (photo) await work.store.put({ ...photo, where, why, ...(where === "yard" && { sentAt: Date.now() }) });
    await work.done;
  }

  /** @returns {Promise<KeptPhoto[]>} */
  async photosUnsent() {
    return (await Promise.all(["kept", "refused"].map((where) => this.db.getAllFromIndex("photos", "by_where", where)))).flat();
  }

  /** @param {Package} one */
  async putPackage(one) {
    const work = this.db.transaction(["packages", "facts"], "readwrite", SAFE);
    await work.objectStore("packages").put(one);
    await work.objectStore("facts").put(`${one.fetchedAt} ${one.tag} ${Math.random()}`, stampOf(one.inspection));
    await work.done;
  }

  /**
   * Read anew only when it was stored anew, be it by another window.
   *
   * @param {number} inspection
   * @returns {Promise<Package | undefined>}
   */
  async package(inspection) {
    const stamp = await this.fact(stampOf(inspection));
    if (stamp && this.held?.stamp === stamp) return this.held.one;
    const one = await this.db.get("packages", inspection);
    if (one && stamp) this.held = { stamp, one };
    return one;
  }

  /** @returns {Promise<Package[]>} */
  packages() {
    return this.db.getAll("packages");
  }

  /** @param {string} name @returns {Promise<Blob | undefined>} a small picture of an earlier year */
  picture(name) {
    return this.db.get("pictures", name);
  }

  /** @param {string} name @param {Blob} blob */
  putPicture(name, blob) {
    return this.db.put("pictures", blob, name);
  }

  /**
   * Let go of a boat that is done with: her package and what is safely at the yard. Nothing unsent is touched.
   *
   * @param {number} inspection
   * @returns {Promise<boolean>} false where something of hers is only on this tablet, and nothing was let go
   */
  async letGo(inspection) {
    const work = this.db.transaction(["packages", "entries", "photos", "facts"], "readwrite", SAFE);
    const entries = work.objectStore("entries");
    const photos = work.objectStore("photos");
    const hers = await entries.index("by_inspection").getAll(IDBKeyRange.bound([inspection, 0], [inspection, Infinity]));
    const pictures = (await photos.getAll()).filter((/** @type {KeptPhoto} */ photo) => photo.inspection === inspection);
    const safe = [...hers, ...pictures].every(({ where }) => where !== "kept" && where !== "refused");
    if (safe) {
      await work.objectStore("packages").delete(inspection);
      await work.objectStore("facts").delete(stampOf(inspection));
      for (const { id } of hers) await entries.delete(id);
      for (const { sha256 } of pictures) await photos.delete(sha256);
    }
    await work.done;
    return safe;
  }
}

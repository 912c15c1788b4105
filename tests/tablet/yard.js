// The yard as the queue sees it, in memory: it takes each id once, and says so when it comes again. What goes wrong on
// the way is decided by the test.

/** A shelf like the tablet's store, without a disk. */
export class Shelf {
  constructor(entries, photos = []) {
    this.entries = entries.map((entry) => ({ ...entry, where: "kept" }));
    this.photos = new Map(photos.map((sha256) => [sha256, { sha256, blob: new Blob([sha256]), where: "kept" }]));
  }

  async waiting(most) {
    return this.entries.filter(({ where }) => where === "kept").slice(0, most);
  }

  async trying(ids) {
    for (const entry of this.entries) if (ids.includes(entry.id)) entry.tried = true;
  }

  async settle(outcomes) {
    for (const { id, ...outcome } of outcomes) Object.assign(this.entries.find((entry) => entry.id === id), outcome);
  }

  async photosWaiting() {
    return [...this.photos.values()].filter(({ where }) => where === "kept").map(({ sha256 }) => sha256);
  }

  async photo(sha256) {
    return this.photos.get(sha256);
  }

  async settlePhoto(sha256, where, why) {
    Object.assign(this.photos.get(sha256), { where, why });
  }
}

const json = (body, { status = 200, type = "application/json", contract = "1", headers = {} } = {}) =>
  new Response(JSON.stringify(body), { status, headers: { "content-type": type, ...(contract && { "faying-contract": contract }), ...headers } });

const problem = (status, errors = [], more = {}, headers = {}) =>
  json({ type: "x", title: "x", status, detail: `says ${status}`, errors, ...more }, { status, type: "application/problem+json", headers });

export const onTheWay = {
  network: () => Promise.reject(new TypeError("failed to fetch")),
  portal: async () => new Response("<!doctype html><title>Welcome aboard our Wi-Fi</title>", { headers: { "content-type": "text/html" } }),
  portalOfJson: async () => json({ results: [], missing: [] }, { contract: "" }),
  oddAnswer: async () => json({ login: "/hotspot" }),
  busy: async () => new Response("<html>502</html>", { status: 502, headers: { "content-type": "text/html" } }),
};

export class Yard {
  /** @param {(ask: { method: string, address: string, turn: number }) => undefined | "lost" | keyof onTheWay | Response} weather */
  constructor(weather = () => undefined) {
    this.weather = weather;
    this.entries = new Map();
    this.arrivals = [];
    this.photos = new Map();
    this.turn = 0;
    this.rules = { refuse: new Set(), aside: new Set(), tooLarge: Infinity };
  }

  fetch = async (address, { method, body }) => {
    this.turn += 1;
    const weather = this.weather({ method, address, turn: this.turn });
    if (weather instanceof Response) return weather;
    if (weather && weather !== "lost") return onTheWay[weather]();
    const answer = await this.answer(address, method, body);
    if (weather === "lost") throw new TypeError("the answer was lost");
    return answer;
  };

  async answer(address, method, body) {
    if (method === "PUT") {
      const sha256 = address.split("/").at(-2);
      this.photos.set(sha256, (this.photos.get(sha256) ?? 0) + 1);
      return json({ sha256 }, { status: 201 });
    }
    const sent = JSON.parse(body);
    if (address.endsWith("/missing/")) return json({ missing: sent.digests.filter((one) => !this.photos.has(one)) });
    if (sent.entries.length > this.rules.tooLarge) return problem(413);
    return json({ results: sent.entries.map((sheet) => this.take(sheet)) });
  }

  take(sheet) {
    const errors = [{ field: "note", problem: "is wrong", remedy: "put it right" }];
    if (this.rules.refuse.has(sheet.id)) return { id: sheet.id, outcome: "refused", errors, why: "" };
    if (this.entries.has(sheet.id)) return { id: sheet.id, outcome: "already_there", errors: [], why: "" };
    this.entries.set(sheet.id, sheet);
    this.arrivals.push(sheet.sequence);
    const aside = this.rules.aside.has(sheet.id);
    return { id: sheet.id, outcome: aside ? "set_aside" : "stored", errors: [], why: aside ? "the inspection is closed" : "" };
  }
}

export { problem };

// Everything that is only on this tablet as one file, for a day on which no network comes back.

/** @typedef {import("./tablet.js").Tablet} Tablet */

const FORMAT = "faying unsent 1";
const CHUNK = 0x8000;

/** @param {Blob} blob */
async function base64(blob) {
  const data = new Uint8Array(await blob.arrayBuffer());
  let text = "";
  for (let from = 0; from < data.length; from += CHUNK) text += String.fromCharCode(...data.subarray(from, from + CHUNK));
  return btoa(text);
}

/**
 * The file in parts, so that twenty photos need not stand in one text.
 *
 * @param {{ store: Pick<import("./store.js").Store, "entriesThatAre" | "photosUnsent" | "packages">, device: any, boatNames: Record<number, string>, offset: number | null, now: number }} from
 * @returns {Promise<{ parts: string[], entries: number, photos: number }>}
 */
export async function unsentFile({ store, device, boatNames, offset, now }) {
  const entries = [...(await store.entriesThatAre("kept")), ...(await store.entriesThatAre("refused"))].sort((a, b) => a.sequence - b.sequence);
  const photos = await store.photosUnsent();
  const inspections = [...new Set(entries.map(({ inspection }) => inspection))].map((inspection) => ({
    inspection,
    boat_name: boatNames[inspection] ?? "",
    entries: entries.filter((entry) => entry.inspection === inspection)
      .map((entry) => ({ ...entry.sheet, clock_offset_ms: entry.offset ?? offset })),
  }));
  const head = {
    format: FORMAT, made_at: new Date(now).toISOString(), yard: device.yard?.id ?? null,
    device: { id: device.id, device_name: device.device_name }, inspections,
  };
  const parts = [JSON.stringify(head).slice(0, -1), ',"photos":['];
  for (const [place, { sha256, blob }] of photos.entries()) {
    parts.push(`${place ? "," : ""}${JSON.stringify({ sha256, media_type: blob.type, data: await base64(blob) })}`);
  }
  parts.push("]}");
  return { parts, entries: entries.length, photos: photos.length };
}

/** @param {Tablet} tablet */
export async function saveUnsent(tablet) {
  const packages = await tablet.store.packages();
  const boatNames = Object.fromEntries(packages.map(({ inspection, body }) => [inspection, body.boat.name]));
  const now = Date.now();
  const { parts, ...counted } = await unsentFile({
    store: tablet.store, device: tablet.device ?? {}, boatNames, offset: tablet.facts.clock?.offset ?? null, now,
  });
  const address = URL.createObjectURL(new Blob(parts, { type: "application/json" }));
  const link = document.createElement("a");
  link.href = address;
  link.download = `faying-unsent-${new Date(now).toISOString().slice(0, 10)}.json`;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
  return counted;
}

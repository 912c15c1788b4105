// Work that is begun and not waited for. When the page is left or loaded again, the browser cuts off what the store and
// the network were just doing for it: what was kept is kept, the rest begins anew with the page, and nobody need hear.

let left = false;
globalThis.addEventListener?.("pagehide", () => { left = true; });
globalThis.addEventListener?.("pageshow", () => { left = false; });

/**
 * @param {Promise<unknown> | undefined} work
 * @param {{ isLeft?: () => boolean }} [tools]
 */
export function apart(work, { isLeft = () => left } = {}) {
  return work?.catch((error) => {
    if (!isLeft()) throw error;
  });
}

/** Note what went wrong by itself, unless the page was just left. @param {unknown} error */
export const fault = (error) => { if (!left) console.error(error); };

// One request to the yard, and what its answer is worth. A café's network that answers every address with a page of
// its own, a proxy that is out of breath, a server that restarts: none of them may be taken for the yard. An answer of
// the yard is JSON, names the contract by which it speaks, and has the shape that was asked for.

/**
 * @typedef {{ field: string, problem: string, remedy: string }} Objection
 * @typedef {{ kind: "ok", status: number, body: any, tag: string, contract: number, times: Times }} Answered
 * @typedef {{ kind: "unchanged" }} Unchanged
 * @typedef {{ kind: "out_of_reach", why: "network" | "stranger" | "busy", after?: number }} OutOfReach
 * @typedef {{ kind: "signed_out" | "not_allowed", detail: string, withdrawn: boolean, secondFactor?: string }} ShutOut
 * @typedef {{ kind: "refused", status: number, detail: string, errors: Objection[] }} Refused
 * @typedef {Answered | Unchanged | OutOfReach | ShutOut | Refused} Answer
 * @typedef {{ asked: number, heard: number }} Times by the tablet's clock
 */

export const CONTRACT_HEADER = "Faying-Contract";
const PATIENCE = 30_000;
const JSON_TYPE = /^application\/(problem\+)?json\b/i;

/** @param {Response} response */
const saysJson = (response) => JSON_TYPE.test(response.headers.get("content-type") ?? "");

/**
 * @param {string} address
 * @param {{
 *   method?: string, key?: string, json?: unknown, blob?: Blob, headers?: Record<string, string>,
 *   fits: (body: any) => boolean, patience?: number,
 *   fetcher?: typeof fetch, now?: () => number,
 * }} wish fits: whether the body has the shape that the yard answers with
 * @returns {Promise<Answer>}
 */
export async function ask(address, wish) {
  const { method = "GET", key, json, blob, fits, patience = PATIENCE, fetcher = fetch, now = Date.now } = wish;
  /** @type {Record<string, string>} */
  const headers = { Accept: "application/json", ...wish.headers };
  if (key) headers.Authorization = `Bearer ${key}`;
  if (json !== undefined) headers["Content-Type"] = "application/json";
  if (blob) headers["Content-Type"] = blob.type;
  const asked = now();
  let response;
  let body;
  try {
    response = await fetcher(address, {
      method,
      headers,
      body: blob ?? (json === undefined ? undefined : JSON.stringify(json)),
      cache: "no-store",
      credentials: "omit",
      redirect: "error", // the yard's programming interface never sends one elsewhere; a portal does
      signal: AbortSignal.timeout(patience),
    });
    if (response.status === 304) return { kind: "unchanged" };
    if (saysJson(response)) body = await response.json();
  } catch {
    return { kind: "out_of_reach", why: "network" };
  }
  return judged(response, body, fits, { asked, heard: now() });
}

/**
 * @param {Response} response
 * @param {any} body undefined where it was no JSON
 * @param {(body: any) => boolean} fits
 * @param {Times} times
 * @returns {Answer}
 */
function judged(response, body, fits, times) {
  if (response.status === 429 || response.status >= 500) {
    const after = Number(response.headers.get("retry-after"));
    return { kind: "out_of_reach", why: "busy", ...(after > 0 && { after: after * 1000 }) };
  }
  const contract = Number(response.headers.get(CONTRACT_HEADER));
  const tag = response.headers.get("etag") ?? "";
  if (response.status === 204 && contract) return { kind: "ok", status: 204, body: null, tag, contract, times };
  const strange = !contract || typeof body !== "object" || body === null;
  if (strange || (response.ok ? !fits(body) : typeof body.status !== "number")) {
    return { kind: "out_of_reach", why: "stranger" };
  }
  if (response.ok) {
    return { kind: "ok", status: response.status, body, tag, contract, times };
  }
  const detail = String(body.detail ?? body.title ?? "");
  const withdrawn = body.withdrawn === true;
  const secondFactor = typeof body.second_factor === "string" && { secondFactor: body.second_factor };
  if (response.status === 401) return { kind: "signed_out", detail, withdrawn, ...secondFactor };
  if (response.status === 403) return { kind: "not_allowed", detail, withdrawn };
  return { kind: "refused", status: response.status, detail, errors: Array.isArray(body.errors) ? body.errors : [] };
}

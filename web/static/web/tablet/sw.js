// Keeps the page on the tablet, so that it starts in the boat. The line above, written by the server, names every file
// with its digest; a file that is not what it says (a log-in page of a café's network, say) is not taken.
/* global FAYING */

const PAGE = "/tablet/";
const PREFIX = "faying-page-";
const CURRENT = PREFIX + self.FAYING.version;
const KNOWN = new Set(self.FAYING.files.map(([address]) => address));

const hex = (bytes) => Array.from(new Uint8Array(bytes), (byte) => byte.toString(16).padStart(2, "0")).join("");

async function fetchChecked([address, digest]) {
  const answer = await fetch(address, { cache: "no-cache", credentials: "omit", redirect: "error" });
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  if (!(await isAsAnnounced(answer.clone(), address, digest))) throw new Error(`${address} is not what was announced`);
  return [address, answer];
}

// The page itself names the edition that it belongs to; every other file is known by its bytes.
async function isAsAnnounced(answer, address, digest) {
  if (address === PAGE) return (await answer.text()).includes(`data-version="${digest}"`);
  return hex(await crypto.subtle.digest("SHA-256", await answer.arrayBuffer())).startsWith(digest);
}

async function install() {
  const fetched = await Promise.all(self.FAYING.files.map(fetchChecked));
  const cache = await caches.open(CURRENT);
  await Promise.all(fetched.map(([address, answer]) => cache.put(address, answer)));
}

async function clearOlder() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(PREFIX) && name !== CURRENT).map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function fromCache(address, request) {
  const cache = await caches.open(CURRENT);
  return (await cache.match(address)) ?? fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(clearOlder()));
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(fromCache(PAGE, request));
  else if (KNOWN.has(pathname)) event.respondWith(fromCache(pathname, request));
});

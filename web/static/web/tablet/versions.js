// A new edition of this page is fetched behind its back and waits. It is loaded when somebody says so, never in the
// middle of a finding; what is kept here and what is being written stay where they are.

/** @param {(load: () => void) => void} tell */
export async function watchForNewVersion(tell) {
  if (!("serviceWorker" in navigator)) return;
  const worker = navigator.serviceWorker;
  const had = Boolean(worker.controller);
  let loading = false;
  worker.addEventListener("controllerchange", () => {
    if (had && !loading) {
      loading = true;
      location.reload();
    }
  });
  const registration = await worker.register("/tablet/sw.js", { scope: "/tablet/" }).catch(() => null);
  if (!registration) return;
  const offer = () => {
    const waiting = registration.waiting;
    if (waiting && worker.controller) tell(() => waiting.postMessage("take over"));
  };
  offer();
  registration.addEventListener("updatefound", () => {
    registration.installing?.addEventListener("statechange", offer);
  });
  const look = () => document.visibilityState === "visible" && navigator.onLine && void registration.update().catch(() => {});
  document.addEventListener("visibilitychange", look);
}

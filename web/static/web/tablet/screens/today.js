// The boats to inspect, how far each is, and what of each is only on this tablet.

import { Aboard } from "../aboard.js";
import { button, h, refill } from "../dom.js";
import { fetchBoat, fetchToday } from "../fetching.js";
import { answerWords } from "../status.js";
import { dayOf, momentOf, t } from "../words.js";

/** @param {import("../app.js").Call} call @returns {Promise<import("../app.js").Screen>} */
export async function show({ tablet, page }) {
  const packages = await tablet.store.packages();
  const here = new Map(packages.map((pack) => [pack.inspection, pack]));
  const listed = tablet.facts.today?.results ?? [];
  const rows = [
    ...listed.map((/** @type {any} */ one) => ({ id: one.id, name: one.boat_name, launch: one.launch_on, total: one.checks_total, done: one.checks_answered })),
    // What is on this tablet shows here until it is let go, though the yard may have closed it.
    ...packages.filter(({ inspection }) => !listed.some((/** @type {any} */ { id }) => id === inspection))
      .map(({ inspection, body }) => ({ id: inspection, name: body.boat.name, launch: body.inspection.launch_on, total: body.inspection.checks_total, done: body.inspection.checks_answered, gone: true })),
  ];
  const told = await Promise.all(rows.map((row) => boat(row)));
  return {
    title: t("today.title"),
    live: true,
    body: [
      rows.length ? h("ul", { class: "boats" }, told) : h("p", { class: "note" }, t(tablet.facts.today ? "today.none" : "today.not_fetched")),
      h("p", { class: "deeds" },
        button(t("today.fetch"), async () => {
          const wrong = await fetchToday(tablet);
          await page.show({ quietly: true });
          page.say(wrong ? answerWords(wrong) : t("today.fetched"));
        }, { id: "fetch-list" }),
        h("a", { class: "button", href: "#/kept" }, t("kept.title")),
        h("a", { class: "button", href: "#/settings" }, t("settings.title"))),
      tablet.facts.today && h("p", { class: "soft" }, t("today.as_of", { at: momentOf(tablet.facts.today.at) })),
    ],
  };

  /** @param {{ id: number, name: string, launch: string, total: number, done: number, gone?: boolean }} row */
  async function boat({ id, name, launch, total, done, gone }) {
    const pack = here.get(id);
    const entries = await tablet.store.entriesOf(id);
    const only = entries.filter(({ where }) => where === "kept").length;
    const refused = entries.filter(({ where }) => where === "refused").length;
    const progress = pack ? new Aboard(pack.body, entries).progress() : { total, done };
    const fetching = h("p", { class: "soft", "aria-live": "polite" }, pack ? t("today.here", { at: momentOf(pack.fetchedAt) }) : t("today.ashore"));
    const fetch = button(pack ? t("today.again") : t("today.take"), async () => {
      fetch.disabled = true;
      const wrong = await fetchBoat(tablet, id, (one, all) => refill(fetching, t("today.pictures", { n: all, done: one })));
      fetch.disabled = false;
      await page.show({ quietly: true });
      page.say(wrong ? answerWords(wrong) : t("today.ready", { boat: name }));
    }, { id: `fetch-${id}`, class: pack ? "" : "main", "aria-label": `${pack ? t("today.again") : t("today.take")}: ${name}` });
    return h("li", {},
      h("h2", {}, name),
      h("p", {}, t("today.progress", { done: progress.done, n: progress.total }), launch && ` · ${t("today.launch", { day: dayOf(launch) })}`),
      h("progress", { max: Math.max(1, progress.total), value: progress.done, "aria-label": t("today.progress", { done: progress.done, n: progress.total }) }),
      only > 0 && h("p", {}, t("today.only", { n: only })),
      refused > 0 && h("p", {}, h("a", { href: "#/kept" }, t("status.refused", { n: refused }))),
      gone && h("p", { class: "soft" }, t("today.gone")),
      fetching,
      h("p", { class: "deeds" },
        pack && h("a", { class: "button main", href: `#/boat/${id}/${progress.done ? "round" : "opening"}`, "aria-label": `${t("today.aboard")}: ${name}` }, t("today.aboard")),
        fetch,
        gone && pack && button(t("today.let_go"), async () => {
          const let_go = await tablet.store.letGo(id);
          await page.show({ quietly: true });
          page.say(t(let_go ? "today.let_gone" : "today.not_let_go", { boat: name }));
        })));
  }
}

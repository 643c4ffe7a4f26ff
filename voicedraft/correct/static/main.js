// Puts the page together.

import { Commands } from "./commands.js";
import { byId, h, say } from "./dom.js";
import { listen } from "./keys.js";
import { List } from "./list.js";
import { Panel } from "./panel.js";
import { Player } from "./player.js";
import { Store } from "./store.js";
import { Strip } from "./strip.js";

/** How often another window's corrections are looked for, milliseconds. */
const LOOK_MS = 5000;

const store = new Store();
const player = new Player(store);
const list = new List(store, (name, value) => commands.run(name, value));
const panel = new Panel(store, list, (value) => commands.lead(value));
const commands = new Commands(store, list, player, (kind) => { show("values"); panel.toggle(kind, ""); });
const strip = new Strip(store, (id, time) => {
  show("words");
  list.select(id);
  const p = store.passage(id);
  if (p && time !== null) commands.sound(p.take, time, store.take(p.take)?.end ?? p.end);
});

store.addEventListener("loaded", () => {
  byId("title").textContent = store.title;
  document.title = `${store.title}: correct the draft`;
  if (!list.passage) list.current = (store.passages.find((p) => p.look) ?? store.passages[0])?.id ?? "";
  list.build();
  panel.draw();
  strip.build();
  strip.mark(list.passage);
  status();
});
store.addEventListener("changed", (e) => {
  const { ids, reordered, focus, text } = /** @type {CustomEvent} */ (e).detail;
  if (reordered || ids.includes(list.current)) list.chosen = null;
  list.update(ids, reordered);
  if (!list.passage) list.select(focus ?? store.passages[0]?.id ?? "");
  else if (/^(undone|brought back)/.test(text ?? "") && focus && focus !== list.current) list.select(focus);
  panel.draw();
  strip.draw();
  strip.mark(list.passage);
  const brought = /^words .*; (read from them|gone|the values here)/.test(text ?? "");
  tell(brought ? text[0].toUpperCase() + text.slice(1) : null);
  if (!brought) say(text ?? "Saved.");
});
store.addEventListener("refused", (e) => {
  const { error, again } = /** @type {CustomEvent} */ (e).detail;
  if (error.status !== 409) return tell(error.message, error.status === 0 || error.status === 503 ? again : null);
  tell(`Not made: the draft was corrected elsewhere meanwhile (${error.changed.join("; ")}). It is shown as it stands now.`, again);
});
store.addEventListener("told", (e) => tell(/** @type {CustomEvent} */ (e).detail));
store.addEventListener("saving", () => status());
store.addEventListener("selected", () => strip.mark(list.passage));
player.addEventListener("at", (e) => {
  const { take, time } = /** @type {CustomEvent} */ (e).detail;
  strip.needle(take, time);
  follow(take, time);
});
player.addEventListener("stopped", () => {
  strip.needle(null, 0);
  document.querySelector("article.sounds")?.classList.remove("sounds");
});

/** Marks the passage that sounds. @param {number} take @param {number} time */
function follow(take, time) {
  const p = store.passages.findLast((q) => q.take === take && q.start <= time + 0.05);
  const row = p && list.rows.get(p.id);
  if (!row || row.classList.contains("sounds")) return;
  document.querySelector("article.sounds")?.classList.remove("sounds");
  row.classList.add("sounds");
}

function status() {
  byId("saved").textContent = store.pending ? "Saving…" : `${store.revision} correction${store.revision === 1 ? "" : "s"}, all saved`;
  for (const [id, text] of /** @type {Array<[string, string|null]>} */ ([["undo", store.undoText], ["redo", store.redoText]])) {
    const button = /** @type {HTMLButtonElement} */ (byId(id));
    button.disabled = text === null;
    button.title = text ? `${id === "undo" ? "Undo" : "Redo"}: ${text}` : "";
  }
}

/** Shows a notice, or takes it away. @param {string|null} text @param {(() => Promise<boolean>)|null} [again] */
function tell(text, again = null) {
  const notice = byId("notice");
  notice.hidden = text === null;
  notice.replaceChildren(...(text === null ? [] : [h("span", {}, text),
    again ? h("button", { type: "button", id: "again", onclick: () => { tell(null); again(); } }, "Make it again") : "",
    h("button", { type: "button", onclick: () => { tell(null); list.rows.get(list.current)?.focus(); } }, "Close")]));
}

/** On a narrow screen, shows one of the two halves. @param {"words"|"values"} view */
function show(view) {
  if (document.body.dataset.view === view) return;
  document.body.dataset.view = view;
  byId("show-words").setAttribute("aria-pressed", String(view === "words"));
  byId("show-values").setAttribute("aria-pressed", String(view === "values"));
  if (view === "values" && byId("views").offsetParent) scrollTo(0, 0);
  else list.rows.get(list.current)?.scrollIntoView({ block: "center", behavior: "instant" });
}

byId("show-words").addEventListener("click", () => show("words"));
byId("show-values").addEventListener("click", () => show("values"));
byId("undo").addEventListener("click", () => commands.run("undo"));
byId("redo").addEventListener("click", () => commands.run("redo"));
const keepUp = () => { if (!document.hidden) store.keepUp().catch((error) => tell(error.message)); };
addEventListener("focus", keepUp);
setInterval(keepUp, LOOK_MS);
new ResizeObserver(() => document.documentElement.style.setProperty("--bar", `${byId("bar").offsetHeight}px`)).observe(byId("bar"));
listen(store, list, commands, player);
store.load().then(() => list.select(list.current), (error) => tell(error.message));

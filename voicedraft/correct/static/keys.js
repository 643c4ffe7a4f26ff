// The keyboard. Letters act only while one is in the passages, never while one writes; Ctrl+Z works everywhere.

import { byId, h } from "./dom.js";

/** @type {Array<[string, string]>} */
const MOVES = [
  ["↓ J, ↑ K", "next, previous passage"], ["N, Shift+N", "next, previous passage to look at first"],
  ["Home, End", "first, last passage"], ["Space", "play the passage or the chosen words; stop"],
  ["P", "play on from here"], ["[ ]", "slower, faster"], ["← →", "choose a word; with Shift, more words"],
  ["Enter", "accept and go on"], ["C", "split before the chosen word"], ["M", "merge with the next passage"],
  ["R", "rewrite the chosen words, or all"], ["H", "take a repair back: as heard"], ["+", "add a flavour said in the chosen words"],
  ["U, Ctrl+Z", "undo"], ["Shift+U, Ctrl+Y", "redo"], ["Esc", "leave a form; choose no words"], ["?", "these keys"],
];

/** @type {Record<string, string>} key → command */
const COMMANDS = {
  " ": "play", p: "on", c: "split", m: "merge", r: "write", h: "heard", "+": "flavour", enter: "accept",
};

/**
 * @param {import("./store.js").Store} store @param {import("./list.js").List} list
 * @param {import("./commands.js").Commands} commands @param {import("./player.js").Player} player
 */
export function listen(store, list, commands, player) {
  document.addEventListener("keydown", (e) => {
    if (history(e, commands)) return;
    const target = /** @type {HTMLElement} */ (e.target);
    if (e.key === "Escape") return escape(list, commands);
    if (target.closest("input, select, textarea, dialog") || e.ctrlKey || e.altKey || e.metaKey) return;
    const inside = target.closest("#list") || target === document.body || target.id === "passages";
    if (!inside) return;
    if (target.closest("button") && (e.key === " " || e.key === "Enter")) return;
    if (move(e, list, commands, player) || act(e, store, commands)) e.preventDefault();
  });
  byId("help").addEventListener("click", () => help(store));
}

/** @param {KeyboardEvent} e @param {import("./commands.js").Commands} commands */
function history(e, commands) {
  const control = e.ctrlKey || e.metaKey;
  const writing = /** @type {HTMLElement} */ (e.target).closest("input, textarea");
  if (!control || writing || e.altKey) return false;
  const key = e.key.toLowerCase();
  if (key !== "z" && key !== "y") return false;
  e.preventDefault();
  commands.run(key === "y" || e.shiftKey ? "redo" : "undo");
  return true;
}

/** @param {import("./list.js").List} list @param {import("./commands.js").Commands} commands */
function escape(list, commands) {
  if (list.writing) commands.write(false);
  else if (list.chosen) {
    list.chosen = null;
    list.refresh();
  }
}

/**
 * @param {KeyboardEvent} e @param {import("./list.js").List} list @param {import("./commands.js").Commands} commands
 * @param {import("./player.js").Player} player
 */
function move(e, list, commands, player) {
  const far = list.store.passages.length;
  /** @type {Record<string, () => void>} */
  const moves = {
    arrowdown: () => list.move(1), j: () => list.move(1), arrowup: () => list.move(-1), k: () => list.move(-1),
    home: () => list.move(-far), end: () => list.move(far), n: () => list.moveToLook(e.shiftKey ? -1 : 1),
    arrowright: () => list.step(1, e.shiftKey), arrowleft: () => list.step(-1, e.shiftKey),
    pagedown: () => list.move(8), pageup: () => list.move(-8),
    "[": () => player.speed(0.9), "]": () => player.speed(1 / 0.9), "?": () => help(list.store),
    u: () => commands.run(e.shiftKey ? "redo" : "undo"),
  };
  const found = moves[e.key.toLowerCase()];
  found?.();
  return Boolean(found);
}

/** @param {KeyboardEvent} e @param {import("./store.js").Store} store @param {import("./commands.js").Commands} commands */
function act(e, store, commands) {
  const key = e.key.toLowerCase();
  const command = COMMANDS[key];
  if (command) {
    commands.run(command);
    return true;
  }
  const section = store.names.sections?.find((/** @type {string[]} */ s) => s[2].toLowerCase() === key);
  const stage = store.names.stages?.find((/** @type {string[]} */ s) => s[2] === key);
  if (section) commands.run("section", section[0]);
  else if (stage) commands.run("stage", stage[0]);
  return Boolean(section ?? stage);
}

/** Shows the keys. @param {import("./store.js").Store} store */
function help(store) {
  const rows = (/** @type {Array<[string, string]>} */ list) => h("dl", {}, ...list.flatMap(([key, text]) => [h("dt", {}, h("kbd", {}, key)), h("dd", {}, text)]));
  const named = (/** @type {string[][]} */ list) => rows(list.map((x) => [x[2], x[1]]));
  byId("keys-body").replaceChildren(
    h("p", {}, "They work while you are among the passages. Every correction is saved at once."),
    h("div", { class: "columns" }, rows(MOVES), h("div", {}, h("h3", {}, "Section"), named(store.names.sections),
      h("h3", {}, "Stage"), named(store.names.stages))));
  /** @type {HTMLDialogElement} */ (byId("keys")).showModal();
}

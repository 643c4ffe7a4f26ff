// What can be done to the current passage, whichever way it was asked for: key, button or choice.

import { byId, clock, say } from "./dom.js";

/** Stage that a section brings with it; null where it has none; undefined where it keeps the one there was. */
const STAGE_OF = {
  background: null, appearance: null, value: null, pairings: null, aside: null, prelight: "prelight",
  first_third: "first", second_third: "second", final_third: "final", palate: "after",
};
const SMOKED = ["first", "second", "final", "after"];

export class Commands {
  /**
   * @param {import("./store.js").Store} store @param {import("./list.js").List} list
   * @param {import("./player.js").Player} player @param {(kind: string) => void} addValue opens the form of a new value
   */
  constructor(store, list, player, addValue) {
    this.store = store;
    this.list = list;
    this.player = player;
    this.addValue = addValue;
  }

  /** @param {string} name @param {string} [value] */
  async run(name, value) {
    const p = this.list.passage;
    if (!p) return;
    const commands = {
      play: () => this.play(), on: () => this.playOn(), section: () => this.section(p, value ?? ""),
      stage: () => this.label(p, p.section, value || null), accept: () => this.accept(p), split: () => this.split(p),
      merge: () => this.store.change({ what: "passage.merge", passage: p.id }),
      aside: () => this.store.change({ what: "passage.aside", passage: p.id }),
      write: () => this.write(true), cancel: () => this.write(false), written: () => this.written(p, value ?? ""),
      heard: () => this.heard(p), flavour: () => this.addValue("descriptor"),
      undo: () => this.store.undo(), redo: () => this.store.redo(),
    };
    await commands[/** @type {keyof typeof commands} */ (name)]?.();
  }

  /** Plays the chosen words, else the passage; stops when it sounds already. */
  async play() {
    if (this.player.playing) return this.player.stop();
    const p = this.list.passage;
    if (!p) return;
    const [from, to] = this.list.chosen ?? [0, p.words.length];
    await this.sound(p.take, p.words[from][1], p.words[to - 1][2]);
  }

  /** Plays from here to the end of the take; the current passage follows. */
  async playOn() {
    if (this.player.playing) return this.player.stop();
    const p = this.list.passage;
    if (p) await this.sound(p.take, p.start, this.store.take(p.take)?.end ?? p.end);
  }

  /** @param {number} take @param {number} start @param {number} end session seconds */
  async sound(take, start, end) {
    const problem = await this.player.play(take, start, end);
    if (problem) this.store.dispatchEvent(new CustomEvent("told", { detail: problem }));
  }

  /** @param {import("./store.js").Passage} p @param {string} section */
  section(p, section) {
    if (section === "aside") return this.store.change({ what: "passage.aside", passage: p.id });
    const brought = STAGE_OF[/** @type {keyof typeof STAGE_OF} */ (section)];
    return this.label(p, section, brought === undefined ? this.stageFor(p, section) : brought);
  }

  /**
   * The stage of a burn or verdict remark: the one it has, else for burn the third that is being smoked around it.
   * @param {import("./store.js").Passage} p @param {string} section
   */
  stageFor(p, section) {
    if (p.stage && SMOKED.includes(p.stage)) return p.stage;
    if (section === "verdict") return null;
    const at = this.store.places.get(p.id) ?? 0;
    const before = this.store.passages.slice(0, at).findLast((q) => q.stage && SMOKED.includes(q.stage));
    return before?.stage ?? null;
  }

  /** @param {import("./store.js").Passage} p @param {string} section @param {string|null} stage */
  label(p, section, stage) {
    return this.store.change({ what: "passage.label", passage: p.id, section, stage });
  }

  /** Accepts, and goes on to the next passage. @param {import("./store.js").Passage} p */
  async accept(p) {
    const made = this.store.change({ what: "passage.accept", passage: p.id });
    this.list.move(1);
    await made;
  }

  /** @param {import("./store.js").Passage} p */
  split(p) {
    const at = this.list.chosen?.[0] ?? 0;
    if (at < 1) return say("Choose the word that the second passage begins with: Left and Right move by words.");
    return this.store.change({ what: "passage.split", passage: p.id, at });
  }

  /** Opens or closes the form that writes words anew. @param {boolean} open */
  write(open) {
    this.list.writing = open;
    this.list.refresh();
    if (open) /** @type {HTMLTextAreaElement} */ (byId("pen")).select();
    else this.list.rows.get(this.list.current)?.focus();
  }

  /**
   * Sends only the words that differ. They are shown at once: in a long session it takes a moment until the values that
   * they bring are read.
   * @param {import("./store.js").Passage} p @param {string} text
   */
  async written(p, text) {
    let [from, to] = this.list.chosen ?? [0, p.words.length];
    const fresh = text.split(/\s+/).filter(Boolean);
    while (fresh.length > 1 && to - from > 1 && p.words[from][0] === fresh[0]) {
      from += 1;
      fresh.shift();
    }
    while (fresh.length > 1 && to - from > 1 && p.words[to - 1][0] === fresh[fresh.length - 1]) {
      to -= 1;
      fresh.pop();
    }
    const before = p.words.slice(from, to).map((w) => w[0]).filter(Boolean).join(" ");
    this.write(false);
    if (!fresh.length || fresh.join(" ") === before) return;
    this.list.chosen = null;
    const old = p.words;
    p.words = old.map((w, i) => (i < from || i >= to ? w : [
      i < to - 1 ? fresh[i - from] ?? "" : fresh.slice(to - from - 1).join(" "), w[1], w[2], w[3] ?? w[0]]));
    this.list.update([p.id], false);
    const made = await this.store.change({ what: "words.fix", passage: p.id, first: from, last: to, text: fresh.join(" ") });
    if (made || this.store.passage(p.id) !== p) return;
    p.words = old;
    this.list.update([p.id], false);
  }

  /** @param {import("./store.js").Passage} p */
  heard(p) {
    const [first, last] = this.list.chosen ?? [0, p.words.length];
    this.list.chosen = null;
    return this.store.change({ what: "words.revert", passage: p.id, first, last });
  }

  /**
   * Goes to the words of a value and plays exactly those.
   * @param {{passage: string, start: number, end: number}} value
   */
  async lead(value) {
    const p = this.store.passage(value.passage);
    if (!p) return;
    const inside = (/** @type {number} */ t) => p.words.findIndex((w) => w[1] >= t - 0.0015);
    const from = Math.max(inside(value.start), 0);
    const after = inside(value.end - 0.0015);
    const to = Math.max(after < 0 ? p.words.length : after, from + 1);
    byId("show-words").click();
    this.list.select(p.id, { words: [from, to] });
    say(`${clock(value.start)}: ${p.words.slice(from, to).map((w) => w[0]).filter(Boolean).join(" ")}`);
    await this.sound(p.take, value.start, value.end);
  }
}

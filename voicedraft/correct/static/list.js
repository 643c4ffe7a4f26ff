// The passages in reading order. One is current; it shows its words one by one and its tools.

import { byId, choice, clock, h, lines, say } from "./dom.js";

/** @typedef {import("./store.js").Passage} Passage */

export class List {
  /**
   * @param {import("./store.js").Store} store
   * @param {(name: string, value?: string) => void} run runs a command on the current passage
   */
  constructor(store, run) {
    this.store = store;
    this.run = run;
    this.current = "";
    /** @type {[number, number]|null} */ this.chosen = null;
    /** @type {Map<string, HTMLElement>} */ this.rows = new Map();
    this.writing = false;
    const list = byId("list");
    list.addEventListener("click", (e) => this.clicked(/** @type {MouseEvent} */ (e)));
    list.addEventListener("dblclick", () => this.chosen && this.run("play"));
  }

  /** The current passage. */
  get passage() {
    return this.store.passage(this.current);
  }

  /** Builds every row. */
  build() {
    const rows = this.store.passages.map((p) => this.row(p));
    this.rows = new Map(this.store.passages.map((p, i) => [p.id, rows[i]]));
    byId("list").replaceChildren(...rows);
    byId("list").setAttribute("aria-busy", "false");
    this.number();
  }

  /** Puts new and changed rows in, and gone ones out. @param {string[]} ids @param {boolean} reordered */
  update(ids, reordered) {
    const held = byId("list").contains(document.activeElement);
    for (const id of ids) {
      const p = this.store.passage(id);
      if (!p) continue;
      const fresh = this.row(p);
      this.rows.get(id)?.replaceWith(fresh);
      this.rows.set(id, fresh);
    }
    if (reordered) {
      byId("list").replaceChildren(...this.store.passages.map((p) => /** @type {HTMLElement} */ (this.rows.get(p.id))));
      this.rows = new Map(this.store.passages.map((p) => [p.id, /** @type {HTMLElement} */ (this.rows.get(p.id))]));
      this.number();
    }
    if (held && !byId("list").contains(document.activeElement)) this.rows.get(this.current)?.focus({ preventScroll: true });
  }

  number() {
    const count = String(this.store.passages.length);
    this.store.passages.forEach((p, i) => {
      const row = this.rows.get(p.id);
      row?.setAttribute("aria-posinset", String(i + 1));
      row?.setAttribute("aria-setsize", count);
    });
  }

  /** @param {Passage} p @returns {HTMLElement} */
  row(p) {
    const now = p.id === this.current;
    const place = this.store.places.get(p.id) ?? 0;
    const before = this.store.passages[place - 1];
    const row = h("article", {
      class: `p${now ? " now" : ""}${p.look ? " look" : ""}${p.section === "aside" ? " out" : ""}`, id: `r-${p.id}`,
      tabindex: now ? 0 : -1, dataset: { id: p.id, section: p.section }, "aria-labelledby": `m-${p.id} t-${p.id}`,
      "aria-posinset": String(place + 1), "aria-setsize": String(this.store.passages.length),
      "aria-current": now ? "true" : null,
    }, this.meta(p), now ? this.words(p) : h("p", { class: "text", id: `t-${p.id}` }, plain(p)));
    if (!before || before.take !== p.take) row.classList.add("opens");
    if (now) row.append(...this.details(p), this.writing ? this.pen(p) : this.tools(p));
    return row;
  }

  /** @param {Passage} p */
  meta(p) {
    const stage = p.stage && ["burn", "palate", "verdict"].includes(p.section) ? this.store.stageName(p.stage) : "";
    const sure = p.by_hand ? "checked" : `${p.sure} % sure`;
    return h("div", { class: "meta", id: `m-${p.id}` },
      h("button", { type: "button", class: "time", tabindex: p.id === this.current ? 0 : -1, dataset: { do: "play" }, "aria-label": `Play ${clock(p.start)}` },
        h("span", { "aria-hidden": "true", class: "tri" }), clock(p.start)),
      h("span", { class: "label" }, h("span", { class: "dot", dataset: { section: p.section } }), this.store.sectionName(p.section)),
      stage && h("span", { class: "stage" }, stage.toLowerCase()),
      h("span", { class: `sure${p.by_hand ? " hand" : ""}` }, p.look ? `look: ${sure}` : sure));
  }

  /** @param {Passage} p */
  words(p) {
    const text = h("p", { class: "text words", id: `t-${p.id}` });
    p.words.forEach(([word, , , heard], i) => {
      if (!word) return;
      const on = this.chosen && i >= this.chosen[0] && i < this.chosen[1];
      const mended = heard !== null;
      text.append(h("span", { class: `w${on ? " on" : ""}${mended ? " mended" : ""}`, dataset: { i: String(i) }, title: mended ? `heard: ${heard || "nothing"}` : null }, word), " ");
    });
    return text;
  }

  /** @param {Passage} p */
  details(p) {
    const out = [];
    if (p.words.some((w) => w[3] !== null)) {
      out.push(h("p", { class: "small" }, "Heard: ", p.words.map((w) => w[3] ?? w[0]).filter(Boolean).join(" ")));
    }
    if (p.evidence.length) out.push(h("p", { class: "small" }, `Why: ${p.evidence.join("; ")}`));
    return out;
  }

  /** @param {Passage} p */
  tools(p) {
    const tool = (/** @type {string} */ name, /** @type {string} */ text, /** @type {string} */ key) =>
      h("button", { type: "button", dataset: { do: name } }, text, h("kbd", { "aria-hidden": "true" }, key));
    return h("div", { class: "tools", role: "group", "aria-label": "Correct this passage" },
      choice("Section", this.store.names.sections, p.section, (v) => this.run("section", v)),
      choice("Stage", this.store.names.stages, p.stage ?? "", (v) => this.run("stage", v)),
      tool("accept", "Accept", "Enter"), tool("play", this.chosen ? "Play the words" : "Play", "Space"),
      tool("split", "Split", "C"), tool("merge", "Merge with next", "M"), tool("aside", "Leave out", "X"),
      tool("write", "Rewrite words", "R"), p.words.some((w) => w[3] !== null) ? tool("heard", "As heard", "H") : null,
      tool("flavour", "Add flavour", "+"));
  }

  /** The form that writes words anew. @param {Passage} p */
  pen(p) {
    const [from, to] = this.chosen ?? [0, p.words.length];
    const field = lines("Write these words as", p.words.slice(from, to).map((w) => w[0]).filter(Boolean).join(" "), { maxlength: 2000, id: "pen" });
    const done = (/** @type {Event} */ e) => {
      e.preventDefault();
      this.run("written", /** @type {HTMLTextAreaElement} */ (byId("pen")).value);
    };
    return h("form", { class: "tools pen", onsubmit: done }, field, h("button", {}, "Save"),
      h("button", { type: "button", dataset: { do: "cancel" } }, "Cancel"));
  }

  /** @param {MouseEvent} e */
  clicked(e) {
    const target = /** @type {HTMLElement} */ (e.target);
    const row = /** @type {HTMLElement|null} */ (target.closest("article"));
    if (!row) return;
    const button = /** @type {HTMLElement|null} */ (target.closest("[data-do]"));
    const word = /** @type {HTMLElement|null} */ (target.closest(".w"));
    if (row.dataset.id !== this.current) this.select(row.dataset.id ?? "", { focus: true, scroll: false });
    if (button) this.run(button.dataset.do ?? "");
    else if (word) this.choose(Number(word.dataset.i), e.shiftKey);
  }

  /**
   * Makes a passage the current one.
   * @param {string} id @param {{focus?: boolean, scroll?: boolean, words?: [number, number]|null}} [how]
   */
  select(id, { focus = true, scroll = true, words = null } = {}) {
    const next = this.store.passage(id);
    if (!next) return;
    const before = this.passage;
    this.current = id;
    this.chosen = words;
    this.writing = false;
    this.update(before && before.id !== id ? [before.id, id] : [id], false);
    const row = this.rows.get(id);
    if (focus) row?.focus({ preventScroll: true });
    if (scroll) row?.scrollIntoView({ block: "center", behavior: "instant" });
    this.store.dispatchEvent(new CustomEvent("selected"));
  }

  /** Moves by passages. @param {number} by */
  move(by) {
    const at = this.store.places.get(this.current) ?? 0;
    const next = this.store.passages[Math.min(Math.max(at + by, 0), this.store.passages.length - 1)];
    if (next) this.select(next.id);
  }

  /** Goes to the next passage to be looked at, round the end. @param {number} by 1 or -1 @returns {boolean} */
  moveToLook(by) {
    const all = this.store.passages;
    const at = this.store.places.get(this.current) ?? 0;
    for (let k = 1; k <= all.length; k += 1) {
      const p = all[(at + by * k + all.length * 2) % all.length];
      if (p.look && p.id !== this.current) {
        this.select(p.id);
        return true;
      }
    }
    return false;
  }

  /** Chooses a word. @param {number} i @param {boolean} extend to this word from those chosen */
  choose(i, extend) {
    const p = this.passage;
    if (!p) return;
    const [from, to] = this.chosen ?? [i, i + 1];
    this.chosen = extend ? [Math.min(from, i), Math.max(to, i + 1)] : [i, i + 1];
    this.refresh();
    const words = p.words.slice(...this.chosen);
    const heard = words.some((w) => w[3] !== null) ? `, heard ${words.map((w) => w[3] ?? w[0]).join(" ")}` : "";
    say(`${words.map((w) => w[0]).filter(Boolean).join(" ")}${heard}`);
  }

  /** Moves the choice of words. @param {number} by 1 or -1 @param {boolean} extend */
  step(by, extend) {
    const p = this.passage;
    if (!p) return;
    let i = this.chosen ? (by > 0 ? this.chosen[1] : this.chosen[0] - 1) : (by > 0 ? 0 : p.words.length - 1);
    while (i >= 0 && i < p.words.length && !p.words[i][0]) i += by;
    if (i >= 0 && i < p.words.length) this.choose(i, extend);
  }

  /** Draws the current row anew. */
  refresh() {
    this.update([this.current], false);
  }
}

/** @param {Passage} p */
function plain(p) {
  return p.words.map((w) => w[0]).filter(Boolean).join(" ");
}

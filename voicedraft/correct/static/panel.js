// What was read from the passages, each line leading to its words, and the list of what needs a look first.

import { byId, clock, h } from "./dom.js";
import { forms } from "./forms.js";
import { ask } from "./store.js";

/** @typedef {{passage: string, start: number, end: number, said: string}} Value */

export class Panel {
  /**
   * @param {import("./store.js").Store} store @param {import("./list.js").List} list
   * @param {(value: Value) => void} lead goes to the words of a value
   */
  constructor(store, list, lead) {
    this.store = store;
    this.list = list;
    this.lead = lead;
    /** @type {{kind: string, key: string}|null} */ this.open = null;
    this.done = null;
  }

  draw() {
    const v = this.store.values;
    const parts = [
      this.lost(), this.look(),
      this.group("descriptor", "Flavours", this.flavours(v.descriptors)),
      this.group("strength", "Strength", Object.entries(v.strength).map(([stage, s]) => this.line(
        "strength", stage, name(this.store.names.flavour_stages, stage), range(this.store, s), s))),
      this.group("fact", "Facts", this.facts(v)),
      this.group("score", "Scores", v.scores.map((/** @type {any} */ s) => this.line("score", s.aspect, s.aspect, `${s.value} of ${s.out_of}`, s))),
      this.group("pairing", "Pairings", this.store.names.pairings.flatMap((/** @type {string[]} */ [kind, title]) =>
        v.pairings[kind].map((/** @type {any} */ p) => this.line("pairing", `${kind}|${p.value}`, title, p.value, p)))),
      this.blank(), this.corrections(),
    ];
    const panel = byId("panel");
    const top = panel.scrollTop;
    panel.replaceChildren(...parts.filter((x) => x !== null));
    panel.scrollTop = top;
  }

  lost() {
    const { unplaced, damaged } = this.store;
    if (!unplaced.length && !damaged) return null;
    return h("section", { class: "warn" }, h("h2", {}, "Corrections without a place"),
      damaged ? h("p", {}, `${damaged} line${damaged > 1 ? "s" : ""} of the journal could not be read and ${damaged > 1 ? "were" : "was"} passed over.`) : null,
      h("ul", {}, ...unplaced.map((text) => h("li", {}, text))));
  }

  look() {
    const first = this.store.passages.filter((p) => p.look);
    const section = h("section", {}, h("h2", {}, "Look at these first ", h("span", { class: "count" }, String(first.length))));
    if (!first.length) section.append(h("p", { class: "small" }, "Nothing is left that the reading was unsure of."));
    else section.append(h("ol", { class: "looks" }, ...first.map((p) => h("li", {}, h("button", {
      type: "button", onclick: () => { byId("show-words").click(); this.list.select(p.id); },
    }, h("span", { class: "at" }, clock(p.start)), h("span", { class: "dot", dataset: { section: p.section } }),
    ` ${this.store.sectionName(p.section)}, ${p.sure} % sure`, h("span", { class: "peek" }, p.words.map((w) => w[0]).filter(Boolean).slice(0, 9).join(" ")))))));
    return section;
  }

  /** @param {string} kind @param {string} title @param {Array<HTMLElement|null>} lines */
  group(kind, title, lines) {
    const adding = this.open?.kind === kind && this.open.key === "";
    return h("section", { "aria-label": title }, h("h2", {}, title, h("button", {
      type: "button", class: "add", "aria-expanded": String(adding), dataset: { add: kind },
      onclick: () => this.toggle(kind, ""), "aria-label": `Add to ${title.toLowerCase()}`,
    }, "Add")), adding ? this.form(kind, "", null) : null, h("ul", { class: "values" }, ...lines.filter((x) => x !== null)));
  }

  /** @param {any[]} all */
  flavours(all) {
    const stages = this.store.names.flavour_stages;
    return stages.flatMap((/** @type {string[]} */ [stage, title]) => {
      const here = all.filter((d) => d.stage === stage);
      return here.length ? [h("li", { class: "between" }, title), ...here.map((d) => this.line("descriptor", `${stage}|${d.term}`, d.term,
        d.status === "present" ? name(this.store.names.intensities, d.intensity) : name(this.store.names.statuses, d.status), d))] : [];
    });
  }

  /** @param {any} v */
  facts(v) {
    return this.store.names.facts.filter((/** @type {string[]} */ [f]) => v.facts[f]).map((/** @type {string[]} */ [f, title]) =>
      this.line("fact", f, title, v.fact_texts[f] + (v.facts[f].guessed ? " (a guess)" : ""), v.facts[f]));
  }

  /** @param {string} kind @param {string} key @param {string} label @param {string} text @param {any} value */
  line(kind, key, label, text, value) {
    const open = this.open?.kind === kind && this.open.key === key;
    return h("li", { dataset: { kind, key } }, h("div", { class: "value" },
      h("button", { type: "button", class: "lead", onclick: () => this.lead(value), "aria-label": `${label}, ${text}: go to the words “${value.said}”` },
        h("span", { class: "what" }, label), h("span", { class: "how" }, text), h("q", {}, value.said), h("span", { class: "at" }, clock(value.start))),
      h("button", { type: "button", class: "edit", "aria-expanded": String(open), "aria-label": `Change ${label}`, onclick: () => this.toggle(kind, key) }, "Change")),
    open ? this.form(kind, key, value) : null);
  }

  /** Opens or closes the form of a value; an empty key is a new one. @param {string} kind @param {string} key */
  toggle(kind, key) {
    const same = this.open?.kind === kind && this.open.key === key;
    this.open = same ? null : { kind, key };
    this.draw();
    const place = document.querySelector(same ? `[data-add="${kind}"]` : "#panel form input, #panel form select");
    /** @type {HTMLElement|null} */ (place)?.focus();
  }

  /** @param {string} kind @param {string} key @param {any} value */
  form(kind, key, value) {
    const p = this.list.passage;
    const [first, last] = this.list.chosen ?? [0, p?.words.length ?? 0];
    const source = p ? { passage: p.id, first, last } : null;
    const words = p ? p.words.slice(first, last).map((w) => w[0]).filter(Boolean).join(" ") : "";
    const close = () => { this.open = null; this.draw(); };
    return forms(this.store, { kind, key, value, source, words, chosen: this.list.chosen !== null, close });
  }

  blank() {
    const missing = this.store.values.not_mentioned;
    return missing.length ? h("section", {}, h("h2", {}, "Not mentioned"), h("p", { class: "small" }, `${missing.join(", ")}.`)) : null;
  }

  corrections() {
    const body = h("ul", { class: "done" });
    const details = /** @type {HTMLDetailsElement} */ (h("details", {}, h("summary", {}, `Corrections made: ${this.store.revision}`), body));
    const fill = async () => {
      if (!details.open) return;
      const all = await ask("/api/corrections");
      body.replaceChildren(...all.filter((/** @type {any} */ d) => !d.step).map((/** @type {any} */ d) => h("li", { class: d.counts ? "" : "undone" },
        h("span", {}, d.text), h("span", { class: "small" }, ` ${d.who}, ${new Date(d.when).toLocaleString()}${d.counts ? "" : ", taken back"}`),
        d.counts ? h("button", { type: "button", "aria-label": `Take back: ${d.text}`, onclick: () => this.store.undo(d.id) }, "Take back") : null)));
    };
    details.open = Boolean(this.done);
    details.addEventListener("toggle", () => { this.done = /** @type {any} */ (details.open); fill(); });
    fill();
    return h("section", {}, details);
  }
}

/** @param {Array<[string|number, string]>} names @param {string|number} key */
function name(names, key) {
  return names.find((n) => n[0] === key)?.[1] ?? String(key);
}

/** @param {import("./store.js").Store} store @param {{low: number, high: number}} s */
function range(store, s) {
  const [low, high] = [name(store.names.strengths, s.low), name(store.names.strengths, s.high)];
  return low === high ? low : `${low} up to ${high}`;
}

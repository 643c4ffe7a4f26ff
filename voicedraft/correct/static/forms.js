// The forms that add, change and remove a value. Whatever is added needs the words it was said in.

import { choice, h, line } from "./dom.js";

/** @typedef {{kind: string, key: string, value: any, source: any, words: string, chosen: boolean, close: () => void}} Task */
/** @typedef {{fields: HTMLElement[], change: (read: (name: string) => string) => Record<string, unknown>, remove?: Record<string, unknown>}} Shape */

const NUMBERS = ["length_mm", "ring_gauge", "storage_rh_pct", "rest_days", "smoking_minutes", "relights", "touch_ups"];
const UNITS = { length_mm: "mm", ring_gauge: "64ths of an inch", storage_rh_pct: "% humidity", rest_days: "days", smoking_minutes: "minutes" };

/** @param {import("./store.js").Store} store @param {Task} task @returns {HTMLElement} */
export function forms(store, task) {
  const shapes = { descriptor, strength, fact, score, pairing };
  const form = h("form", { class: "form" });
  const build = () => {
    const shape = shapes[/** @type {keyof typeof shapes} */ (task.kind)](store, task, rebuild);
    form.replaceChildren(...shape.fields, where(task), buttons(store, task, shape));
    form.onsubmit = (e) => {
      e.preventDefault();
      const read = (/** @type {string} */ n) => {
        const field = /** @type {HTMLInputElement|null} */ (form.querySelector(`[data-name="${n}"]`));
        return field?.type === "checkbox" ? String(field.checked) : (field?.value ?? "").trim();
      };
      send(store, task, shape.change(read));
    };
  };
  const rebuild = () => build();
  build();
  form.addEventListener("keydown", (e) => { if (e.key === "Escape") task.close(); });
  return form;
}

/** @param {import("./store.js").Store} store @param {Task} task @param {Record<string, unknown>} change */
async function send(store, task, change) {
  if (await store.change(change)) task.close();
}

/** @param {Task} task */
function where(task) {
  if (task.key) return h("p", { class: "small" }, "From “", task.value.said, "”. ", task.chosen ? h("label", {}, tick("moved", false), " take the words chosen in the passage instead") : null);
  return h("p", { class: "small" }, task.source ? "Said in: “" : "Choose a passage first.", task.source ? `${task.words}”` : "");
}

/** @param {import("./store.js").Store} store @param {Task} task @param {Shape} shape */
function buttons(store, task, shape) {
  return h("div", { class: "row" }, h("button", { class: "main" }, task.key ? "Save" : "Add"),
    shape.remove ? h("button", { type: "button", onclick: () => send(store, task, /** @type {any} */ (shape.remove)) }, "Remove") : null,
    h("button", { type: "button", onclick: task.close }, "Cancel"));
}

/** @param {string} name @param {boolean} on */
function tick(name, on) {
  const box = /** @type {HTMLInputElement} */ (h("input", { type: "checkbox", dataset: { name } }));
  box.checked = on;
  return box;
}

/** @param {string} label @param {string} name @param {any} options @param {any} chosen @param {(v: string) => void} [then] */
function pick(label, name, options, chosen, then) {
  const field = choice(label, options, chosen, then);
  /** @type {HTMLElement} */ (field.querySelector("select")).dataset.name = name;
  return field;
}

/** @param {string} label @param {string} name @param {any} value @param {Record<string, unknown>} [props] */
function write(label, name, value, props = {}) {
  return line(label, value ?? "", { dataset: { name }, maxlength: 200, ...props });
}

/** @param {string} label @param {string} name @param {any} value @param {boolean} [whole] */
function number(label, name, value, whole = false) {
  return write(label, name, value, { type: "number", min: 0, step: whole ? 1 : "any", required: true });
}

/** Strips the words' punctuation for a first guess at a name. @param {string} words */
function bare(words) {
  return words.toLowerCase().replace(/[.,;:!?…]+(?=\s|$)/g, "");
}

/** @param {import("./store.js").Store} store @param {Task} task @returns {Shape} */
function descriptor(store, task) {
  const d = task.value ?? { term: task.chosen ? bare(task.words) : "", stage: guess(store, task), status: "present", intensity: "medium", family: "" };
  const key = { stage: d.stage, term: d.term };
  const fields = [write("Flavour", "term", d.term, { required: true }), pick("Stage", "stage", store.names.flavour_stages, d.stage),
    pick("It is", "status", store.names.statuses, d.status), pick("How much", "intensity", store.names.intensities, d.intensity ?? "medium")];
  return {
    fields,
    change: (read) => {
      const status = read("status");
      const value = { term: read("term"), stage: read("stage"), status, intensity: status === "present" ? read("intensity") : null };
      return task.key ? { what: "descriptor.edit", key, new: value } : { what: "descriptor.add", source: task.source, new: value };
    },
    remove: task.key ? { what: "descriptor.remove", key } : undefined,
  };
}

/** The stage of a flavour said in a passage. @param {import("./store.js").Store} store @param {Task} task */
function guess(store, task) {
  const p = store.passage(task.source?.passage ?? "");
  const stage = p?.stage;
  if (p?.section === "appearance") return "wrapper";
  return stage && ["first", "second", "final"].includes(stage) ? stage : stage === "prelight" ? "foot" : "first";
}

/** @param {import("./store.js").Store} store @param {Task} task @returns {Shape} */
function strength(store, task) {
  const s = task.value ?? { low: 3, high: 3 };
  const thirds = store.names.flavour_stages.filter((/** @type {string[]} */ x) => ["first", "second", "final"].includes(x[0]));
  const fields = [pick("From", "low", store.names.strengths, s.low), pick("Up to", "high", store.names.strengths, s.high)];
  if (!task.key) fields.unshift(pick("Third", "stage", thirds, guess(store, task)));
  return {
    fields,
    change: (read) => ({ what: "strength.set", stage: task.key || read("stage"), low: Number(read("low")), high: Number(read("high")), source: source(task, read) }),
    remove: task.key ? { what: "strength.clear", stage: task.key } : undefined,
  };
}

/** @param {Task} task @param {(name: string) => string} read */
function source(task, read) {
  return !task.key || read("moved") === "true" ? task.source : null;
}

/** @param {import("./store.js").Store} store @param {Task & {name?: string}} task @param {() => void} rebuild @returns {Shape} */
function fact(store, task, rebuild) {
  const missing = store.names.facts.filter((/** @type {string[]} */ [n]) => !store.values.facts[n]);
  const name = task.key || task.name || missing[0]?.[0] || "cigar";
  const fields = factFields(name, task.value?.value, task.chosen && !task.key ? task.words.replace(/[.,;:!?…]+$/, "") : "");
  if (!task.key) fields.unshift(pick("Fact", "name", missing, name, (v) => { task.name = v; rebuild(); }));
  fields.push(h("label", { class: "tick" }, tick("guessed", Boolean(task.value?.guessed)), " only a guess of the speaker"));
  return {
    fields,
    change: (read) => ({ what: "fact.set", name, value: factValue(name, read), guessed: read("guessed") === "true", source: source(task, read) }),
    remove: task.key ? { what: "fact.clear", name } : undefined,
  };
}

/** @param {string} name @param {any} value @param {string} words */
function factFields(name, value, words) {
  const v = value ?? {};
  const currency = write("Currency (three letters)", "currency", v.currency ?? "", { required: true, pattern: "[A-Za-z]{3}", maxlength: 3 });
  if (name === "price_single") return [number("Amount", "amount", v.amount), currency];
  if (name === "price_box") {
    return [number("From", "low", v.low), number("Up to", "high", v.high), currency,
      write("Cigars in the box", "count", v.count ?? "", { type: "number", min: 1, step: 1 })];
  }
  if (NUMBERS.includes(name)) {
    const unit = UNITS[/** @type {keyof typeof UNITS} */ (name)];
    return [number(unit ? `Value, ${unit}` : "How many", "value", value, !unit || name === "ring_gauge")];
  }
  if (name === "filler") return [write("Leaves, with commas between", "value", Array.isArray(value) ? value.join(", ") : words, { required: true })];
  return [write("Value", "value", value ?? words, { required: true })];
}

/** @param {string} name @param {(name: string) => string} read */
function factValue(name, read) {
  const currency = read("currency").toUpperCase();
  if (name === "price_single") return { amount: Number(read("amount")), currency };
  if (name === "price_box") {
    return { low: Number(read("low")), high: Number(read("high")), currency, count: read("count") ? Number(read("count")) : null };
  }
  if (NUMBERS.includes(name)) return Number(read("value"));
  if (name === "filler") return read("value").split(",").map((x) => x.trim()).filter(Boolean);
  return read("value");
}

/** @param {import("./store.js").Store} store @param {Task} task @returns {Shape} */
function score(store, task) {
  const s = task.value ?? { aspect: "overall", value: "", out_of: store.values.scores[0]?.out_of ?? 10 };
  return {
    fields: [write("Aspect", "aspect", s.aspect, { required: true }), number("Score", "value", s.value), number("Out of", "out_of", s.out_of)],
    change: (read) => {
      const value = { aspect: read("aspect"), value: Number(read("value")), out_of: Number(read("out_of")) };
      return task.key ? { what: "score.edit", aspect: task.key, new: value } : { what: "score.add", source: task.source, new: value };
    },
    remove: task.key ? { what: "score.remove", aspect: task.key } : undefined,
  };
}

/** @param {import("./store.js").Store} store @param {Task} task @returns {Shape} */
function pairing(store, task) {
  const kind = task.key ? task.key.split("|")[0] : "drink";
  const value = task.value?.value ?? (task.chosen ? bare(task.words) : "");
  return {
    fields: [pick("For", "kind", store.names.pairings, kind), write("What", "value", value, { required: true })],
    change: (read) => {
      const made = { kind: read("kind"), value: read("value") };
      return task.key ? { what: "pairing.edit", key: { kind, value }, new: made } : { what: "pairing.add", source: task.source, new: made };
    },
    remove: task.key ? { what: "pairing.remove", key: { kind, value } } : undefined,
  };
}

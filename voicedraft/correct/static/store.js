// What the page knows, and the way to change it. Every correction goes to the program at once and one after the other.

/** @typedef {[string, number, number, string|null]} Word text, start, end, heard where that differs */
/** @typedef {{id: string, take: number, start: number, end: number, section: string, stage: string|null, sure: number,
 *   look: boolean, by_hand: boolean, evidence: string[], words: Word[], repairs: string[]}} Passage */
/** @typedef {{number: number, start: number, end: number, source: string, clock: string|null, sound: boolean}} Take */

export class Store extends EventTarget {
  constructor() {
    super();
    /** @type {Passage[]} */ this.passages = [];
    /** @type {Map<string, number>} */ this.places = new Map();
    /** @type {Take[]} */ this.takes = [];
    /** @type {any} */ this.values = {};
    /** @type {any} */ this.names = {};
    /** @type {string[]} */ this.unplaced = [];
    this.revision = 0;
    this.title = "";
    this.damaged = 0;
    /** @type {string|null} */ this.undoText = null;
    /** @type {string|null} */ this.redoText = null;
    this.pending = 0;
    /** @type {Promise<unknown>} */ this.queue = Promise.resolve();
  }

  /** Reads the whole session anew. */
  async load() {
    const whole = await ask("/api/session");
    this.takes = whole.takes;
    this.title = whole.title;
    this.names = whole.names;
    this.damaged = whole.damaged;
    this.passages = whole.passages;
    this.stand(whole);
    this.dispatchEvent(new CustomEvent("loaded"));
  }

  /** @param {any} answer */
  stand(answer) {
    this.revision = answer.revision;
    this.values = answer.values;
    this.undoText = answer.undo;
    this.redoText = answer.redo;
    this.unplaced = answer.unplaced;
    this.places = new Map(this.passages.map((p, i) => [p.id, i]));
  }

  /** @param {string} id @returns {Passage|undefined} */
  passage(id) {
    return this.passages[this.places.get(id) ?? -1];
  }

  /** @param {number} number @returns {Take|undefined} */
  take(number) {
    return this.takes.find((t) => t.number === number);
  }

  /** @param {string} section */
  sectionName(section) {
    return this.names.sections.find((/** @type {string[]} */ s) => s[0] === section)?.[1] ?? section;
  }

  /** @param {string|null} stage */
  stageName(stage) {
    return this.names.stages.find((/** @type {string[]} */ s) => s[0] === (stage ?? ""))?.[1] ?? stage ?? "";
  }

  /** Makes one correction. @param {Record<string, unknown>} change @returns {Promise<boolean>} whether it was made */
  change(change) {
    return this.send("/api/corrections", () => ({ base: this.revision, change }));
  }

  /** @param {string} [event] takes back that correction rather than the last */
  undo(event) {
    return this.send("/api/undo", () => ({ base: this.revision, event: event ?? null }));
  }

  redo() {
    return this.send("/api/redo", () => ({ base: this.revision }));
  }

  /**
   * @param {string} path @param {() => unknown} body built when its turn comes, so that it carries the latest revision
   * @returns {Promise<boolean>}
   */
  send(path, body) {
    this.pending += 1;
    this.dispatchEvent(new CustomEvent("saving"));
    const turn = this.queue.then(() => this.post(path, body)).finally(() => {
      this.pending -= 1;
      this.dispatchEvent(new CustomEvent("saving"));
    });
    this.queue = turn.catch(() => undefined);
    return turn;
  }

  /** @param {string} path @param {() => unknown} body */
  async post(path, body) {
    try {
      this.apply(await ask(path, body()));
      return true;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      const again = () => this.send(path, body);
      if (error.status === 409) await this.load();
      this.dispatchEvent(new CustomEvent("refused", { detail: { error, again } }));
      return false;
    }
  }

  /** @param {any} answer */
  apply(answer) {
    const changed = new Map(answer.passages.map((/** @type {Passage} */ p) => [p.id, p]));
    const known = new Map(this.passages.map((p) => [p.id, p]));
    const order = answer.order ?? this.passages.map((p) => p.id);
    this.passages = order.map((/** @type {string} */ id) => changed.get(id) ?? known.get(id));
    this.stand(answer);
    this.dispatchEvent(new CustomEvent("changed", {
      detail: { ids: [...changed.keys()], reordered: answer.order !== null, focus: answer.focus, text: answer.last },
    }));
  }

  /** Looks whether another window or the terminal corrected something meanwhile. */
  async keepUp() {
    if (this.pending) return;
    const { revision } = await ask("/api/revision");
    if (revision !== this.revision && !this.pending) await this.load();
  }
}

/** Why something was not done, in a sentence. `changed`: what others did meanwhile. */
export class Refusal extends Error {
  /** @param {number} status @param {string} message @param {string[]} changed */
  constructor(status, message, changed = []) {
    super(message);
    this.status = status;
    this.changed = changed;
  }
}

/**
 * @param {string} path @param {unknown} [body] posted as JSON where given
 * @returns {Promise<any>}
 */
export async function ask(path, body) {
  const options = body === undefined ? {} : {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
  };
  let answer;
  try {
    answer = await fetch(path, options);
  } catch {
    throw new Refusal(0, "The program does not answer. Start voicedraft correct again; everything before this is saved.");
  }
  const text = await answer.text();
  let data;
  try {
    data = JSON.parse(text);
  } catch {
    throw new Refusal(answer.status, text.slice(0, 300));
  }
  if (!answer.ok) throw new Refusal(answer.status, data.message ?? "The program refused.", data.changed ?? []);
  return data;
}

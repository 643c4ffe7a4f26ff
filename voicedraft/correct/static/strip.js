// The whole session in one strip: a waveform a take, coloured by section, with the place where one is.

import { ask } from "./store.js";
import { byId, clock, h } from "./dom.js";

const HEIGHT = 54;

export class Strip {
  /**
   * @param {import("./store.js").Store} store
   * @param {(id: string, time: number|null) => void} go called with a passage, and the time where a place was pointed at
   */
  constructor(store, go) {
    this.store = store;
    this.go = go;
    /** @type {Map<number, number[]>} */ this.peaks = new Map();
    /** @type {Map<number, {canvas: HTMLCanvasElement, here: HTMLElement, head: HTMLElement}>} */ this.parts = new Map();
    this.step = 0.25;
    new ResizeObserver(() => this.draw()).observe(byId("strip"));
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
  }

  /** Builds the takes, then fetches their outlines one by one. */
  async build() {
    const box = byId("strip");
    box.replaceChildren();
    this.parts.clear();
    for (const take of this.store.takes) box.append(this.part(take));
    this.legend();
    this.draw();
    for (const take of this.store.takes) {
      if (!take.sound || this.peaks.has(take.number)) continue;
      try {
        const answer = await ask(`/api/peaks/${take.number}`);
        this.step = answer.step;
        this.peaks.set(take.number, answer.peaks);
        this.draw(take.number);
      } catch { /* shown without its outline */ }
    }
  }

  /** @param {import("./store.js").Take} take */
  part(take) {
    const canvas = /** @type {HTMLCanvasElement} */ (h("canvas", { height: HEIGHT, "aria-hidden": "true" }));
    const here = h("div", { class: "here", "aria-hidden": "true" });
    const head = h("div", { class: "head", "aria-hidden": "true", hidden: true });
    const hour = take.clock ? take.clock.slice(11, 16) : clock(take.start);
    const minutes = clock(take.end - take.start);
    const first = this.store.passages.find((p) => p.take === take.number);
    const name = h("button", {
      type: "button", class: "take", title: take.source,
      "aria-label": `Take ${take.number}, ${take.clock ? "recorded at" : "from"} ${hour}, ${minutes} long${take.sound ? "" : ", without sound"}`,
      onclick: () => first && this.go(first.id, null),
    }, h("b", {}, String(take.number)), h("span", { class: "hour" }, ` ${hour}`), h("span", { class: "long" }, ` · ${minutes}`));
    const wave = h("div", { class: "wave" }, canvas, here, head);
    wave.addEventListener("click", (e) => {
      const box = wave.getBoundingClientRect();
      const time = take.start + ((e.clientX - box.left) / box.width) * (take.end - take.start);
      const hit = this.store.passages.findLast((p) => p.take === take.number && p.start <= time) ?? first;
      if (hit) this.go(hit.id, Math.max(time, hit.start));
    });
    const part = h("div", { class: "part" }, name, wave);
    part.style.flexGrow = String(Math.max(take.end - take.start, 1));
    this.parts.set(take.number, { canvas, here, head });
    return part;
  }

  legend() {
    byId("legend").replaceChildren(...this.store.names.sections.map((/** @type {string[]} */ [section, name, key]) =>
      h("li", {}, h("span", { class: "dot", dataset: { section } }), `${name} `, h("kbd", {}, key))));
  }

  /** @param {number} [only] the take to draw, else all */
  draw(only) {
    const style = getComputedStyle(document.documentElement);
    const colour = (/** @type {string} */ s) => style.getPropertyValue(`--s-${s.replace("_", "-")}`).trim() || "#888";
    for (const take of this.store.takes) {
      if (only !== undefined && take.number !== only) continue;
      const part = this.parts.get(take.number);
      if (!part) continue;
      const width = Math.max(part.canvas.clientWidth, 1);
      const scale = window.devicePixelRatio || 1;
      part.canvas.width = width * scale;
      part.canvas.height = HEIGHT * scale;
      const pen = part.canvas.getContext("2d");
      if (!pen) continue;
      pen.scale(scale, scale);
      this.bars(pen, take, width, colour);
    }
  }

  /**
   * @param {CanvasRenderingContext2D} pen @param {import("./store.js").Take} take @param {number} width
   * @param {(section: string) => string} colour
   */
  bars(pen, take, width, colour) {
    const peaks = this.peaks.get(take.number) ?? [];
    const spoken = this.store.passages.filter((p) => p.take === take.number);
    const seconds = Math.max(take.end - take.start, 0.001);
    const middle = (HEIGHT - 8) / 2;
    for (const [i, p] of spoken.entries()) {
      const left = ((p.start - take.start) / seconds) * width;
      const until = spoken[i + 1]?.start ?? p.end;
      const right = ((until - take.start) / seconds) * width;
      pen.fillStyle = colour(p.section);
      pen.fillRect(left, HEIGHT - 6, Math.max(right - left - 0.5, 1), 6);
      pen.globalAlpha = p.section === "aside" ? 0.45 : 1;
      for (let x = left; x < right; x += 3) {
        const a = Math.floor(((x / width) * seconds) / this.step);
        const b = Math.max(a + 1, Math.floor((((x + 3) / width) * seconds) / this.step));
        const loud = peaks.length ? Math.max(0, ...peaks.slice(a, b)) / 100 : 0;
        const tall = Math.max(1, loud * middle);
        pen.fillRect(x, middle - tall, Math.min(2, right - x), tall * 2);
      }
      pen.globalAlpha = 1;
    }
  }

  /** Marks the passage one is at. @param {import("./store.js").Passage|undefined} p */
  mark(p) {
    for (const [number, part] of this.parts) {
      const take = this.store.take(number);
      const on = p && take && p.take === number;
      part.here.hidden = !on;
      if (!on || !take) continue;
      const seconds = Math.max(take.end - take.start, 0.001);
      part.here.style.left = `${(100 * (p.start - take.start)) / seconds}%`;
      part.here.style.width = `${Math.max((100 * (p.end - p.start)) / seconds, 0.4)}%`;
    }
  }

  /** Moves the needle. @param {number|null} number take that sounds, or null @param {number} time session seconds */
  needle(number, time) {
    for (const [n, part] of this.parts) {
      const take = this.store.take(n);
      part.head.hidden = n !== number;
      if (n === number && take) part.head.style.left = `${(100 * (time - take.start)) / Math.max(take.end - take.start, 0.001)}%`;
    }
  }
}

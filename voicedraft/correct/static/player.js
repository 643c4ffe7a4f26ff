// Plays exactly the words asked for, from the take they were spoken in.

/** Seconds before a word's own start and after its end: word times are rough, and a cut consonant is hard to hear. */
const EASE_S = 0.04;

export class Player extends EventTarget {
  /** @param {import("./store.js").Store} store */
  constructor(store) {
    super();
    this.store = store;
    /** @type {Map<number, HTMLAudioElement>} */ this.sounds = new Map();
    /** @type {{audio: HTMLAudioElement, take: number, end: number}|null} */ this.now = null;
    this.rate = 1;
    this.turn = 0;
  }

  /** @param {number} take @returns {HTMLAudioElement} */
  sound(take) {
    let audio = this.sounds.get(take);
    if (!audio) {
      audio = new Audio(`/sound/${take}`);
      audio.preload = "auto";
      audio.dataset.take = String(take);
      document.body.append(audio);
      this.sounds.set(take, audio);
    }
    return audio;
  }

  /**
   * Plays session seconds `start` to `end` of a take.
   * @param {number} number @param {number} start @param {number} end
   * @returns {Promise<string>} "" or why it cannot be played
   */
  async play(number, start, end) {
    this.stop();
    const take = this.store.take(number);
    if (!take?.sound) return `There is no recording of take ${number} to play.`;
    const turn = ++this.turn;
    const audio = this.sound(number);
    const from = Math.max(start - take.start - EASE_S, 0);
    try {
      await ready(audio);
      if (turn !== this.turn) return "";
      audio.currentTime = from;
      audio.playbackRate = this.rate;
      this.now = { audio, take: number, end: end - take.start + EASE_S };
      await audio.play();
    } catch (error) {
      if (turn !== this.turn) return "";
      this.now = null;
      return audio.error ? `Take ${number} cannot be played. ${await reason(number)}` : `Take ${number} did not start: ${error}`;
    }
    if (turn === this.turn) this.watch(turn);
    return "";
  }

  /** @param {number} turn */
  watch(turn) {
    const audio = this.now?.audio;
    const look = () => {
      if (turn !== this.turn || !this.now) return;
      this.dispatchEvent(new CustomEvent("at", { detail: { take: this.now.take, time: this.time() } }));
      if (this.now.audio.currentTime >= this.now.end || this.now.audio.ended) this.stop();
      else if (document.hidden) setTimeout(look, 50);
      else requestAnimationFrame(look);
    };
    if (audio) requestAnimationFrame(look);
  }

  /** Session seconds of what sounds now. */
  time() {
    if (!this.now) return 0;
    return (this.store.take(this.now.take)?.start ?? 0) + this.now.audio.currentTime;
  }

  get playing() {
    return this.now !== null;
  }

  stop() {
    this.turn += 1;
    const was = this.now;
    this.now = null;
    was?.audio.pause();
    if (was) this.dispatchEvent(new CustomEvent("stopped"));
  }

  /** @param {number} by factor on the speed, kept between half and double */
  speed(by) {
    this.rate = Math.min(2, Math.max(0.5, Math.round(this.rate * by * 20) / 20));
    if (this.now) this.now.audio.playbackRate = this.rate;
    return this.rate;
  }
}

/** @param {HTMLAudioElement} audio @returns {Promise<void>} when there is enough to start */
function ready(audio) {
  if (audio.readyState >= 2) return Promise.resolve();
  if (audio.error) audio.load();
  return new Promise((resolve, reject) => {
    audio.addEventListener("canplay", () => resolve(), { once: true });
    audio.addEventListener("error", () => reject(audio.error), { once: true });
  });
}

/** @param {number} take @returns {Promise<string>} the program's own word on why a recording cannot be had */
async function reason(take) {
  const answer = await fetch(`/sound/${take}`, { headers: { Range: "bytes=0-0" } });
  if (answer.ok) return "The browser cannot decode this kind of recording.";
  return (await answer.json()).message ?? "";
}

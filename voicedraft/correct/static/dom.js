// Building elements. Text always goes in as text: nothing that was spoken can become markup.

/**
 * @param {string} tag
 * @param {Record<string, unknown>} [props] attributes; `on…` takes a listener, `class` and `dataset` as usual
 * @param {...(Node|string|number|null|undefined|false)} children
 * @returns {HTMLElement}
 */
export function h(tag, props = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), /** @type {EventListener} */ (value));
    else if (name === "dataset") Object.assign(element.dataset, value);
    else if (name === "value") /** @type {HTMLInputElement} */ (element).value = String(value);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  for (const child of children) {
    if (child !== null && child !== undefined && child !== false) element.append(/** @type {string|Node} */ (child));
  }
  return element;
}

/** @param {string} id @returns {HTMLElement} */
export function byId(id) {
  const found = document.getElementById(id);
  if (!found) throw new Error(`The page has no part ${id}.`);
  return found;
}

/**
 * A labelled choice.
 * @param {string} label @param {Array<[string|number, string, string?]>} options @param {string|number|null} chosen
 * @param {(value: string) => void} [onchange]
 */
export function choice(label, options, chosen, onchange) {
  const select = /** @type {HTMLSelectElement} */ (h("select", {
    onchange: (/** @type {Event} */ e) => onchange?.(/** @type {HTMLSelectElement} */ (e.target).value),
  }));
  for (const [value, name] of options) select.append(h("option", { value: String(value) }, name));
  select.value = String(chosen ?? "");
  return h("label", { class: "field" }, h("span", {}, label), select);
}

/**
 * A labelled line of text.
 * @param {string} label @param {string} value @param {Record<string, unknown>} [props]
 */
export function line(label, value, props = {}) {
  return h("label", { class: "field" }, h("span", {}, label), h("input", { type: "text", autocomplete: "off", ...props, value }));
}

/**
 * Labelled text of several lines; Enter sends its form.
 * @param {string} label @param {string} value @param {Record<string, unknown>} [props]
 */
export function lines(label, value, props = {}) {
  const area = /** @type {HTMLTextAreaElement} */ (h("textarea", { rows: 2, autocomplete: "off", ...props }));
  area.value = value;
  area.addEventListener("keydown", (e) => {
    if (e.key !== "Enter" || e.isComposing) return;
    e.preventDefault();
    area.form?.requestSubmit();
  });
  return h("label", { class: "field" }, h("span", {}, label), area);
}

/** @param {number} seconds @returns {string} M:SS or H:MM:SS */
export function clock(seconds) {
  const whole = Math.floor(seconds);
  const pad = (/** @type {number} */ n) => String(n).padStart(2, "0");
  const [hours, minutes] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60];
  return hours ? `${hours}:${pad(minutes)}:${pad(whole % 60)}` : `${minutes}:${pad(whole % 60)}`;
}

/** Says something to a screen reader. @param {string} text */
export function say(text) {
  const live = byId("live");
  live.textContent = "";
  requestAnimationFrame(() => { live.textContent = text; });
}

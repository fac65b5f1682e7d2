/** Changes that cure an error or a warning, as the service states them: JSON Patch (RFC 6902). @module */
import { html, nothing } from "./lit-html.js";
import { t } from "./text.js";

/** @typedef {{title: string, changes: {op: string, path: string, value?: unknown}[]}} Cure */

/** @param {string} pointer JSON pointer (RFC 6901) */
const steps = (pointer) =>
  pointer
    .split("/")
    .slice(1)
    .map((each) => each.replaceAll("~1", "/").replaceAll("~0", "~"));

/** Apply a cure's changes to a request. @param {any} request @param {Cure} cure */
export function apply(request, cure) {
  for (const { op, path, value } of cure.changes) {
    const names = steps(path),
      last = /** @type {string} */ (names.pop());
    const place = names.reduce((found, name) => found?.[name], request);
    if (!place) continue;
    if (op === "remove") delete place[last];
    else place[last] = value;
  }
}

/** What was changed by a button alone, and can be taken back until something else is changed.
 * @type {{title: string, before: string, after: string} | null} */
let last = null;

/**
 * Change a request so that it can be taken back.
 * @param {any} request @param {string} title what is done @param {() => void} change
 * @param {(delay: number) => void} changed
 */
export function changeByButton(request, title, change, changed) {
  const before = JSON.stringify(request);
  change();
  changed(0);
  last = { title, before, after: JSON.stringify(request) };
  // The button is gone with what it cured: the next one is where it can be taken back.
  setTimeout(() => document.getElementById("undo")?.focus({ preventScroll: true }), 50);
}

/**
 * The button that applies a cure; nothing where there is none.
 * @param {Cure | undefined} found @param {any} request @param {(delay: number) => void} changed
 */
export function cureButton(found, request, changed) {
  if (!found) return nothing;
  return html`<button
    type="button"
    class="cure"
    @click=${() => changeByButton(request, found.title, () => apply(request, found), changed)}
  >
    ${found.title}
  </button>`;
}

/** The button that takes back what another did; it goes with the next change. @param {any} request
 * @param {(delay: number) => void} changed */
export function undoButton(request, changed) {
  const done = last;
  if (!done || JSON.stringify(request) !== done.after) return nothing;
  const undo = () => {
    for (const name of Object.keys(request)) delete request[name];
    Object.assign(request, JSON.parse(done.before));
    last = null;
    changed(0);
  };
  return html`<p class="undo">
    ${t("Changed: {what}.", { what: done.title })}
    <button type="button" id="undo" @click=${undo}>${t("Take it back")}</button>
  </p>`;
}

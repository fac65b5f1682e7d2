/** Changes that cure an error or a warning, as the service states them: JSON Patch (RFC 6902). @module */
import { html, nothing } from "./lit-html.js";

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

/**
 * The button that applies a cure; nothing where there is none.
 * @param {Cure | undefined} found @param {any} request @param {(delay: number) => void} changed
 */
export function cureButton(found, request, changed) {
  if (!found) return nothing;
  return html`<button
    type="button"
    class="cure"
    @click=${() => {
      apply(request, found);
      changed(0);
    }}
  >
    ${found.title}
  </button>`;
}

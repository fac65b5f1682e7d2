/** Warnings, each with what cures it, and apart from them what only informs. @module */
import { html, nothing } from "./lit-html.js";
import { cureButton } from "./cures.js";
import { t } from "./text.js";

/** "Run 2: ..." belongs to run 2. */
const OF_RUN = /^Run (\d+): /;

/** @param {string} text */
export const withoutRun = (text) => text.replace(OF_RUN, "");

/** @param {any} answer @param {string} text */
const isNote = ({ notes }, text) => Boolean(notes?.includes(text));

/** @param {any} answer @param {number} number of a run, or 0 for the whole @returns {string[]} */
const textsOf = ({ warnings }, number) =>
  (warnings || []).filter((/** @type {string} */ each) => Number(OF_RUN.exec(each)?.[1] || 0) === number);

/** What has to be minded about a run. @param {any} answer @param {number} number @returns {string[]} */
export const warningsOf = (answer, number) => textsOf(answer, number).filter((each) => !isNote(answer, each));

/** How many warnings there are. @param {any} answer @returns {number} */
export const warningCount = (answer) =>
  (answer.warnings || []).filter((/** @type {string} */ each) => !isNote(answer, each)).length;

/** @param {any} answer @param {string} text */
const cureOf = ({ cures }, text) => (cures || []).find((/** @type {any} */ each) => each.warning === text);

/**
 * Warnings about a run, or about the whole for run 0, each with what cures it while the request can be changed; then
 * the notes that something can be done about.
 * @param {any} answer @param {number} number @param {any} request @param {((delay: number) => void) | undefined}
 * changed
 */
export function warningList(answer, number, request, changed) {
  const texts = warningsOf(answer, number),
    offers = changed ? textsOf(answer, number).filter((each) => isNote(answer, each) && cureOf(answer, each)) : [];
  const line = (/** @type {string} */ each) =>
    html`<li>${withoutRun(each)} ${changed ? cureButton(cureOf(answer, each), request, changed) : nothing}</li>`;
  return html`${texts.length
    ? html`<ul class="warnings">
        ${texts.map(line)}
      </ul>`
    : nothing}${offers.length
    ? html`<ul class="notes">
        ${offers.map(line)}
      </ul>`
    : nothing}`;
}

/** What is good to know and calls for nothing, at the end. @param {any} answer @param {boolean} isDraft */
export function noteList(answer, isDraft) {
  const texts = (answer.notes || []).filter((/** @type {string} */ each) => !isDraft || !cureOf(answer, each));
  return texts.length
    ? html`<details class="good-to-know">
        <summary>${t("Good to know")}</summary>
        <ul class="notes">
          ${texts.map((/** @type {string} */ each) => html`<li>${each}</li>`)}
        </ul>
      </details>`
    : nothing;
}

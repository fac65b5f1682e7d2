/** What a load at the bench is cut from and gives, and what is warned of. @module */
import { html, nothing } from "./lit-html.js";
import { heapOf } from "./answer.js";
import { oneLoad } from "./material_use.js";
import { settings } from "./settings.js";
import { t, tn } from "./text.js";
import { warningsOf, withoutRun } from "./warnings.js";

/** @param {any} run @param {any} load @returns {string} such as "A × 4, B × 1" */
export const piecesOf = (run, load) =>
  Object.entries(load.pieces || load.outlines || {})
    .map(([id, count]) => `${heapOf(run, id)} × ${count}`)
    .join(", ");

/** @param {any} kit @param {any} run @param {any} load */
export function benchFacts(kit, run, load) {
  const units = kit.request?.units || settings.units,
    size = load.stock ? t("From “{name}”", { name: load.stock }) : oneLoad(run, load, units),
    pieces = t("Pieces: {pieces}", { pieces: piecesOf(run, load) });
  return html`<p id="bench-facts">${[pieces, size].filter(Boolean).join(". ")}</p>`;
}

/** @param {any} kit @param {any} run */
export function benchWarnings(kit, run) {
  const warnings = warningsOf(kit, run.number);
  if (!warnings.length) return nothing;
  return html`<details>
    <summary>${tn("{n} warning", "{n} warnings", warnings.length)}</summary>
    <ul class="warnings">
      ${warnings.map((each) => html`<li>${withoutRun(each)}</li>`)}
    </ul>
  </details>`;
}

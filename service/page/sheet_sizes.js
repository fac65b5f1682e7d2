/** The usual sizes of sheets, to choose from; any other is typed. @module */
import { html } from "./lit-html.js";
import { toMm } from "./lengths.js";
import { t } from "./text.js";

/** Letter: ANSI/ASME Y14.1; A4 and A3: ISO 216; squares of 12 in are what craft card is sold in (common practice). */
/** @type {Record<string, [string, string]>} */
const SIZES = {
  letter: ["8 1/2 in", "11 in"],
  a4: ["210 mm", "297 mm"],
  a3: ["297 mm", "420 mm"],
  square: ["12 in", "12 in"],
};
/** Sizes that differ by less are the same, mm. */
const NEAR_MM = 0.05;

/** @returns {[string, string][]} */
const names = () => [
  ["letter", t("letter, 8 1/2 × 11 in")],
  ["a4", t("A4, 210 × 297 mm")],
  ["a3", t("A3, 297 × 420 mm")],
  ["square", t("12 × 12 in")],
];

/** @param {string} text @param {string} units a unit that the request has is not repeated */
const without = (text, units) => (text.endsWith(` ${units}`) ? text.slice(0, -units.length - 1) : text);

/** Which of the usual sizes a sheet has. @param {any} sheet @param {string} units */
function sizeOf(sheet, units) {
  const sides = [toMm(sheet?.width, units), toMm(sheet?.height, units)];
  const found = Object.entries(SIZES).find(([, size]) =>
    size.every((each, index) => Math.abs(toMm(each, units) - sides[index]) < NEAR_MM),
  );
  return found ? found[0] : sheet?.width || sheet?.height ? "own" : "";
}

/** Lists in which another size was chosen, which is typed then. @type {Set<string>} */
const typed = new Set();

/** Whether a run's sheet is none of the usual sizes. @param {string} id of its list @param {any} sheet
 * @param {string} units */
export const isTyped = (id, sheet, units) => typed.has(id) || sizeOf(sheet, units) === "own";

/**
 * A list of the usual sizes of a sheet.
 * @param {{id: string, sheet: any, units: string, none: string,
 * take: (width?: string, height?: string) => void}} stated
 * ``sheet`` may have ``width`` and ``height``; ``none`` says what a sheet without them is, or nothing where each has
 * them
 */
export function sheetSize({ id, sheet, units, none, take }) {
  const chosen = isTyped(id, sheet, units) ? "own" : sizeOf(sheet, units) || (none ? "" : "own");
  const choose = (/** @type {any} */ event) => {
    const { value } = event.target,
      size = SIZES[value];
    if (value === "own") typed.add(id);
    else typed.delete(id);
    if (size) take(without(size[0], units), without(size[1], units));
    else take(...(value === "own" ? [sheet?.width, sheet?.height] : []));
  };
  const options = [...(none ? [["", none]] : []), ...names(), ["own", t("another size")]];
  return html`<div class="field">
    <label for=${id}>${t("Sheet")}</label>
    <select id=${id} @change=${choose}>
      ${options.map(([name, label]) => html`<option value=${name} ?selected=${name === chosen}>${label}</option>`)}
    </select>
  </div>`;
}

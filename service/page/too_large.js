/** Pieces that are larger than the bed: said briefly at the size that has to be smaller. @module */
import { toMm } from "./lengths.js";
import { t } from "./text.js";

/** @typedef {{pointer: string, detail: string}} Told */

/** The service ends such an error with the size that fits, such as "At most 2 in width and 1 in height fit." */
const LARGEST = /At most ([^;:]*?) fits?[.:]/;
const SIZE = /^(.*\d (?:in|mm|cm)) ([a-z ]+)$/;

/** @param {string} text @returns {number} mm, to compare what different beds hold */
const size = (text) => toMm(SIZE.exec(text)?.[1] ?? "", "mm") || 0;

/** @param {string} largest the words of the sentence @param {string} pointer of the shape @returns {Told[]} */
function atSizes(largest, pointer) {
  const parts = largest.split(" and ").map((each) => SIZE.exec(each));
  if (!parts.every(Boolean)) return [{ pointer, detail: t("Too large for this bed: at most {largest}", { largest }) }];
  return parts.map((part) => ({ pointer: `${pointer}/${/** @type {any} */ (part)[2].replaceAll(" ", "_")}`, detail: t("Too large for this bed: at most {largest}", { largest: /** @type {any} */ (part)[1] }) }));
}

/** @param {any} problem */
export const isTooLarge = (problem) => String(problem?.type || "").endsWith("does-not-fit");

/**
 * Return a problem's errors as they are shown in a form: for a piece that is too large one error, at its size.
 * @param {any} problem @param {Told[]} errors @returns {Told[]}
 */
export function formErrors(problem, errors) {
  if (!isTooLarge(problem)) return errors;
  /** @type {Map<string, string>} */
  const smallest = new Map();
  const shapes = errors.filter((each) => each.pointer.endsWith("/shape"));
  for (const { pointer, detail } of shapes) {
    const largest = LARGEST.exec(detail)?.[1] ?? "", known = smallest.get(pointer);
    if (known === undefined || size(largest) < size(known)) smallest.set(pointer, largest);
  }
  if (!smallest.size) return errors;
  const others = errors.filter((each) => !shapes.some((shape) => shape.detail === each.detail));
  return [...[...smallest].flatMap(([pointer, largest]) => largest ? atSizes(largest, pointer) : [{ pointer, detail: t("Too large for this bed.") }]), ...others];
}

/** @param {Told[]} errors @returns {string[]} every sentence once */
export const details = (errors) => [...new Set(errors.map((each) => each.detail))];

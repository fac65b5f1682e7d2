/** Pieces that are larger than the bed: said briefly at the size that has to be smaller. @module */
import { t } from "./text.js";

/** @typedef {{pointer: string, detail: string, cure?: import("./cures.js").Cure, largest_percent?: number}} Told */

/** @param {any} problem */
export const isTooLarge = (problem) => String(problem?.type || "").endsWith("does-not-fit");

/** @param {Told} error at a shape @returns {Told[]} one for each size that has to be smaller */
function atSizes({ pointer, cure, largest_percent: percent }) {
  if (!cure)
    return [
      {
        pointer,
        detail: percent
          ? t("Too large for this bed: at most {percent} % of its size fits", { percent })
          : t("Too large for this bed."),
      },
    ];
  return cure.changes.map((each) => ({
    pointer: `#${each.path}`,
    detail: t("Too large for this bed: at most {largest}", { largest: String(each.value) }),
    cure,
  }));
}

/**
 * Return a problem's errors as they are shown in a form: for a piece that is too large one error, at its size.
 * @param {any} problem @param {Told[]} errors @returns {Told[]}
 */
export function formErrors(problem, errors) {
  if (!isTooLarge(problem)) return errors;
  /** @type {Map<string, Told>} */
  const smallest = new Map();
  const shapes = errors.filter((each) => each.pointer.endsWith("/shape"));
  for (const each of shapes) {
    const known = smallest.get(each.pointer);
    if (!known || (each.largest_percent ?? Infinity) < (known.largest_percent ?? Infinity))
      smallest.set(each.pointer, each);
  }
  if (!smallest.size) return errors;
  const others = errors.filter((each) => !shapes.some((shape) => shape.detail === each.detail));
  return [...[...smallest.values()].flatMap(atSizes), ...others];
}

/** @param {Told[]} errors @returns {string[]} every sentence once */
export const details = (errors) => [...new Set(errors.map((each) => each.detail))];

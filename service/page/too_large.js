/** Pieces that are larger than the bed: said briefly at the size that has to be smaller. @module */
import { cutterNamed } from "./saved_cutters.js";
import { t } from "./text.js";

/** @typedef {{pointer: string, detail: string, cure?: import("./cures.js").Cure, largest_percent?: number}} Told */

/** @param {any} problem */
export const isTooLarge = (problem) => String(problem?.type || "").endsWith("does-not-fit");

/**
 * Whether an error names the size that its cure sets: the cure fits every run, the error is of one.
 * @param {Told} error
 */
function saysCure({ detail, cure }) {
  const value = String(cure?.changes[0]?.value ?? "").replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
  return Boolean(value) && new RegExp(`(?<!\\d\\s?)${value}(?!\\d)`).test(detail);
}

/**
 * The title of the cutter that a piece is too large for: its run's error says the same.
 * @param {any} request @param {Told[]} errors @param {Told} error at a shape
 */
function cutterOf(request, errors, error) {
  const { detail, cure } = error;
  if (cure && !saysCure(error)) return "";
  const run = errors.find((each) => each.detail === detail && /^#\/runs\/\d+$/.test(each.pointer));
  const cutter = request?.runs?.[Number(run?.pointer.split("/")[2] ?? NaN)]?.cutter;
  return (typeof cutter === "object" ? cutter : cutterNamed(cutter))?.title || "";
}

/** @param {Told} error at a shape @param {string} cutter its title @returns {Told[]} one for each size that has to be
 * smaller */
function atSizes({ pointer, cure, largest_percent: percent }, cutter) {
  const where = cutter || t("this bed");
  if (!cure)
    return [
      {
        pointer,
        detail: percent
          ? t("Too large for {bed}: at most {percent} % of its size fits", { bed: where, percent })
          : t("Too large for {bed}.", { bed: where }),
      },
    ];
  return cure.changes.map((each) => ({
    pointer: `#${each.path}`,
    detail: t("Too large for {bed}: at most {largest}", { bed: where, largest: String(each.value) }),
    cure,
  }));
}

/**
 * Return a problem's errors as they are shown in a form: for a piece that is too large one error, at its size.
 * @param {any} problem @param {Told[]} errors @param {any} request that was asked @returns {Told[]}
 */
export function formErrors(problem, errors, request) {
  if (!isTooLarge(problem)) return errors;
  /** @type {Map<string, Told>} */
  const smallest = new Map();
  const rank = (/** @type {Told} */ each) => each.largest_percent ?? (saysCure(each) ? 0 : 1);
  const shapes = errors.filter((each) => each.pointer.endsWith("/shape"));
  for (const each of shapes) {
    const known = smallest.get(each.pointer);
    if (!known || rank(each) < rank(known)) smallest.set(each.pointer, each);
  }
  if (!smallest.size) return errors;
  const others = errors.filter((each) => !shapes.some((shape) => shape.detail === each.detail));
  return [...[...smallest.values()].flatMap((each) => atSizes(each, cutterOf(request, errors, each))), ...others];
}

/** @param {Told[]} errors @returns {string[]} every sentence once */
export const details = (errors) => [...new Set(errors.map((each) => each.detail))];

/** Another shape for a piece: the sizes that both are given by stay as they are. @module */
import { plain } from "./names.js";
import { t } from "./text.js";

/**
 * Take over the sizes of the shape before.
 * @param {any} before the shape in the request, if it had one
 * @param {any} fresh the new shape's example; changed in place
 * @param {any} shape the new shape in the catalogue
 * @returns {string} which sizes could not be kept, as a sentence; empty if all were
 */
export function keepSizes(before, fresh, shape) {
  if (!before || before.kind === "custom") return "";
  /** @param {string} name */
  const isLength = (name) =>
    shape.parameters.some((/** @type {any} */ each) => each.name === name && each.type === "length");
  const option = shape.size_options.find((/** @type {string[]} */ each) =>
    each.every((name) => before[name] !== undefined),
  );
  if (option) {
    for (const name of shape.size_options.flat()) delete fresh[name];
    for (const name of option) fresh[name] = before[name];
  }
  for (const name of shape.required) if (isLength(name) && before[name] !== undefined) fresh[name] = before[name];
  const lost = Object.entries(before).filter(([name]) => name !== "kind" && fresh[name] === undefined);
  if (!lost.length) return "";
  return t("Not kept, because this shape is not given by it: {sizes}. Check its sizes.", {
    sizes: lost.map(([name, value]) => `${plain(name)} ${value}`).join(", "),
  });
}

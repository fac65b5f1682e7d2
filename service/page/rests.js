/** What a kit's loads leave of their material: rests that are worth keeping, to cut a lost piece from. @module */
import { show } from "./lengths.js";

/** @typedef {{width: string, height: string, count: number}} Rest sizes as a request states them */

/** A ruler's mark that a length reaches: a rest is never smaller than what is said of it, as on the run sheet.
 * @param {number} mm @param {string} units */
function downToMark(mm, units) {
  const mark = units === "in" ? 25.4 / 16 : 1;
  return show(Math.floor(mm / mark + 1e-3) * mark, units);
}

/**
 * The rests of a run that hold a piece, as it lay or a quarter turn on; the largest first.
 * @param {any} run of a kit @param {any} piece of the kit @param {string} units of its request @returns {Rest[]}
 */
export function restsFor(run, piece, units) {
  const { width_mm: wide, height_mm: high } = piece?.[run.cut] || {};
  if (!wide || run.roll || run.stock || ["pen", "steel_rule_die"].includes(run.tool)) return [];
  const holds = (/** @type {any} */ { width_mm: width, height_mm: height }) =>
    (wide <= width && high <= height) || (high <= width && wide <= height);
  /** @type {Map<string, Rest & {area: number}>} */
  const found = new Map();
  for (const load of run.loads)
    for (const each of (load.offcuts || []).filter(holds)) {
      const width = downToMark(each.width_mm, units),
        height = downToMark(each.height_mm, units),
        count = (load.repeats || 1) * (run.layers || 1),
        known = found.get(`${width} ${height}`);
      if (known) known.count += count;
      else found.set(`${width} ${height}`, { width, height, count, area: each.width_mm * each.height_mm });
    }
  return [...found.values()].sort((one, other) => other.area - one.area).slice(0, 4);
}

/** How much material a run or a load takes, and to which size it is cut. @module */
import { show, showEnough } from "./lengths.js";
import { t, tn } from "./text.js";

/** @param {any} run */
export const loadCount = (run) =>
  run.loads.reduce((/** @type {number} */ sum, /** @type {any} */ load) => sum + (load.repeats || 1), 0);

/** Sheets of a run, each with its size. @param {any} run @param {number} n @param {string} units
 * @param {boolean} [isBrief] without reasons */
function sheets(run, n, units, isBrief = false) {
  const cut = run.material_size,
    stated = !cut && run.sheet?.width_mm;
  // A kit of an earlier release does not state to which size cloth is cut so that a frame grips it.
  if (run.tool === "indexed_blade" && !cut && !stated)
    return n === 1
      ? t("1 piece, as large as the run sheet says")
      : t("{n} pieces, as large as the run sheet says", { n });
  const area = cut || (stated ? run.sheet : run.work_area),
    shown = stated ? show : showEnough;
  const size = { n, width: shown(area.width_mm, units), height: shown(area.height_mm, units) };
  if (cut && run.tool === "indexed_blade" && !isBrief)
    return n === 1
      ? t("1 piece, {width} × {height} or larger, so that it is gripped on every side", size)
      : t("{n} pieces, each {width} × {height} or larger, so that they are gripped on every side", size);
  // A sheet without a stated size has to cover what the cutter can reach.
  if (stated) return n === 1 ? t("1 sheet of {width} × {height}", size) : t("{n} sheets of {width} × {height}", size);
  return n === 1
    ? t("1 sheet, {width} × {height} or larger", size)
    : t("{n} sheets, {width} × {height} or larger", size);
}

/** How much material a run takes, where it has no stock of its own. @param {any} run @param {string} units
 * @param {boolean} [isBrief] without reasons */
export function materialUse(run, units, isBrief = false) {
  if (run.roll?.length_mm && !run.sheet?.width_mm) {
    return t("{length} of the roll", { length: show(run.roll.length_mm, units) });
  }
  return run.stock ? "" : sheets(run, loadCount(run) * (run.layers || 1), units, isBrief);
}

/** What one load is cut from. @param {any} run @param {any} load @param {string} units */
export function oneLoad(run, load, units) {
  if (load.length_mm) return t("Length {length}", { length: show(load.length_mm, units) });
  return run.stock ? "" : sheets(run, run.layers || 1, units);
}

/** Whether a material's kind is bought by the length. @param {any} material */
export const isCloth = (material) => ["fabric", "stiffened_fabric"].includes(material?.kind);

/** How much cloth to buy for a run's pieces of material. @param {any} run @param {string} units */
export function clothUse(run, units) {
  const { cloth, roll } = run;
  if (roll?.buy) return t("To buy: {buy} of cloth {width} wide.", { buy: roll.buy, width: show(roll.width_mm, units) });
  if (!cloth) return "";
  const stated = {
    buy: cloth.buy,
    width: show(cloth.usable_width_mm, units),
    n: cloth.per_row,
    rows: cloth.rows,
    pieces: cloth.pieces,
  };
  const isPlain = !cloth.turned && Math.min(cloth.pieces, cloth.per_row) === 1;
  if (isPlain) return t("To buy: {buy} of cloth {width} wide.", stated);
  const tests = cloth.pieces - loadCount(run) * (run.layers || 1),
    also = tests > 0 ? ` ${tn("{n} of them is for the test.", "{n} of them are for the test.", tests)}` : "";
  return `${cloth.turned ? turnedText(stated, cloth.turned) : rowsText(stated)}${also}`;
}

/** How pieces lie on cloth. @param {{buy: string, width: string, n: number, rows: number, pieces: number}} stated */
const rowsText = (stated) =>
  stated.rows === 1
    ? t("To buy: {buy} of cloth {width} wide; {n} pieces lie side by side on it.", { ...stated, n: stated.pieces })
    : t("To buy: {buy} of cloth {width} wide; {n} pieces lie side by side on it, in {rows} rows.", stated);

/**
 * How pieces lie on cloth both ways.
 * @param {Record<string, any>} stated
 * @param {{per_row: number, rows: number}} turned
 */
const turnedText = (stated, turned) =>
  t("To buy: {buy} of cloth {width} wide, for {rows} rows of {n} pieces and, turned, {more} of {m}.", {
    ...stated,
    m: turned.per_row,
    more: turned.rows,
  });

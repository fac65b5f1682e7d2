/** A request's lengths when its units change: the numbers are converted, so that the pieces keep their size. @module */

import { settings } from "./settings.js";

/** @type {Record<string, number>} */
const MM = { in: 25.4, mm: 1, cm: 10 };
/**
 * Hundredths of a millimetre, and tenths of thousandths of an inch, which are finer still.
 * @type {Record<string, number>}
 */
const DIGITS = { in: 4, mm: 2, cm: 3 };
/** Members of requests that are lengths, wherever they stand. */
const LENGTHS = new Set(
  (
    "across_corners across_flats across_sides base bottom_width corner_width diameter height inner_radius " +
    "length long_base long_diagonal long_side outer_radius radius short_diagonal short_side side square " +
    "top_width width seam_allowance gap edge_clearance x y default left right top bottom offset kerf rule " +
    "blade_width step extra margin drop tuck mattress_width mattress_length repeat_width repeat_height strip " +
    "join_seam column_gap row_gap snap_tolerance ruler_step roll price_per size finished_width fabric_width"
  ).split(" "),
);
/** A bare number, a fraction or both, such as 1 1/4; a length with its own unit stays as it is. */
const BARE = /^(?:(\d+)[\s-]+)?(\d+)\s*\/\s*(\d+)$|^(\d*\.?\d+|\d+\.)$/;

/** @param {string} text @returns {number} NaN for what is no bare number */
function read(text) {
  const plain = text
    .trim()
    .replace(/[¼½¾⅛⅜⅝⅞]/g, (each) => ` ${each.normalize("NFKC").replace("⁄", "/")}`)
    .trim();
  const found = BARE.exec(plain);
  if (!found) return NaN;
  return found[4] === undefined ? Number(found[1] || 0) + Number(found[2]) / Number(found[3]) : Number(found[4]);
}

/** @param {number} value @param {number} digits */
const rounded = (value, digits) => Math.round(value * 10 ** digits + 1e-7) / 10 ** digits;

/**
 * @param {number} inches
 * @returns {string | null} in sixteenths, where a length in hundredths of a millimetre is one
 */
function fraction(inches) {
  const sixteenths = Math.round(inches * 16);
  if (!sixteenths || rounded((sixteenths / 16) * 25.4, 2) !== rounded(inches * 25.4, 2)) return null;
  let [above, below] = [sixteenths % 16, 16];
  while (above && above % 2 === 0) [above, below] = [above / 2, below / 2];
  const whole = Math.floor(sixteenths / 16);
  return [whole || "", above ? `${above}/${below}` : ""].filter(Boolean).join(" ");
}

/**
 * Return a length in other units. What was typed is rounded as people measure; a calculated number keeps its digits.
 * @param {unknown} value @param {string} from @param {string} to
 */
export function converted(value, from, to) {
  const number = typeof value === "number" ? value : typeof value === "string" ? read(value) : NaN;
  if (!Number.isFinite(number)) return value;
  const other = (number * MM[from]) / MM[to];
  if (rounded(number, 4) !== number && (typeof value === "number" || /\.\d{5}/.test(String(value))))
    return Number(other.toPrecision(13));
  const text = (to === "in" && fraction(other)) || String(rounded(other, DIGITS[to]));
  return typeof value === "number" && /^[\d.]+$/.test(text) ? Number(text) : text;
}

/** @param {number[][]} points corners, and bulges, which are no lengths @param {number} factor */
const scaled = (points, factor) => points.map(([x, y, ...bulge]) => [x * factor, y * factor, ...bulge]);

/** Return whether all lengths can be converted: a shape given as SVG path data stays in its units. @param {any} data */
export const convertible = (data) => !(data?.pieces || []).some((/** @type {any} */ each) => each.shape?.path);

/**
 * Convert the bare lengths of a request, or of a part of it.
 * @param {any} part @param {string} from @param {string} to
 */
export function convert(part, from, to) {
  for (const [name, value] of Object.entries(part || {})) {
    const points = Array.isArray(value) && (name === "points" || name === "outline") && Array.isArray(value[0]);
    if (points) part[name] = scaled(value, MM[from] / MM[to]);
    else if (name === "keep_out")
      part[name] = value.map((/** @type {number[][]} */ each) => scaled(each, MM[from] / MM[to]));
    else if (name === "cutter" && typeof value === "object") value.units ??= from;
    else if (name === "edges") for (const edge of Object.keys(value)) value[edge] = converted(value[edge], from, to);
    else if (value && typeof value === "object") convert(value, from, to);
    else if (LENGTHS.has(name)) part[name] = converted(value, from, to);
  }
}

/** A kit that the service made of a drawing, in the units that the page is used in. @param {any} kit */
export function inOwnUnits(kit) {
  const from = kit.units || "mm",
    to = settings.units;
  if (from === to || !convertible(kit)) return kit;
  const own = structuredClone(kit);
  convert(own, from, to);
  return { ...own, units: to };
}

/** Lengths: read for drawing only (the service reads what counts), and shown in the trade's way. @module */

const GLYPHS = { "¼": ".25", "½": ".5", "¾": ".75", "⅛": ".125", "⅜": ".375", "⅝": ".625", "⅞": ".875" };
const MM = { in: 25.4, mm: 1, cm: 10, '"': 25.4 };

/**
 * Return millimetres, or NaN where this simple reader cannot read it.
 * @param {unknown} value
 * @param {string} units
 */
export function toMm(value, units) {
  let text = String(value ?? "")
    .trim()
    .replace(/[¼½¾⅛⅜⅝⅞]/g, (each) => ` ${GLYPHS[/** @type {"¼"} */ (each)]}`);
  const unit = /(in|mm|cm|")$/.exec(text);
  if (unit) text = text.slice(0, -unit[0].length).trim();
  const factor = MM[/** @type {"in"} */ (unit ? unit[0] : units)] || 1;
  const parts = text.split(/[\s-]+/).map((part) => {
    const [above, below] = part.split("/");
    return below === undefined ? Number(above || NaN) : Number(above) / Number(below);
  });
  return parts.reduce((sum, each) => sum + each, 0) * factor;
}

/** A mark of a ruler, such as 1 3/4. @param {number} sixteenths */
function mark(sixteenths) {
  const whole = Math.floor(sixteenths / 16);
  let [above, below] = [sixteenths % 16, 16];
  while (above && above % 2 === 0) [above, below] = [above / 2, below / 2];
  const parts = [whole || (above ? "" : "0"), above ? `${above}/${below}` : ""];
  return parts.filter((part) => part !== "").join(" ");
}

/**
 * What lies between two marks of a ruler is shown as the nearest one, with its decimals.
 * @param {number} mm @param {string} units @returns {string} such as "1 3/4 in", "≈ 9 7/16 in (9.449)" or "44.5 mm"
 */
export function show(mm, units) {
  if (units === "mm") return `${round(mm, 2)} mm`;
  if (units === "cm") return `${round(mm / 10, 3)} cm`;
  const inches = mm / 25.4;
  const sixteenths = Math.round(inches * 16);
  if (Math.abs(inches * 16 - sixteenths) <= 0.02) return `${mark(sixteenths)} in`;
  return sixteenths > 1 ? `≈ ${mark(sixteenths)} in (${round(inches, 3)})` : `${round(inches, 3)} in`;
}

/** A length as one names it: the nearest mark of a ruler alone. @param {number} mm @param {string} units */
export const showRoughly = (mm, units) => show(mm, units).replace(/ \([\d.]+\)$/, "");

/** A sentence of the service, its decimal inches as the nearest marks of a ruler. @param {string} text */
export const inMarks = (text) =>
  text.replace(/\d+\.\d+ in\b/g, (found) => {
    const inches = parseFloat(found);
    return inches < 1 / 16 ? found : showRoughly(inches * 25.4, "in");
  });

/** A length that has to suffice, up to the next mark of a ruler. @param {number} mm @param {string} units */
export function showEnough(mm, units) {
  const step = units === "in" ? 25.4 / 8 : 1;
  return show(Math.ceil(mm / step - 1e-6) * step, units);
}

/** A time as the run sheet prints it; a kit of an earlier release states its seconds alone. @param {any} stated
 * @returns {string} */
export const timeOf = ({ estimated, estimated_s }) => estimated ?? showTime(estimated_s);

/** @param {number} seconds */
function showTime(seconds) {
  const minutes = Math.max(1, Math.round(seconds / 60));
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

/** @param {number} value @param {number} digits */
function round(value, digits) {
  return String(Number(value.toFixed(digits)));
}

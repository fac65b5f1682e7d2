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

/** @param {number} mm @param {string} units @returns {string} such as "1 3/4 in" or "44.5 mm" */
export function show(mm, units) {
  if (units === "mm") return `${round(mm, 1)} mm`;
  if (units === "cm") return `${round(mm / 10, 2)} cm`;
  const inches = mm / 25.4;
  const sixteenths = Math.round(inches * 16);
  if (Math.abs(inches * 16 - sixteenths) > 0.02) return `${round(inches, 3)} in`;
  const whole = Math.floor(sixteenths / 16);
  let [above, below] = [sixteenths % 16, 16];
  while (above && above % 2 === 0) [above, below] = [above / 2, below / 2];
  const parts = [whole || (above ? "" : "0"), above ? `${above}/${below}` : ""];
  return `${parts.filter((part) => part !== "").join(" ")} in`;
}

/** @param {number} seconds */
export function showTime(seconds) {
  const minutes = Math.max(1, Math.round(seconds / 60));
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

/** @param {number} value @param {number} digits */
function round(value, digits) {
  return String(Number(value.toFixed(digits)));
}

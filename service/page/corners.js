/** Corners of an outline, typed as text: "0, 0; 5 1/2, 0; 5 1/2, 3". @module */

/** @param {string} text such as 5, 5.5 or 5 1/2 @returns {number} NaN for what is no number */
function number(text) {
  const found = /^(-?\d*\.?\d+|-?\d+\.)?(?:(?:^|\s+)(\d+)\/(\d+))?$/.exec(text.trim());
  if (!text.trim() || !found) return NaN;
  return Number(found[1] || 0) + (found[2] ? Number(found[2]) / Number(found[3]) : 0);
}

/**
 * Return the corners that a text states, or null where it is not finished.
 * @param {string} text
 * @returns {number[][] | null}
 */
export function readCorners(text) {
  const corners = text
    .split(";")
    .filter((each) => each.trim())
    .map((each) => each.split(",").map(number));
  return corners.length && corners.every((each) => each.length === 2 && each.every(Number.isFinite)) ? corners : null;
}

/** @param {number[][]} corners */
export const showCorners = (corners) =>
  corners.map((each) => each.map((side) => Number(side.toFixed(4))).join(", ")).join("; ");

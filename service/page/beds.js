/** Cutters' beds, drawn to scale: what the margins leave of them is light. @module */
import { html, nothing, svg } from "./lit-html.js";
import { showRoughly, toMm } from "./lengths.js";
import { t } from "./text.js";

/** Millimetres; the paper of a home printer (ISO 216 and ANSI/ASME Y14.1). @type {Record<string, number[]>} */
export const PAPERS = { a4: [210, 297], letter: [215.9, 279.4] };
/** What a home printer leaves free where nothing else is stated. */
export const PAPER_MARGIN_MM = 6.35;
/** What pages that are joined share. */
const PAPER_OVERLAP_MM = 10;
const ARC_STEPS = 16,
  SAMPLES = 160;

/**
 * @typedef {{width: number, height: number, outline: number[][], keepOut: number[][][], isRectangle: boolean, isRoll:
 * boolean}} Opening
 * ``outline`` and ``keepOut`` in mm, y up, from the lower left corner.
 */

/**
 * A quarter of an ellipse, counter-clockwise.
 * @param {number} x
 * @param {number} y
 * @param {number} rx
 * @param {number} ry
 * @param {number} quarter
 */
const quarterOf = (x, y, rx, ry, quarter) =>
  Array.from({ length: ARC_STEPS + 1 }, (_, step) => {
    const angle = ((quarter + step / ARC_STEPS) * Math.PI) / 2;
    return [x + rx * Math.cos(angle), y + ry * Math.sin(angle)];
  });

/** @param {number} width @param {number} height @param {number} rx @param {number} ry of its corners */
const rounded = (width, height, rx, ry) => [
  ...quarterOf(width - rx, height - ry, rx, ry, 0),
  ...quarterOf(rx, height - ry, rx, ry, 1),
  ...quarterOf(rx, ry, rx, ry, 2),
  ...quarterOf(width - rx, ry, rx, ry, 3),
];

/** @param {any} bed @param {string} units @param {number} width @param {number} height @returns {number[][]} */
function outlineOf(bed, units, width, height) {
  const factor = toMm("1", units);
  if (bed.shape === "ellipse") return rounded(width, height, width / 2, height / 2);
  if (bed.shape === "polygon" && Array.isArray(bed.points))
    return bed.points.map((/** @type {number[]} */ each) => each.map((side) => side * factor));
  if (bed.shape === "rounded") {
    const radius = Math.min(toMm(bed.radius, units) || 0, width / 2, height / 2);
    return rounded(width, height, radius, radius);
  }
  return [
    [0, 0],
    [width, 0],
    [width, height],
    [0, height],
  ];
}

/**
 * Pages that are joined share a strip, and what a printer leaves blank is cut away between them.
 * @param {number} side
 * @param {unknown} pages
 */
const joined = (side, pages) => side + ((Number(pages) || 1) - 1) * (side - 2 * PAPER_MARGIN_MM - PAPER_OVERLAP_MM);

/**
 * Return a cutter's opening, or null where its sizes cannot be read yet.
 * @param {any} cutter
 * @param {string} units
 * @returns {Opening | null}
 */
export function openingOf(cutter, units) {
  const paper = PAPERS[cutter.paper],
    bed = cutter.bed || {},
    isRoll = bed.shape === "roll";
  const across = paper ? joined(paper[0], cutter.pages_across) : toMm(bed.width, units);
  const up = paper ? joined(paper[1], cutter.pages_down) : toMm(bed.height, units);
  // A roll lies along the x axis and has no end that is drawn.
  const [width, height] = isRoll ? [1.5 * across, across] : [across, up];
  if (!(width > 0) || !(height > 0)) return null;
  const factor = toMm("1", units),
    outline = outlineOf(bed, units, width, height);
  const keepOut = (bed.keep_out || [])
    .filter(Array.isArray)
    .map((/** @type {number[][]} */ each) => each.map((point) => point.map((side) => side * factor)));
  return {
    width,
    height,
    outline,
    keepOut,
    isRoll,
    isRectangle: !["ellipse", "polygon", "rounded"].includes(bed.shape),
  };
}

/** @param {any} cutter @param {string} units @returns {number[]} left, right, top, bottom, mm */
export function marginsOf(cutter, units) {
  const stated = cutter.margins,
    usual = cutter.paper && !stated ? PAPER_MARGIN_MM : 0;
  return ["left", "right", "top", "bottom"].map((side) => toMm(stated?.[side], units) || usual);
}

/** @param {number[][]} points */
const pathOf = (points) => `M${points.map((each) => each.map((side) => side.toFixed(2)).join(" ")).join("L")}Z`;

/** Points all along a closed outline, its corners among them. @param {number[][]} outline */
function along(outline) {
  const sides = outline.map((from, index) => ({ from, to: outline[(index + 1) % outline.length] }));
  const length = sides.reduce((sum, { from, to }) => sum + Math.hypot(to[0] - from[0], to[1] - from[1]), 0);
  return sides.flatMap(({ from, to }) => {
    const steps = Math.max(1, Math.ceil((Math.hypot(to[0] - from[0], to[1] - from[1]) / length) * SAMPLES));
    return Array.from({ length: steps }, (_, step) =>
      from.map((side, axis) => side + ((to[axis] - side) * step) / steps),
    );
  });
}

/**
 * Where the tool would bring the head's edge onto a point: the head turned by half a turn about it.
 * @param {number[]} point @param {number[]} margins @param {boolean} isRound
 */
function refused([x, y], [left, right, top, bottom], isRound) {
  const [x0, x1, y0, y1] = [x - right, x + left, y - top, y + bottom].map((each) => each.toFixed(2));
  if (!isRound) return `M${x0} ${y0}H${x1}V${y1}H${x0}Z`;
  const arc = (/** @type {number} */ rx, /** @type {number} */ ry, /** @type {string} */ to) =>
    `A${rx} ${ry} 0 0 1 ${to}`;
  const above = arc(left, bottom, `${x} ${y1}`) + arc(right, bottom, `${x0} ${y}`);
  return `M${x1} ${y}${above}${arc(right, top, `${x} ${y0}`)}${arc(left, top, `${x1} ${y}`)}Z`;
}

/** @param {Opening} opening @param {number[]} margins */
function rectangle({ width, height, isRoll }, [left, right, top, bottom]) {
  const outer = isRoll ? `M${width} 0H0V${height}H${width}` : `M0 0H${width}V${height}H0Z`;
  const inner = `M${left} ${bottom}H${width - (isRoll ? 0 : right)}V${height - top}H${left}Z`;
  const isLeft = left + right < width && top + bottom < height;
  return svg`<path class="outer" d=${outer} />${isLeft ? svg`<path class="inner" d=${inner} />` : nothing}`;
}

/**
 * An opening of another form: light, and dark wherever the head would meet its edge.
 * @param {Opening} opening
 * @param {number[]} margins
 * @param {any} cutter
 */
function freeForm({ width, height, outline }, margins, cutter) {
  const isRound = cutter.head !== "rectangle",
    edge = pathOf(outline),
    beyond = `M${-width} ${-height}H${2 * width}V${2 * height}H${-width}Z`;
  return svg`<path class="light" d=${edge} /><path class="dark" d=${along(outline)
    .map((each) => refused(each, margins, isRound))
    .join("")} />
    <path class="around" fill-rule="evenodd" d=${beyond + edge} /><path class="edge" d=${edge} />`;
}

/**
 * Draw a cutter's bed to scale: its opening, what the margins leave of it, and what the tool must keep out of.
 * @param {any} cutter as the API describes it
 * @param {string} units units of its bare numbers
 */
export function bedDrawing(cutter, units) {
  const opening = openingOf(cutter, units);
  if (!opening) return nothing;
  const { width, height, keepOut } = opening,
    margins = marginsOf(cutter, units),
    isRound = cutter.head !== "rectangle";
  return html`<svg
    class="bed"
    viewBox="${-width * 0.03} ${-height * 1.03} ${width * 1.06} ${height * 1.06}"
    aria-hidden="true"
  >
    <g transform="scale(1 -1)">
      ${opening.isRectangle ? rectangle(opening, margins) : freeForm(opening, margins, cutter)}
      ${keepOut.map(
        (each) =>
          svg`<path class="dark" d=${along(each)
            .map((point) => refused(point, margins, isRound))
            .join("")} /><path class="kept-out" d=${pathOf(each)} />`,
      )}
    </g>
  </svg>`;
}

/**
 * Return a bed's size in words.
 * @param {any} cutter
 * @param {string} units of its bare numbers
 * @param {string} [shown] in which it is stated; by default those in which it is described
 */
export function bedSize(cutter, units, shown = /(in|mm|cm)$/.exec(String(cutter.bed?.width ?? ""))?.[1] || units) {
  const opening = openingOf(cutter, units);
  if (!opening) return "";
  if (cutter.paper) {
    const paper = cutter.paper === "a4" ? t("A4 paper") : t("letter paper"),
      { pages_across: across = 1, pages_down: down = 1 } = cutter;
    return across * down > 1 ? t("{across} × {down} pages of {paper}", { across, down, paper }) : paper;
  }
  if (opening.isRoll) return t("roll, {width} wide", { width: showRoughly(opening.height, shown) });
  return t("{width} × {height}", {
    width: showRoughly(opening.width, shown),
    height: showRoughly(opening.height, shown),
  });
}

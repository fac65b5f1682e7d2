/** Drawings made in the page: outlines with their dimensions. @module */
import { html } from "./lit-html.js";
import { show } from "./lengths.js";
import { t } from "./text.js";

/**
 * Return an outline as an SVG path. Points are x, y and the bulge towards the next point,
 * tan(sweep / 4), positive counter-clockwise.
 * @param {number[][]} points
 */
export function outlinePath(points) {
  const parts = [`M${points[0][0]} ${points[0][1]}`];
  points.forEach(([x, y, bulge], index) => {
    const [nextX, nextY] = points[(index + 1) % points.length];
    if (!bulge) {
      parts.push(`L${nextX} ${nextY}`);
      return;
    }
    const chord = Math.hypot(nextX - x, nextY - y);
    const radius = (chord * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
    parts.push(`A${radius} ${radius} 0 ${Math.abs(bulge) > 1 ? 1 : 0} ${bulge > 0 ? 1 : 0} ${nextX} ${nextY}`);
  });
  return `${parts.join("")}Z`;
}

/** @param {any} form an outline of an answer, with its holes */
function pathOf(form) {
  return [form.outline, ...form.holes].map(outlinePath).join("");
}

/** @param {number[][]} points the ends of segments; rough extents are enough */
function bounds(points) {
  const xs = points.map((each) => each[0]),
    ys = points.map((each) => each[1]);
  return { x0: Math.min(...xs), x1: Math.max(...xs), y0: Math.min(...ys), y1: Math.max(...ys) };
}

/**
 * Draw a piece: its template inside its patch, with the dimensions of both.
 * @param {any} piece a piece of an answer
 * @param {string} units
 */
export function pieceDrawing(piece, units) {
  const { template, patch } = piece;
  const box = bounds(template.outline);
  // Arcs reach beyond their ends: the stated dimensions are exact, so the drawing leaves room.
  const reach = Math.max(patch.width_mm, patch.height_mm);
  const cx = (box.x0 + box.x1) / 2,
    cy = (box.y0 + box.y1) / 2;
  const half = reach * 0.78;
  return html`<figure class="piece-drawing">
    <svg
      viewBox="${cx - half} ${-cy - half} ${2 * half} ${2 * half}"
      role="img"
      aria-label=${t("Piece {id}: the template inside the patch", { id: piece.id })}
    >
      <g transform="scale(1 -1)">
        <path class="patch" vector-effect="non-scaling-stroke" d=${pathOf(patch)} />
        <path class="template" vector-effect="non-scaling-stroke" d=${pathOf(template)} />
      </g>
    </svg>
    <figcaption>
      <span class="swatch template"></span>${t("Template {width} × {height}", {
        width: show(template.width_mm, units),
        height: show(template.height_mm, units),
      })}<br />
      <span class="swatch patch"></span>${t("Patch {width} × {height}", {
        width: show(patch.width_mm, units),
        height: show(patch.height_mm, units),
      })}
    </figcaption>
  </figure>`;
}

/** Draw an outline alone, as large as its place. @param {any} form of an answer */
export function shapeDrawing(form) {
  const box = bounds(form.outline),
    // Arcs reach beyond their ends.
    hasArcs = form.outline.some((/** @type {number[]} */ each) => each[2]),
    half = Math.max(form.width_mm, form.height_mm) * (hasArcs ? 0.9 : 0.62);
  return html`<svg
    viewBox="${(box.x0 + box.x1) / 2 - half} ${-(box.y0 + box.y1) / 2 - half} ${2 * half} ${2 * half}"
    aria-hidden="true"
  >
    <g transform="scale(1 -1)"><path class="shape" vector-effect="non-scaling-stroke" d=${pathOf(form)} /></g>
  </svg>`;
}

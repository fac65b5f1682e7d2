/** Single shapes found in a drawing, and what in it is no shape. @module */
import { html, nothing, svg } from "./lit-html.js";
import { outlinePath } from "./draw.js";
import { inOwnUnits } from "./convert.js";
import { startFrom } from "./draft.js";
import { show } from "./lengths.js";
import { plain } from "./names.js";
import { replacing } from "./replacing.js";
import { settings } from "./settings.js";
import { t, tn } from "./text.js";

const MOST_LISTED = 20;

/** A kit of one drawn shape. @param {any} outline @param {string} title */
function shapeKit(outline, title) {
  const inches = settings.units === "in";
  const kit = {
    title,
    units: "mm",
    pieces: [
      { id: "A", shape: { kind: "custom", points: outline.points }, quantity: 1, seam_allowance: inches ? 6.35 : 6 },
    ],
    runs: [{ cut: "template", cutter: "drag-blade-sheet", formats: ["svg"], material: { name: "card", kind: "card" } }],
  };
  startFrom(inOwnUnits(kit));
  location.hash = "#/shape";
}

/** @param {number[][]} points */
function frame(points) {
  const xs = points.map((each) => each[0]),
    ys = points.map((each) => each[1]);
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const side = Math.max(right - left, high - low, 1) * 1.2;
  return `${(left + right - side) / 2} ${-(low + high + side) / 2} ${side} ${side}`;
}

/** All of the drawing: shapes, and the ends of open lines, which a cut would leave open. @param {any} inspection */
function overview({ outlines, open_paths: open }) {
  if (!open.length) return nothing;
  const points = [
    ...outlines.flatMap((/** @type {any} */ each) => each.points),
    ...open.flatMap((/** @type {any} */ each) => [each.start, each.end]),
  ];
  return html`<svg
    class="drawn"
    viewBox=${frame(points)}
    role="img"
    aria-label=${t("The drawing; open lines have dots at their ends")}
  >
    <g transform="scale(1 -1)">
      ${outlines.map(
        (/** @type {any} */ each) =>
          svg`<path class="template" vector-effect="non-scaling-stroke" d=${outlinePath(each.points)} />`,
      )}
      ${open.map(
        (/** @type {any} */ each) =>
          svg`<path class="open-ends" vector-effect="non-scaling-stroke"
            d="M${each.start.join(" ")}h0M${each.end.join(" ")}h0" />`,
      )}
    </g>
  </svg>`;
}

/** A template and its patch. @param {any} found @param {string} inUnits */
function allowance({ template, patch, min_mm: least, max_mm: most }, inUnits) {
  const [from, to] = [show(least, inUnits), show(most, inUnits)],
    width = from === to ? from : t("{from} to {to}", { from, to });
  return t("Shape {patch} is shape {template} with {width} about it: a patch and its template.", {
    patch: patch + 1,
    template: template + 1,
    width,
  });
}

/** What is in the drawing besides shapes, in words. @param {any} inspection @returns {string[]} */
function remarks(inspection) {
  const { open_paths: open, duplicate_lines: doubled, overlaps, skipped, warnings, allowances } = inspection,
    inUnits = settings.units;
  const at = (/** @type {number[]} */ point) => `${show(point[0], inUnits)}, ${show(point[1], inUnits)}`;
  return [
    // The service names the address that a script would ask.
    ...warnings.map((/** @type {string} */ each) =>
      each.replace("send the drawing to /v1/blocks", t("choose that it is a block of pieces")),
    ),
    ...open
      .slice(0, MOST_LISTED)
      .map((/** @type {any} */ each) =>
        t(
          "An open line from {start} to {end} encloses nothing: join its ends in the drawing if it should be cut out.",
          { start: at(each.start), end: at(each.end) },
        ),
      ),
    ...(open.length > MOST_LISTED ? [t("{n} more open lines.", { n: open.length - MOST_LISTED })] : []),
    ...doubled.map((/** @type {any} */ each) =>
      t("{length} of line are drawn twice and would be cut twice.", { length: show(each.length_mm, inUnits) }),
    ),
    ...overlaps
      .slice(0, MOST_LISTED)
      .map((/** @type {number[]} */ [one, other]) =>
        t("Shapes {one} and {other} overlap.", { one: one + 1, other: other + 1 }),
      ),
    ...(overlaps.length > MOST_LISTED
      ? [t("{n} more pairs of shapes overlap.", { n: overlaps.length - MOST_LISTED })]
      : []),
    ...allowances
      .filter((/** @type {any} */ each) => each.nested)
      .slice(0, MOST_LISTED)
      .map((/** @type {any} */ each) => allowance(each, inUnits)),
    ...skipped.map((/** @type {any} */ each) =>
      t("Not read: {element}, {n} in all.", { element: each.element, n: each.count }),
    ),
  ];
}

/** @param {any} each an outline @param {number} index @param {string} title @param {() => void} redraw */
function shapeCard(each, index, title, redraw) {
  const { nearest } = each,
    inUnits = settings.units;
  const like =
    nearest &&
    (nearest.difference < 0.001
      ? t("This is: {shape}", { shape: plain(nearest.kind) })
      : t("Nearest shape: {shape}", { shape: plain(nearest.kind) }));
  return html`<li class="load">
    <svg viewBox=${frame(each.points)} aria-hidden="true">
      <path transform="scale(1 -1)" class="template" vector-effect="non-scaling-stroke" d=${outlinePath(each.points)} />
    </svg>
    <p>
      <strong>${t("Shape {n}", { n: index + 1 })}</strong><br />${show(each.width_mm, inUnits)} ×
      ${show(each.height_mm, inUnits)}${like
        ? html`<br />${like}, ${plain(nearest.parameter)} ${show(nearest.size_mm, inUnits)}`
        : nothing}
    </p>
    ${replacing({
      id: `shape-kit-${index}`,
      label: t("Make a kit of this shape"),
      go: () => shapeKit(each, title),
      redraw,
    })}
  </li>`;
}

/** @param {any} inspection @param {string} title of a kit @param {() => void} redraw */
export function shapesView(inspection, title, redraw) {
  const found = remarks(inspection);
  return html`<p id="shapes-found">
      ${inspection.outlines.length
        ? tn("{n} closed shape", "{n} closed shapes", inspection.outlines.length)
        : t("No closed shape is in this drawing.")}
    </p>
    ${found.length
      ? html`<ul class="warnings remarks">
          ${found.map((each) => html`<li>${each}</li>`)}
        </ul>`
      : nothing}${overview(inspection)}
    <ul class="loads">
      ${inspection.outlines.map((/** @type {any} */ each, /** @type {number} */ index) =>
        shapeCard(each, index, title, redraw),
      )}
    </ul>`;
}

/**
 * The bed and the margins of a cutter that is described: an opening of any form, a roll, or a printer's paper.
 * @module
 */
import { html, nothing } from "./lit-html.js";
import { PAPERS, PAPER_MARGIN_MM } from "./beds.js";
import { converted } from "./convert.js";
import { field, partErrors } from "./field.js";
import { t } from "./text.js";

/** @typedef {import("./field.js").Form} Form */

/** @returns {[string, string][]} */
const bedShapes = () => [
  ["rectangle", t("rectangle")],
  ["rounded", t("rectangle with rounded corners")],
  ["ellipse", t("oval or circle")],
  ["polygon", t("another outline")],
  ["roll", t("a roll")],
  ["a4", t("A4 paper, printed at home")],
  ["letter", t("letter paper, printed at home")],
];

/** Pieces are drawn on paper and cut by hand. @param {any} cutter @param {string} paper */
function becomePaper(cutter, paper) {
  delete cutter.bed;
  delete cutter.head;
  const margin = String(converted(PAPER_MARGIN_MM, "mm", cutter.units));
  Object.assign(cutter, {
    paper,
    tool: { kind: "pen" },
    margins: { left: margin, right: margin, top: margin, bottom: margin },
  });
}

/** @param {any} cutter @param {string} shape */
function becomeBed(cutter, shape) {
  for (const name of ["paper", "pages_across", "pages_down"]) delete cutter[name];
  const inches = cutter.units === "in",
    side = String(converted(300, "mm", inches ? "mm" : cutter.units));
  const { width = inches ? "12" : side, height = inches ? "12" : side, keep_out: keepOut } = cutter.bed || {};
  cutter.bed = { shape, width, ...(shape === "roll" ? {} : { height }), ...(keepOut ? { keep_out: keepOut } : {}) };
  const [right, up] = [width, height].map((each) => Number(each) || (inches ? 12 : Number(side)));
  if (shape === "rounded") cutter.bed.radius = inches ? "1" : String(converted(25, "mm", cutter.units));
  if (shape === "polygon")
    cutter.bed.points = [
      [0, 0],
      [right, 0],
      [right, up * 0.6],
      [right * 0.6, up],
      [0, up],
    ];
}

/** @param {Form} form @param {string} shape */
function changeBed(form, shape) {
  const { cutter } = form.data;
  if (shape in PAPERS) becomePaper(cutter, shape);
  else becomeBed(cutter, shape);
  form.changed();
}

/** @param {Form} form @param {any} bed */
function addKeepOut(form, bed) {
  const side = converted(25, "mm", form.data.cutter.units === "in" ? "mm" : form.data.cutter.units),
    step = form.data.cutter.units === "in" ? 1 : Number(side),
    at = 2 * step;
  (bed.keep_out ??= []).push([
    [at, at],
    [at + step, at],
    [at + step, at + step],
    [at, at + step],
  ]);
  form.changed();
}

/** @param {Form} form @param {any} bed */
function keepOuts(form, bed) {
  const remove = (/** @type {number} */ index) => {
    bed.keep_out.splice(index, 1);
    form.changed();
  };
  return html`${(bed.keep_out || []).map(
      (/** @type {unknown} */ _, /** @type {number} */ index) =>
        html`<div class="with-button">
          ${field(form, {
            pointer: `#/cutter/bed/keep_out/${index}`,
            label: t("Corners of a place to keep out of"),
            kind: "corners",
          })}
          <button type="button" class="quiet" @click=${() => remove(index)}>${t("Remove this place")}</button>
        </div>`,
    )}
    <button type="button" class="quiet add-keep-out" @click=${() => addKeepOut(form, bed)}>
      ${t("Add a place that the tool must keep out of, such as a clamp")}
    </button>`;
}

/** Sizes of an opening or a roll. @param {Form} form @param {any} bed */
function openingFields(form, bed) {
  const at = "#/cutter/bed",
    { shape = "rectangle" } = bed;
  return html`${partErrors(form, at)}
  ${shape === "polygon"
    ? field(form, {
        pointer: `${at}/points`,
        label: t("Corners"),
        kind: "corners",
        hint: t("Across and up from the lower left corner, in turn: 0, 0; 8, 0; 8, 3; 0, 6"),
      })
    : field(form, { pointer: `${at}/width`, label: shape === "roll" ? t("Width of the roll") : t("Bed's width") })}
  ${["polygon", "roll"].includes(shape) ? nothing : field(form, { pointer: `${at}/height`, label: t("Bed's height") })}
  ${shape === "roll"
    ? field(form, { pointer: `${at}/length`, label: t("Drawn off at once, at most"), hint: t("Empty: no limit.") })
    : nothing}
  ${shape === "rounded" ? field(form, { pointer: `${at}/radius`, label: t("Radius of the corners") }) : nothing}
  ${keepOuts(form, bed)}`;
}

/** Pages of paper that are joined. @param {Form} form */
function pageFields(form) {
  return html`<p class="hint">${t("The PDF is printed at true size on this paper, and the pieces are cut by hand.")}</p>
    ${field(form, {
      pointer: "#/cutter/pages_across",
      label: t("Pages joined side by side"),
      kind: "whole",
      placeholder: "1",
      hint: t("More than one for pieces that are larger than a page."),
    })}
    ${field(form, {
      pointer: "#/cutter/pages_down",
      label: t("Pages joined one below another"),
      kind: "whole",
      placeholder: "1",
    })}`;
}

/** The form of the bed, and its sizes. @param {Form} form */
export function bedFields(form) {
  const { cutter } = form.data,
    shape = cutter.paper || cutter.bed?.shape || "rectangle";
  return html`<div class="field">
      <label for="bed-shape">${t("Form of the bed")}</label>
      <select id="bed-shape" @change=${(/** @type {any} */ event) => changeBed(form, event.target.value)}>
        ${bedShapes().map(([name, label]) => html`<option value=${name} ?selected=${name === shape}>${label}</option>`)}
      </select>
    </div>
    ${cutter.paper ? pageFields(form) : openingFields(form, cutter.bed || {})}`;
}

/** @param {Form} form */
export function marginFields(form) {
  const { cutter } = form.data,
    shape = cutter.paper ? "rectangle" : cutter.bed?.shape || "rectangle";
  const sides = /** @type {[string, string][]} */ ([
    ["left", t("Left margin")],
    ["right", t("Right margin")],
    ["top", t("Top margin")],
    ["bottom", t("Bottom margin")],
  ]);
  return html`${sides.map(([name, label]) => field(form, { pointer: `#/cutter/margins/${name}`, label }))}
  ${["rectangle", "roll"].includes(shape) && !cutter.bed?.keep_out
    ? nothing
    : field(form, {
        pointer: "#/cutter/head",
        label: t("Form of the tool's head"),
        hint: t("Its margins reach that far from the tool's tip; the head stays inside the bed."),
        options: [
          ["", t("round")],
          ["rectangle", t("rectangular")],
        ],
      })}`;
}

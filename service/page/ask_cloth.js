/** The question of how much cloth pieces of any shape take. @module */
import { html, nothing } from "./lit-html.js";
import { field, partErrors } from "./field.js";
import { svgImage } from "./images.js";
import { units } from "./names.js";
import { command, failed, question } from "./question.js";
import { settings } from "./settings.js";
import { chooseShape, shapeOf, sizeFields } from "./shapes.js";
import { t } from "./text.js";

const inches = settings.units === "in";
/** @type {() => void} */
let redraw = () => {};
const cloth = question(
  "cloth",
  "/v1/yardage",
  settings.ask?.cloth || {
    units: inches ? "in" : "cm",
    pieces: [{ id: "A", width: inches ? "2 1/2" : "6", length: inches ? "2 1/2" : "6", quantity: 100 }],
    fabric: { name: "cotton", width: inches ? "40" : "101.6" },
  },
  () => redraw(),
);

/** @param {() => void} drawn */
export function askCloth(drawn) {
  redraw = drawn;
  cloth.ask();
}

export const clothStatus = () =>
  cloth.failure ||
  (cloth.answer?.fabrics || []).map((/** @type {any} */ each) => t("Buy {length}", { length: each.buy })).join(", ");

/** @param {any} piece @param {any} shape */
function takeShape(piece, shape) {
  for (const name of ["width", "length"]) delete piece[name];
  Object.assign(piece, {
    shape,
    seam_allowance:
      piece.seam_allowance ?? (cloth.data.units === "in" ? "1/4" : cloth.data.units === "cm" ? "0.6" : "6"),
  });
  cloth.changed();
}

/** @param {any} piece from now on a rectangle, given as it is cut */
function takeCutSize(piece) {
  const side = cloth.data.units === "in" ? "2 1/2" : cloth.data.units === "cm" ? "6" : "60";
  for (const name of ["shape", "seam_allowance", "grain"]) delete piece[name];
  Object.assign(piece, { width: side, length: side });
  cloth.changed();
}

function add() {
  const { pieces } = cloth.data,
    used = new Set(pieces.map((/** @type {any} */ each) => each.id));
  const id = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((each) => !used.has(each)) || `P${pieces.length + 1}`;
  pieces.push({ ...structuredClone(pieces.at(-1)), id });
  cloth.changed();
}

/** @param {any} piece @param {number} index */
function pieceFields(piece, index) {
  const at = `#/pieces/${index}`,
    { pieces } = cloth.data;
  const remove = () => {
    pieces.splice(index, 1);
    cloth.changed();
  };
  return html`<li class="piece">
    <h2>
      ${t("Piece {id}", { id: piece.id })} <small>${shapeOf(piece.shape)?.title || t("rectangle, as it is cut")}</small>
    </h2>
    ${partErrors(cloth, at)}${partErrors(cloth, `${at}/shape`)}
    <div class="fields grid">
      <button
        type="button"
        class="cloth-shape"
        @click=${() => chooseShape(cloth.data.units, (shape) => takeShape(piece, shape))}
      >
        ${piece.shape ? t("Choose another shape") : t("Choose a shape")}
      </button>
      ${piece.shape
        ? html`${sizeFields(cloth, piece.shape, `${at}/shape`, cloth.data.units)}${field(cloth, {
            pointer: `${at}/seam_allowance`,
            label: t("Seam allowance"),
            placeholder: "0",
          })}`
        : html`${field(cloth, { pointer: `${at}/width`, label: t("Piece's width, cut size") })}${field(cloth, {
            pointer: `${at}/length`,
            label: t("Piece's length, cut size"),
          })}`}
      ${field(cloth, { pointer: `${at}/quantity`, label: t("Quantity"), kind: "whole" })}
      ${field(cloth, {
        pointer: `${at}/fabric`,
        label: t("Fabric"),
        hint: t("Pieces of one name are cut from one fabric."),
      })}
      ${piece.shape
        ? field(cloth, {
            pointer: `${at}/grain`,
            label: t("Grain"),
            options: [
              ["", t("any way")],
              ["half-turn", t("either way along the grain")],
              ["fixed", t("one way: a nap or a print")],
            ],
          })
        : nothing}
    </div>
    <div class="row">
      ${piece.shape
        ? html`<button type="button" class="quiet" @click=${() => takeCutSize(piece)}>
            ${t("Use a cut size instead")}
          </button>`
        : nothing}
      ${pieces.length > 1
        ? html`<button type="button" class="quiet" @click=${remove}>
            ${t("Remove piece {id}", { id: piece.id })}
          </button>`
        : nothing}
    </div>
  </li>`;
}

/** @param {any} each a fabric of the answer */
function fabric(each) {
  const { methods, cutting } = each;
  const other = each.quoted_method === "rows" ? methods.layout : methods.rows;
  return html`<dl class="figures">
      <div>
        <dt>${each.fabric ? t("Buy of {fabric}", { fabric: each.fabric }) : t("Buy")}</dt>
        <dd class="buy">${each.buy}</dd>
      </div>
      ${other
        ? html`<div>
            <dt>${each.quoted_method === "rows" ? t("With a cutter on a roll") : t("In strips, cut by hand")}</dt>
            <dd>${other.buy}</dd>
          </div>`
        : nothing}
    </dl>
    ${(each.warnings || []).length
      ? html`<ul class="warnings">
          ${each.warnings.map((/** @type {string} */ line) => html`<li>${line}</li>`)}
        </ul>`
      : nothing}
    ${cutting
      ? html`<h2>${t("Cutting by hand")}</h2>
          <ol class="steps">
            ${cutting.instructions.map((/** @type {string} */ line) => html`<li>${line}</li>`)}
          </ol>
          ${cutting.picture ? svgImage(cutting.picture, t("How strips and pieces lie on the cloth")) : nothing}
          <details class="cautions">
            <summary>${t("Before you cut: cautions")}</summary>
            <ul>
              ${cutting.cautions.map((/** @type {string} */ line) => html`<li>${line}</li>`)}
            </ul>
          </details>`
      : nothing}`;
}

export function clothView() {
  return html`<section class="sheet">
    <h1>${t("How much cloth?")}</h1>
    <div class="fields grid">
      ${field(cloth, { pointer: "#/units", label: t("Units"), options: units(), converts: "#" })}${field(cloth, {
        pointer: "#/fabric/width",
        label: t("Width of the cloth"),
      })}
      ${field(cloth, {
        pointer: "#/fabric/shrinkage_percent",
        label: t("Shrinkage, percent"),
        kind: "number",
        placeholder: "0",
      })}
      ${field(cloth, { pointer: "#/kits", label: t("Copies of all these pieces"), kind: "whole", placeholder: "1" })}
    </div>
    <ol class="cloth-pieces">
      ${cloth.data.pieces.map(pieceFields)}
    </ol>
    <button type="button" id="add-cloth" @click=${add}>${t("Add a piece")}</button>
    <div class="cloth-answer" aria-busy=${cloth.busy}>${failed(cloth)}${(cloth.answer?.fabrics || []).map(fabric)}</div>
    ${command(cloth)}
  </section>`;
}

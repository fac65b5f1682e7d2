/** The pieces of a kit: shape from pictures, size, allowance and quantity. @module */
import { html, nothing } from "./lit-html.js";
import { pieceDrawing } from "./draw.js";
import { changed, draft } from "./draft.js";
import { field, partErrors } from "./field.js";
import { materialsOf } from "./names.js";
import { chooseShape, shapeOf, sizeFields } from "./shapes.js";
import { t } from "./text.js";

/** @typedef {import("./field.js").Form} Form */

/** Sizes that a piece's new shape did not keep. @type {WeakMap<any, string>} */
const notKept = new WeakMap();

/** @param {number} index of the piece that gets another shape */
function choose(index) {
  const { pieces, units } = draft.request,
    piece = pieces[index];
  const take = (/** @type {any} */ shape, /** @type {string} */ lost) => {
    piece.shape = shape;
    notKept.set(piece, lost);
    changed(0);
  };
  chooseShape(units, take, piece.shape);
}

/** @param {Form} form @param {any} piece @param {number} index */
function pieceCard(form, piece, index) {
  const at = `#/pieces/${index}`;
  const drawn = draft.outlines?.pieces.find((/** @type {any} */ each) => each.id === piece.id);
  const shape = shapeOf(piece.shape);
  const words = [shape?.title || t("drawn shape"), materialsOf(draft.request, piece.id)].filter(Boolean).join(", ");
  return html`<li class="piece">
    <h3>${t("Piece {id}", { id: piece.id })} <small>${words}</small></h3>
    <div class="columns">
      <div>${drawn ? pieceDrawing(drawn, draft.request.units || "mm") : html`<div class="waiting"></div>`}</div>
      <div class="fields">
        <button type="button" class="wide" @click=${() => choose(index)}>${t("Choose another shape")}</button>
        ${notKept.get(piece) ? html`<p class="warnings not-kept">${notKept.get(piece)}</p>` : nothing}
        ${partErrors(form, `${at}/shape`)}${partErrors(form, at)}
        ${sizeFields(form, piece.shape, `${at}/shape`, draft.request.units || "mm")}
        ${field(form, { pointer: `${at}/seam_allowance`, label: t("Seam allowance") })}
        ${field(form, {
          pointer: `${at}/quantity`,
          label: t("Quantity"),
          kind: "whole",
          hint:
            Number(draft.request.copies) > 1
              ? t("Of each of the {n} copies of the kit.", { n: draft.request.copies })
              : t("A number, or “max” for as many as fit."),
        })}
        <details>
          <summary>${t("Corners and grain")}</summary>
          ${field(form, {
            pointer: `${at}/corners/kind`,
            label: t("Corners"),
            options: [
              ["", t("as usual: {value}", { value: t("pointed") })],
              ["mitre", t("pointed")],
              ["blunt", t("cut off")],
              ["round", t("rounded")],
            ],
          })}
          ${Array.isArray(piece.grain)
            ? nothing
            : field(form, {
                pointer: `${at}/grain`,
                label: t("Grain"),
                options: [
                  ["", t("as usual: {value}", { value: t("any way") })],
                  ["free", t("any way")],
                  ["half-turn", t("either way along the grain")],
                  ["fixed", t("one way: a nap or a print")],
                ],
              })}
        </details>
        ${draft.request.pieces.length > 1
          ? html`<button type="button" class="quiet" @click=${() => removePiece(piece.id)}>
              ${t("Remove piece {id}", { id: piece.id })}
            </button>`
          : nothing}
      </div>
    </div>
  </li>`;
}

/** @param {string} id also taken out of the runs that list it */
function removePiece(id) {
  const { pieces, runs } = draft.request;
  pieces.splice(
    pieces.findIndex((/** @type {any} */ each) => each.id === id),
    1,
  );
  for (const run of runs) {
    if (run.pieces) run.pieces = run.pieces.filter((/** @type {any} */ each) => each.id !== id);
    if (run.pieces && !run.pieces.length) delete run.pieces;
  }
  changed(0);
}

function addPiece() {
  const { pieces } = draft.request;
  const used = new Set(pieces.map((/** @type {any} */ each) => each.id));
  const letters = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"];
  const id = letters.find((each) => !used.has(each)) || `P${pieces.length + 1}`;
  pieces.push({ ...structuredClone(pieces.at(-1)), id });
  changed(0);
  choose(pieces.length - 1);
}

/** @param {Form} form */
export function pieceList(form) {
  return html`<ol class="pieces">
      ${draft.request.pieces.map((/** @type {any} */ piece, /** @type {number} */ index) =>
        pieceCard(form, piece, index),
      )}
    </ol>
    <button type="button" id="add-piece" @click=${addPiece}>${t("Add a piece")}</button>`;
}

/** The pieces of a kit: shape from pictures, size, allowance and quantity. @module */
import { html, nothing } from "./lit-html.js";
import { get } from "./api.js";
import { pieceDrawing } from "./draw.js";
import { changed, draft } from "./draft.js";
import { field, partErrors } from "./field.js";
import { image } from "./images.js";
import { plain } from "./names.js";
import { t } from "./text.js";

/** @typedef {import("./field.js").Form} Form */

/** @type {any[]} */
let shapes = [];
/** The piece whose shape is being chosen. */
let choosing = -1;

/** @param {() => void} redraw */
export async function loadShapes(redraw) {
  shapes = (await get("/v1/shapes")).shapes;
  redraw();
}

/** @param {number} index */
function choose(index) {
  choosing = index;
  changed();
  /** @type {HTMLDialogElement} */ (document.getElementById("catalogue")).showModal();
}

/** @param {any} shape */
function take(shape) {
  const piece = draft.request.pieces[choosing];
  const units = draft.request.units;
  const example = { ...shape.example };
  // An example in inches is written for inches; in another unit its text keeps its own unit.
  for (const name of Object.keys(example)) {
    if (units === "in" && typeof example[name] === "string") example[name] = example[name].replace(/ in$/, "");
  }
  piece.shape = example;
  /** @type {HTMLDialogElement} */ (document.getElementById("catalogue")).close();
  changed(0);
}

/** The catalogue of shapes; it stands once in the view. */
export function catalogue() {
  return html`<dialog id="catalogue" aria-labelledby="catalogue-title">
    <header><h2 id="catalogue-title">${t("Choose a shape")}</h2>
      <button type="button" @click=${(/** @type {any} */ event) => event.target.closest("dialog").close()}>${t("Close")}</button></header>
    <div class="shapes">${choosing < 0 ? nothing : shapes.map((shape) => html`
      <button type="button" data-kind=${shape.kind} @click=${() => take(shape)}>${image(shape.picture, "")}<span>${shape.title}</span></button>`)}
    </div></dialog>`;
}

/** @param {any} piece @param {any} shape @param {string[]} names */
function sizeBy(piece, shape, names) {
  const known = draft.outlines?.pieces.find((/** @type {any} */ each) => each.id === piece.id);
  for (const option of shape.size_options.flat()) if (!names.includes(option)) delete piece.shape[option];
  for (const name of names) {
    if (piece.shape[name] === undefined) piece.shape[name] = known && names.length === 1 ? sizeLike(piece, name) : "1";
  }
  changed(0);
}

/** @param {any} piece @param {string} name the new size starts from the example where it has one */
function sizeLike(piece, name) {
  const shape = shapes.find((each) => each.kind === piece.shape.kind);
  return shape?.example[name] ?? (draft.request.units === "in" ? "2" : "50");
}

/** @param {Form} form @param {any} piece @param {number} index */
function sizes(form, piece, index) {
  const at = `#/pieces/${index}`;
  const shape = shapes.find((each) => each.kind === piece.shape?.kind);
  if (!shape) return piece.shape?.kind === "custom" ? html`<p>${t("A drawn shape, at the size of its drawing.")}</p>` : nothing;
  const chosen = shape.size_options.find((/** @type {string[]} */ option) => option.every((name) => piece.shape[name] !== undefined)) || shape.size_options[0];
  const names = [...chosen, ...shape.required];
  const told = (/** @type {string} */ name) => shape.parameters.find((/** @type {any} */ each) => each.name === name) || {};
  return html`
    ${shape.size_options.length > 1 ? html`<div class="field"><label for="by-${index}">${t("Size given by")}</label>
      <select id="by-${index}" @change=${(/** @type {any} */ event) => sizeBy(piece, shape, shape.size_options[event.target.selectedIndex])}>
        ${shape.size_options.map((/** @type {string[]} */ option) => html`<option ?selected=${option === chosen}>${option.map(plain).join(", ")}</option>`)}
      </select></div>` : nothing}
    ${names.map((name) => {
      const parameter = told(name);
      if (parameter.choices) return field(form, { pointer: `${at}/shape/${name}`, label: plain(name), options: parameter.choices.map((/** @type {string} */ each) => [each, plain(each)]) });
      const kind = parameter.type === "length" ? "text" : parameter.type === "count" || parameter.type === "integer" ? "whole" : "number";
      return field(form, { pointer: `${at}/shape/${name}`, label: plain(name), hint: parameter.description, kind });
    })}`;
}

/** @param {Form} form @param {any} piece @param {number} index */
function pieceCard(form, piece, index) {
  const at = `#/pieces/${index}`;
  const drawn = draft.outlines?.pieces.find((/** @type {any} */ each) => each.id === piece.id);
  const shape = shapes.find((each) => each.kind === piece.shape?.kind);
  return html`<li class="piece">
    <h3>${t("Piece {id}", { id: piece.id })} <small>${shape?.title || t("drawn shape")}</small></h3>
    <div class="columns">
      <div>${drawn ? pieceDrawing(drawn, draft.request.units || "mm") : html`<div class="waiting"></div>`}</div>
      <div class="fields">
        <button type="button" class="wide" @click=${() => choose(index)}>${t("Choose another shape")}</button>
        ${partErrors(form, `${at}/shape`)}${partErrors(form, at)}
        ${sizes(form, piece, index)}
        ${field(form, { pointer: `${at}/seam_allowance`, label: t("Seam allowance") })}
        ${field(form, { pointer: `${at}/quantity`, label: t("Quantity"), kind: "whole", hint: t("A number, or “max” for as many as fit.") })}
        <details><summary>${t("Corners and grain")}</summary>
          ${field(form, { pointer: `${at}/corners/kind`, label: t("Corners"), options: [["", t("as usual")], ["mitre", t("pointed")], ["blunt", t("cut off")], ["round", t("rounded")]] })}
          ${Array.isArray(piece.grain) ? nothing : field(form, { pointer: `${at}/grain`, label: t("Grain"), options: [["", t("as usual")], ["free", t("any way")], ["half-turn", t("either way along the grain")], ["fixed", t("one way: a nap or a print")]] })}
        </details>
        ${draft.request.pieces.length > 1 ? html`<button type="button" class="quiet" @click=${() => removePiece(piece.id)}>${t("Remove piece {id}", { id: piece.id })}</button>` : nothing}
      </div>
    </div></li>`;
}

/** @param {string} id also taken out of the runs that list it */
function removePiece(id) {
  const { pieces, runs } = draft.request;
  pieces.splice(pieces.findIndex((/** @type {any} */ each) => each.id === id), 1);
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
  choose(pieces.length - 1);
  changed(0);
}

/** @param {Form} form */
export function pieceList(form) {
  return html`<ol class="pieces">${draft.request.pieces.map((/** @type {any} */ piece, /** @type {number} */ index) => pieceCard(form, piece, index))}</ol>
    <button type="button" id="add-piece" @click=${addPiece}>${t("Add a piece")}</button>`;
}

/** The catalogue of shapes: chosen from pictures, with the sizes that each is given by. @module */
import { html, nothing } from "./lit-html.js";
import { get, post } from "./api.js";
import { shapeDrawing } from "./draw.js";
import { field } from "./field.js";
import { keepSizes } from "./keep_sizes.js";
import { plain } from "./names.js";
import { t } from "./text.js";

/**
 * @typedef {import("./field.js").Form} Form
 * @typedef {(shape: any, lost: string) => void} Take ``lost`` says which sizes could not be kept
 */

/** @type {any[]} */
let shapes = [];
/**
 * What is done with the shape that is chosen; none while the catalogue is shut.
 * @type {{units: string, take: Take, before: any} | null}
 */
let open = null;
/** @type {() => void} */
let redraw = () => {};

/** @param {() => void} drawn */
export async function loadShapes(drawn) {
  shapes = (await get("/v1/shapes")).shapes;
  drawn();
}

/** Outlines of the examples, by kind: asked for when the catalogue is opened. @type {Map<string, any>} */
const outlines = new Map();

/** @param {string} kind */
const drawingOf = (kind) =>
  outlines.has(kind) ? shapeDrawing(outlines.get(kind)) : html`<span class="waiting"></span>`;

async function drawExamples() {
  if (outlines.size) return;
  const pieces = shapes.map(({ kind, example }) => ({ id: kind, shape: example, seam_allowance: 0 }));
  const answer = await post("/v1/outlines", { units: "in", pieces });
  for (const each of answer.pieces) outlines.set(each.id, each.template);
  redraw();
}

/** @param {any} shape of a request */
export const shapeOf = (shape) => shapes.find((each) => each.kind === shape?.kind);

/** All shapes to choose from in a list. @returns {[string, string][]} */
export const chosenShapes = () => shapes.map((each) => [each.kind, each.title]);

/**
 * Open the catalogue.
 * @param {string} units
 * @param {Take} take called with the shape as a request states it
 * @param {any} [before] the shape that it replaces; sizes that both have are kept
 */
export function chooseShape(units, take, before) {
  open = { units, take, before };
  drawExamples();
  redraw();
  /** @type {HTMLDialogElement} */ (document.getElementById("catalogue")).showModal();
}

/** The catalogue's example as it is written in a request. @param {any} shape @param {string} units */
function exampleOf(shape, units) {
  const example = { ...shape.example };
  // An example in inches is written for inches; in another unit its text keeps its own unit.
  for (const name of Object.keys(example)) {
    if (units === "in" && typeof example[name] === "string") example[name] = example[name].replace(/ in$/, "");
  }
  return example;
}

/** @param {any} shape */
function takeShape(shape) {
  /** @type {HTMLDialogElement} */ (document.getElementById("catalogue")).close();
  if (!open) return;
  const fresh = exampleOf(shape, open.units);
  open.take(fresh, keepSizes(open.before, fresh, shape));
}

/** The catalogue; it stands once in a view. @param {() => void} drawn */
export function catalogue(drawn) {
  redraw = drawn;
  return html`<dialog id="catalogue" aria-labelledby="catalogue-title">
    <header>
      <h2 id="catalogue-title">${t("Choose a shape")}</h2>
      <button type="button" @click=${(/** @type {any} */ event) => event.target.closest("dialog").close()}>
        ${t("Close")}
      </button>
    </header>
    <div class="shapes">
      ${open
        ? shapes.map(
            (shape) =>
              html` <button type="button" data-kind=${shape.kind} @click=${() => takeShape(shape)}>
                ${drawingOf(shape.kind)}<span>${shape.title}</span>
              </button>`,
          )
        : nothing}
    </div>
  </dialog>`;
}

/**
 * Give a shape by other sizes: each starts from the example's where it has one.
 * @param {any} stated
 * @param {any} shape
 * @param {string[]} names
 * @param {string} units
 */
function sizeBy(stated, shape, names, units) {
  const example = exampleOf(shape, units);
  for (const option of shape.size_options.flat()) if (!names.includes(option)) delete stated[option];
  for (const name of names) stated[name] ??= example[name] ?? (units === "in" ? "2" : "50");
}

/** @param {Form} form @param {string} at @param {any} parameter @param {string} name */
function sizeField(form, at, parameter, name) {
  const pointer = `${at}/${name}`,
    label = plain(name);
  if (parameter.choices)
    return field(form, {
      pointer,
      label,
      options: parameter.choices.map((/** @type {string} */ each) => [each, plain(each)]),
    });
  const kind =
    parameter.type === "length" ? "text" : ["count", "integer"].includes(parameter.type) ? "whole" : "number";
  return field(form, { pointer, label, hint: parameter.description, kind });
}

/**
 * The fields of a shape's sizes.
 * @param {Form} form @param {any} stated the shape in the request @param {string} at its pointer @param {string} units
 */
export function sizeFields(form, stated, at, units) {
  const shape = shapeOf(stated);
  if (!shape)
    return stated?.kind === "custom" ? html`<p>${t("A drawn shape, at the size of its drawing.")}</p>` : nothing;
  const chosen =
    shape.size_options.find((/** @type {string[]} */ option) => option.every((name) => stated[name] !== undefined)) ||
    shape.size_options[0];
  const id = `${form.name}-by-${at.replace(/\D+/g, "")}`;
  const change = (/** @type {any} */ event) => {
    sizeBy(stated, shape, shape.size_options[event.target.selectedIndex], units);
    form.changed();
  };
  return html`${shape.size_options.length > 1
    ? html`<div class="field">
        <label for=${id}>${t("Size given by")}</label
        ><select id=${id} @change=${change}>
          ${shape.size_options.map(
            (/** @type {string[]} */ option) =>
              html`<option ?selected=${option === chosen}>${option.map(plain).join(", ")}</option>`,
          )}
        </select>
      </div>`
    : nothing}
  ${[...chosen, ...shape.required].map((/** @type {string} */ name) =>
    sizeField(form, at, shape.parameters.find((/** @type {any} */ each) => each.name === name) || {}, name),
  )}`;
}

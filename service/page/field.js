/** Form fields bound to places in a request by JSON pointer, with the service's errors beside them. @module */
import { convert, convertible } from "./convert.js";
import { readCorners, showCorners } from "./corners.js";
import { html, nothing } from "./lit-html.js";
import { t } from "./text.js";

/**
 * @typedef {{
 *   name: string, data: any, errors: {pointer: string, detail: string}[], changed: () => void,
 * }} Form
 * @typedef {{pointer: string, label: string, hint?: string, type?: string, kind?: "text" | "whole" | "number" |
 * "corners" | "flag",
 *   options?: [string, string][], placeholder?: string, converts?: string}} Field
 * ``converts`` points to what is converted when a field of units changes.
 */

/** The input in which somebody types, and what stands in it. */
let typing = { id: "", text: "" };

/** @param {string} pointer */
const steps = (pointer) =>
  pointer
    .replace(/^#?\/?/, "")
    .split("/")
    .filter(Boolean);

/** @param {any} data @param {string} pointer */
export function valueAt(data, pointer) {
  return steps(pointer).reduce((found, step) => found?.[step], data);
}

/**
 * Set a value; an empty text or undefined removes it.
 * @param {any} data
 * @param {string} pointer
 * @param {unknown} value
 */
export function setAt(data, pointer, value) {
  const path = steps(pointer),
    last = /** @type {string} */ (path.pop());
  let place = data;
  for (const step of path) place = place[step] ??= {};
  if (value === "" || value === undefined) delete place[last];
  else place[last] = value;
}

/** @param {Form} form @param {string} pointer @param {boolean} [only] not what lies below it */
export function errorsAt(form, pointer, only = false) {
  return form.errors.filter((each) => each.pointer === pointer || (!only && each.pointer.startsWith(`${pointer}/`)));
}

/** @param {Form} form @param {string} pointer */
export function idOf(form, pointer) {
  return `${form.name}${pointer.replace("#", "").replaceAll("/", "-")}`;
}

/** @param {Form} form @param {Field} stated @param {string} text */
function typed(form, stated, text) {
  let value = /** @type {unknown} */ (text);
  if (stated.kind === "whole" && /^\d+$/.test(text.trim())) value = Number(text);
  if (stated.kind === "number" && text.trim() !== "" && !Number.isNaN(Number(text))) value = Number(text);
  if (stated.kind === "flag" && text) value = text === "true";
  if (stated.kind === "corners") value = readCorners(text) || text;
  typing = { id: idOf(form, stated.pointer), text };
  const before = String(valueAt(form.data, stated.pointer) ?? "");
  if (stated.converts !== undefined && before && text) convert(valueAt(form.data, stated.converts), before, text);
  setAt(form.data, stated.pointer, value);
  form.changed();
}

/**
 * A calculated number with its first decimals; the request keeps all of them.
 * @param {string} id
 * @param {string} value
 */
const shownAs = (id, value) =>
  !(typing.id === id && typing.text === value) && /^\d*\.\d{5,}$/.test(value)
    ? String(Number(Number(value).toFixed(4)))
    : value;

/** @param {Form} form @param {Field} stated */
export function field(form, stated) {
  const stored = valueAt(form.data, stated.pointer),
    id = idOf(form, stated.pointer);
  const isCorners = stated.kind === "corners" && Array.isArray(stored),
    isText = !stored || typeof stored !== "object" || isCorners;
  // An allowance by edge, as a drawing has it, is kept as it is.
  const value = isCorners
    ? typing.id === id
      ? typing.text
      : showCorners(stored)
    : isText
      ? String(stored ?? "")
      : t("differs by edge");
  const errors = errorsAt(form, stated.pointer);
  const described = [errors.length ? `${id}-error` : "", stated.hint ? `${id}-hint` : ""].filter(Boolean).join(" ");
  const write = (/** @type {any} */ event) => typed(form, stated, event.target.value);
  const shared = { id, invalid: errors.length ? "true" : nothing, described: described || nothing };
  return html`<div class=${stated.kind === "corners" ? "field wide" : "field"}>
    <label for=${id}>${stated.label}</label>
    ${stated.options
      ? html`<select
          id=${id}
          ?disabled=${stated.converts !== undefined && !convertible(valueAt(form.data, stated.converts))}
          aria-invalid=${shared.invalid}
          aria-describedby=${shared.described}
          @change=${write}
        >
          ${stated.options.map(
            ([name, label]) => html`<option value=${name} ?selected=${name === value}>${label}</option>`,
          )}
        </select>`
      : html`<input
          id=${id}
          type=${stated.type || "text"}
          autocomplete="off"
          spellcheck="false"
          .value=${shownAs(id, value)}
          ?readonly=${!isText}
          inputmode=${stated.kind === "whole" ? "numeric" : nothing}
          placeholder=${stated.placeholder || nothing}
          aria-invalid=${shared.invalid}
          aria-describedby=${shared.described}
          @input=${write}
        />`}
    ${stated.hint ? html`<small id="${id}-hint">${stated.hint}</small>` : nothing}
    ${errors.length
      ? html`<p class="error" id="${id}-error">${errors.map((each) => each.detail).join(" ")}</p>`
      : nothing}
  </div>`;
}

/** What the service says about a whole part of the request. @param {Form} form @param {string} pointer */
export function partErrors(form, pointer) {
  const found = errorsAt(form, pointer, true);
  return found.length ? html`<p class="error">${found.map((each) => each.detail).join(" ")}</p>` : nothing;
}

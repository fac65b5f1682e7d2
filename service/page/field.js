/** Form fields bound to places in a request by JSON pointer, with the service's errors beside them. @module */
import { convert, convertible } from "./convert.js";
import { html, nothing } from "./lit-html.js";
import { t } from "./text.js";

/**
 * @typedef {{
 *   name: string, data: any, errors: {pointer: string, detail: string}[], changed: () => void,
 * }} Form
 * @typedef {{pointer: string, label: string, hint?: string, type?: string, kind?: "text" | "whole" | "number",
 *   options?: [string, string][], placeholder?: string, converts?: string}} Field
 * ``converts`` points to what is converted when a field of units changes.
 */

/** The input in which somebody types, and what stands in it. */
let typing = { id: "", text: "" };

/** @param {string} pointer */
const steps = (pointer) => pointer.replace(/^#?\/?/, "").split("/").filter(Boolean);

/** @param {any} data @param {string} pointer */
export function valueAt(data, pointer) {
  return steps(pointer).reduce((found, step) => found?.[step], data);
}

/** Set a value; an empty text or undefined removes it. @param {any} data @param {string} pointer @param {unknown} value */
export function setAt(data, pointer, value) {
  const path = steps(pointer), last = /** @type {string} */ (path.pop());
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
export function idOf(form, pointer) { return `${form.name}${pointer.replace("#", "").replaceAll("/", "-")}`; }

/** @param {Form} form @param {Field} field @param {string} text */
function typed(form, field, text) {
  let value = /** @type {string | number} */ (text);
  if (field.kind === "whole" && /^\d+$/.test(text.trim())) value = Number(text);
  if (field.kind === "number" && text.trim() !== "" && !Number.isNaN(Number(text))) value = Number(text);
  typing = { id: idOf(form, field.pointer), text };
  const before = String(valueAt(form.data, field.pointer) ?? "");
  if (field.converts !== undefined && before && text) convert(valueAt(form.data, field.converts), before, text);
  setAt(form.data, field.pointer, value);
  form.changed();
}

/** A calculated number with its first decimals; the request keeps all of them. @param {string} id @param {string} value */
const shownAs = (id, value) => !(typing.id === id && typing.text === value) && /^\d*\.\d{5,}$/.test(value) ? String(Number(Number(value).toFixed(4))) : value;

/** @param {Form} form @param {Field} field */
export function field(form, field) {
  const stored = valueAt(form.data, field.pointer), isText = !stored || typeof stored !== "object";
  // An allowance by edge, as a drawing has it, is kept as it is.
  const id = idOf(form, field.pointer), value = isText ? String(stored ?? "") : t("differs by edge");
  const errors = errorsAt(form, field.pointer);
  const described = [errors.length ? `${id}-error` : "", field.hint ? `${id}-hint` : ""].filter(Boolean).join(" ");
  const write = (/** @type {any} */ event) => typed(form, field, event.target.value);
  const shared = { id, invalid: errors.length ? "true" : nothing, described: described || nothing };
  return html`<div class="field">
    <label for=${id}>${field.label}</label>
    ${field.options
    ? html`<select id=${id} ?disabled=${field.converts !== undefined && !convertible(valueAt(form.data, field.converts))} aria-invalid=${shared.invalid} aria-describedby=${shared.described} @change=${write}>
        ${field.options.map(([name, label]) => html`<option value=${name} ?selected=${name === value}>${label}</option>`)}
      </select>`
    : html`<input id=${id} type=${field.type || "text"} autocomplete="off" spellcheck="false" .value=${shownAs(id, value)}
        ?readonly=${!isText} inputmode=${field.kind === "whole" ? "numeric" : nothing} placeholder=${field.placeholder || nothing}
        aria-invalid=${shared.invalid} aria-describedby=${shared.described} @input=${write}>`}
    ${field.hint ? html`<small id="${id}-hint">${field.hint}</small>` : nothing}
    ${errors.length ? html`<p class="error" id="${id}-error">${errors.map((each) => each.detail).join(" ")}</p>` : nothing}
  </div>`;
}

/** What the service says about a whole part of the request. @param {Form} form @param {string} pointer */
export function partErrors(form, pointer) {
  const found = errorsAt(form, pointer, true);
  return found.length ? html`<p class="error">${found.map((each) => each.detail).join(" ")}</p>` : nothing;
}

/** Cutters: chosen from pictures of their beds, or described and saved. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, call, get } from "./api.js";
import { bedDrawing } from "./draw.js";
import { field } from "./field.js";
import { plain, toolName } from "./names.js";
import { t } from "./text.js";

/** @type {any[]} */
export let cutters = [];
/** @type {() => void} */
let redraw = () => {};

/** @param {() => void} drawn */
export async function loadCutters(drawn) {
  redraw = drawn;
  cutters = (await get("/v1/cutters")).cutters;
  redraw();
}

/** @param {unknown} chosen the name of a cutter, or one that is described in the request */
export function isOnRoll(chosen) {
  const cutter = typeof chosen === "object" ? chosen : cutters.find((each) => each.name === chosen)?.cutter;
  return /** @type {any} */ (cutter)?.bed?.shape === "roll";
}

/**
 * Pictures of all cutters, one of which is chosen.
 * @param {string} name of the group
 * @param {unknown} chosen
 * @param {(name: string) => void} choose
 */
export function cutterPictures(name, chosen, choose) {
  return html`<fieldset class="cutters"><legend>${t("Cutter")}</legend>
    ${typeof chosen === "object" ? html`<p>${t("A cutter described in the request.")}</p>` : nothing}
    ${cutters.map((each) => html`<label class="cutter">
      <input type="radio" name=${name} value=${each.name} .checked=${each.name === chosen} @change=${() => choose(each.name)}>
      ${bedDrawing(each.cutter, each.cutter.units || "mm")}<span>${each.cutter.title || each.name}</span></label>`)}
    <button type="button" class="quiet" @click=${() => describe(choose)}>${t("Describe another cutter")}</button>
  </fieldset>`;
}

const fresh = () => ({ name: "", cutter: { title: "", units: "mm", tool: { kind: "drag_blade", offset: "0.25" }, bed: { width: "300", height: "300" }, margins: { left: "10", right: "10", top: "10", bottom: "10" } } });
/** @type {import("./field.js").Form & {choose: (name: string) => void, failure: string}} */
const form = { name: "cutter", data: fresh(), errors: [], changed: () => redraw(), choose: () => {}, failure: "" };

/** @param {(name: string) => void} choose */
function describe(choose) {
  Object.assign(form, { choose, data: fresh(), errors: [], failure: "" });
  redraw();
  /** @type {HTMLDialogElement} */ (document.getElementById("describe")).showModal();
}

async function save() {
  const { name, cutter } = form.data;
  const { units, ...rest } = cutter;
  const sized = JSON.parse(JSON.stringify(rest), (key, value) =>
    typeof value === "string" && /^(width|height|left|right|top|bottom|offset|kerf|rule|blade_width|step)$/.test(key) && /[\d½¼¾]$/.test(value) ? `${value} ${units}` : value);
  if (!sized.title) delete sized.title;
  try {
    await call("PUT", `/v1/cutters/${encodeURIComponent(name || " ")}`, { body: sized, headers: { "If-None-Match": "*" } });
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    form.errors = error.errors.map((each) => ({ ...each, pointer: each.pointer.replace("#", "#/cutter") }));
    form.failure = error.status === 412 ? t("A cutter of this name is saved already.") : error.message;
    redraw();
    return;
  }
  /** @type {HTMLDialogElement} */ (document.getElementById("describe")).close();
  await loadCutters(redraw);
  form.choose(name);
}

const toolFields = () => ({
  drag_blade: [["offset", t("Blade's offset")]], laser: [["kerf", t("Width of the slot (kerf)")]],
  steel_rule_die: [["rule", t("Thickness of the rule")]], pen: [],
  indexed_blade: [["blade_width", t("Width of the blade")], ["step", t("Step between stabs")]],
});

/** @param {any} event */
function toolChanged(event) {
  const defaults = { drag_blade: { offset: "0.25" }, laser: { kerf: "0.2" }, steel_rule_die: { rule: "0.71" }, pen: {}, indexed_blade: { positions_deg: [0, 45, 90, 135], blade_width: "0.8", step: "0.3" } };
  const kind = event.target.value;
  form.data.cutter.tool = { .../** @type {any} */ (defaults)[kind] || example(kind), kind };
  redraw();
}

/** The tool of the first cutter that has one of this kind. @param {string} kind */
const example = (kind) => cutters.find((each) => each.cutter.tool.kind === kind)?.cutter.tool;

/** @param {any} tool @returns {[string, string][]} the members that are asked for, and their labels */
const extraFields = (tool) => /** @type {any} */ (toolFields())[tool.kind]
  || Object.keys(tool).filter((name) => name !== "kind" && typeof tool[name] === "string").map((name) => [name, plain(name)]);

/** The dialog; it stands once in the view. */
export function describeDialog() {
  const tool = form.data.cutter.tool;
  const kinds = [...new Set(["drag_blade", ...cutters.map((each) => each.cutter.tool.kind)])];
  return html`<dialog id="describe" aria-labelledby="describe-title">
    <header><h2 id="describe-title">${t("Describe a cutter")}</h2>
      <button type="button" @click=${(/** @type {any} */ event) => event.target.closest("dialog").close()}>${t("Close")}</button></header>
    <div class="columns"><div class="bed-large">${bedDrawing(form.data.cutter, form.data.cutter.units)}
      <p>${t("The dashed line is the area that can be cut: the bed less its margins.")}</p></div>
    <div class="fields">
      ${form.failure ? html`<p class="error" role="alert">${form.failure}</p>` : nothing}
      ${field(form, { pointer: "#/name", label: t("Short name"), hint: t("Small letters, digits and hyphens, such as big-table.") })}
      ${field(form, { pointer: "#/cutter/title", label: t("What you call it") })}
      ${field(form, { pointer: "#/cutter/units", label: t("Lengths here are in"), options: [["mm", t("millimetres")], ["in", t("inches")]], converts: "#/cutter" })}
      <div class="field"><label for="tool-kind">${t("Tool")}</label><select id="tool-kind" @change=${toolChanged}>
        ${kinds.map((kind) => html`<option value=${kind} ?selected=${kind === tool.kind}>${toolName(kind)}</option>`)}</select></div>
      ${extraFields(tool).map(([name, label]) => field(form, { pointer: `#/cutter/tool/${name}`, label }))}
      ${field(form, { pointer: "#/cutter/bed/width", label: t("Bed's width") })}${field(form, { pointer: "#/cutter/bed/height", label: t("Bed's height") })}
      ${field(form, { pointer: "#/cutter/margins/left", label: t("Left margin") })}${field(form, { pointer: "#/cutter/margins/right", label: t("Right margin") })}
      ${field(form, { pointer: "#/cutter/margins/top", label: t("Top margin") })}${field(form, { pointer: "#/cutter/margins/bottom", label: t("Bottom margin") })}
      <p class="hint">${t("The machine's own manual states its margins and its tool.")}</p>
      <button type="button" class="main" @click=${save}>${t("Save this cutter")}</button>
    </div></div></dialog>`;
}

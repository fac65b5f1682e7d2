/** The dialog in which a cutter is described, drawn, saved, changed and deleted. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, call, curl } from "./api.js";
import { bedDrawing } from "./beds.js";
import { cutters, loadCutters } from "./saved_cutters.js";
import { bedFields, marginFields } from "./cutter_bed.js";
import { field } from "./field.js";
import { plain, toolName } from "./names.js";
import { t } from "./text.js";

const fresh = () => ({
  name: "",
  cutter: {
    title: "",
    units: "mm",
    tool: { kind: "drag_blade", offset: "0.25" },
    bed: { shape: "rectangle", width: "300", height: "300" },
    margins: { left: "10", right: "10", top: "10", bottom: "10" },
  },
});

/** What each tool starts with. @type {Record<string, any>} */
const TOOLS = {
  drag_blade: { offset: "0.25 mm" },
  laser: { kerf: "0.2 mm" },
  steel_rule_die: { rule: "0.71 mm" },
  pen: {},
  indexed_blade: { positions_deg: [0, 45, 90, 135], blade_width: "0.8 mm", step: "0.3 mm" },
};

/** @type {() => void} */
let redraw = () => {};
/** ``saved`` is the name of the cutter that is changed, ``tag`` its version. */
const form = {
  name: "cutter",
  data: /** @type {any} */ (fresh()),
  errors: /** @type {{pointer: string, detail: string}[]} */ ([]),
  changed: () => redraw(),
  choose: /** @type {(name: string) => void} */ (() => {}),
  failure: "",
  saved: "",
  tag: "",
};

const dialog = () => /** @type {HTMLDialogElement} */ (document.getElementById("describe"));

/** @param {any} data @param {(name: string) => void} choose */
function open(data, choose) {
  Object.assign(form, { choose, data, errors: [], failure: "", saved: "", tag: "" });
  redraw();
  dialog().showModal();
}

/**
 * Describe a cutter, from nothing or from one in a request.
 * @param {(name: string) => void} choose called with its name
 * @param {any} [cutter]
 */
export function describe(choose, cutter) {
  open(cutter ? { name: "", cutter: { units: "mm", ...structuredClone(cutter) } } : fresh(), choose);
}

/** Change a saved cutter. @param {any} entry @param {(name: string) => void} choose */
export async function change(entry, choose) {
  const answer = await call("GET", entry.href),
    { cutter } = await answer.json();
  open({ name: entry.name, cutter: { units: "mm", ...cutter } }, choose);
  Object.assign(form, { saved: entry.name, tag: answer.headers.get("ETag") || "" });
  redraw();
}

/** The description as it is saved: a polygon is as large as its corners reach. */
function described() {
  const { cutter } = form.data,
    sized = structuredClone(cutter),
    { bed } = sized;
  if (bed?.shape === "polygon" && Array.isArray(bed.points)) {
    [bed.width, bed.height] = [0, 1].map((axis) =>
      Math.max(...bed.points.map((/** @type {number[]} */ each) => each[axis])),
    );
  }
  if (bed?.keep_out) bed.keep_out = bed.keep_out.filter((/** @type {unknown} */ each) => each !== "");
  if (bed?.keep_out && !bed.keep_out.length) delete bed.keep_out;
  if (!sized.title) delete sized.title;
  return sized;
}

/**
 * Nobody's work is overwritten: neither another cutter of this name nor what somebody else has changed.
 * @returns {Record<string, string>}
 */
const condition = () => (form.saved ? { "If-Match": form.tag } : { "If-None-Match": "*" });

const path = () => `/v1/cutters/${encodeURIComponent(form.data.name || "name")}`;

/**
 * Do what changes the saved cutters, and say what hinders it.
 * @param {() => Promise<unknown>} act
 * @returns {Promise<boolean>}
 */
async function attempt(act) {
  try {
    await act();
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    form.errors = error.errors.map((each) => ({ ...each, pointer: each.pointer.replace("#", "#/cutter") }));
    form.failure =
      error.status !== 412
        ? error.message
        : form.saved
          ? t("Somebody else has changed this cutter. Close this and open it again.")
          : t("A cutter of this name is saved already.");
    redraw();
    return false;
  }
  dialog().close();
  await loadCutters(redraw);
  return true;
}

async function save() {
  const { name } = form.data;
  if (!/^[a-z0-9][a-z0-9-]{0,63}$/.test(name)) {
    Object.assign(form, {
      failure: "",
      errors: [{ pointer: "#/name", detail: t("Small letters, digits and hyphens, such as big-table.") }],
    });
    redraw();
    document.getElementById("cutter-name")?.focus();
    return;
  }
  if (await attempt(() => call("PUT", path(), { body: described(), headers: condition() }))) form.choose(name);
}

async function remove() {
  if (await attempt(() => call("DELETE", path(), { headers: condition() }))) form.choose("drag-blade-sheet");
}

/** @returns {Record<string, string[][]>} */
const toolFields = () => ({
  drag_blade: [["offset", t("Blade's offset")]],
  laser: [["kerf", t("Width of the slot (kerf)")]],
  steel_rule_die: [["rule", t("Thickness of the rule")]],
  pen: [],
  indexed_blade: [
    ["blade_width", t("Width of the blade")],
    ["step", t("Step between stabs")],
  ],
});

/** @param {any} event */
function toolChanged(event) {
  const kind = event.target.value;
  form.data.cutter.tool = { ...(TOOLS[kind] || example(kind)), kind };
  redraw();
}

/** The tool of the first cutter that has one of this kind. @param {string} kind */
const example = (kind) => cutters.find((each) => each.cutter.tool.kind === kind)?.cutter.tool;

/** @param {any} tool the members that are asked for, and their labels */
const extraFields = (tool) =>
  toolFields()[tool.kind] ||
  Object.keys(tool)
    .filter((name) => name !== "kind" && typeof tool[name] === "string")
    .map((name) => [name, plain(name)]);

/** @param {any} event */
const close = (event) => event.target.closest("dialog").close();

/** The dialog; it stands once in the view. @param {() => void} drawn */
export function describeDialog(drawn) {
  redraw = drawn;
  const { cutter } = form.data,
    { tool } = cutter;
  const kinds = cutter.paper
    ? [tool.kind]
    : [...new Set([tool.kind, "drag_blade", ...cutters.map((each) => each.cutter.tool.kind)])];
  return html`<dialog id="describe" aria-labelledby="describe-title">
    <header>
      <h2 id="describe-title">${form.saved ? t("Change a cutter") : t("Describe a cutter")}</h2>
      <button type="button" @click=${close}>${t("Close")}</button>
    </header>
    <div class="columns">
      <div class="bed-large">
        ${bedDrawing(cutter, cutter.units)}
        <p>${t("The light area is what can be cut: the bed less its margins.")}</p>
      </div>
      <div class="fields">
        ${form.failure ? html`<p class="error" role="alert">${form.failure}</p>` : nothing}
        ${form.saved
          ? nothing
          : field(form, {
              pointer: "#/name",
              label: t("Short name"),
              hint: t("Small letters, digits and hyphens, such as big-table."),
            })}
        ${field(form, { pointer: "#/cutter/title", label: t("What you call it") })}
        ${field(form, {
          pointer: "#/cutter/units",
          label: t("Lengths here are in"),
          options: [
            ["mm", t("millimetres")],
            ["in", t("inches")],
            ["cm", t("centimetres")],
          ],
          converts: "#/cutter",
        })}
        <div class="field">
          <label for="tool-kind">${t("Tool")}</label
          ><select id="tool-kind" @change=${toolChanged}>
            ${kinds.map(
              (kind) => html`<option value=${kind} ?selected=${kind === tool.kind}>${toolName(kind)}</option>`,
            )}
          </select>
        </div>
        ${extraFields(tool).map(([name, label]) => field(form, { pointer: `#/cutter/tool/${name}`, label }))}
        ${bedFields(form)}${marginFields(form)}
        <p class="hint">${t("The machine's own manual states its margins and its tool.")}</p>
        <div class="row">
          <button type="button" class="main" id="save-cutter" @click=${save}>${t("Save this cutter")}</button>
          ${form.saved
            ? html`<button type="button" id="delete-cutter" @click=${remove}>${t("Delete this cutter")}</button>`
            : nothing}
        </div>
        <details>
          <summary>${t("For programmers: the same as a command")}</summary>
          <pre tabindex="0"><code>${curl("PUT", path(), described(), { headers: condition() })}</code></pre>
          ${form.saved
            ? html`<pre tabindex="0"><code>${curl("DELETE", path(), undefined, { headers: condition() })}</code></pre>`
            : nothing}
        </details>
      </div>
    </div>
  </dialog>`;
}

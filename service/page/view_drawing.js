/** A drawing dropped on the page: a block taken apart into pieces, or single shapes; then its kit. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, call } from "./api.js";
import { startFrom } from "./draft.js";
import { field } from "./field.js";
import { svgImage } from "./images.js";
import { outlinePath } from "./draw.js";
import { show } from "./lengths.js";
import { plain } from "./names.js";
import { settings } from "./settings.js";
import { t, tn } from "./text.js";

/** @type {File | null} */
let file = null;
/** @type {any} */
let block = null;
/** @type {any} */
let inspection = null;
/** @type {Problem | null} */
let problem = null;
let over = false, busy = false;
/** @type {() => void} */
let redraw = () => {};
/** @type {import("./field.js").Form} */
const form = { name: "drawing", errors: [], data: { as: "block", finished_width: "", blocks: "1", units: "" }, changed: () => redraw() };

/** @param {() => void} drawn */
export function enter(drawn) { redraw = drawn; redraw(); }

async function send() {
  if (!file) return;
  const body = new FormData();
  body.set("file", file);
  const names = form.data.as === "block" ? ["finished_width", "blocks", "units"] : ["units"];
  for (const name of names) if (form.data[name]) body.set(name, form.data[name]);
  Object.assign(form, { errors: [] });
  [block, inspection, problem, busy] = [null, null, null, true];
  redraw();
  try {
    const answer = await (await call("POST", form.data.as === "block" ? "/v1/blocks" : "/v1/inspections", { form: body })).json();
    if (form.data.as === "block") block = answer; else inspection = answer;
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    problem = error;
    form.errors = error.errors;
  }
  busy = false;
  redraw();
}

/** @param {File | undefined} chosen */
function take(chosen) {
  over = false;
  file = chosen || null;
  send();
}

/** @param {any} request */
function makeKit(request) {
  startFrom(request);
  location.hash = "#/shape";
}

/** A kit of one drawn shape. @param {any} outline */
function shapeKit(outline) {
  const inches = settings.units === "in";
  makeKit({ title: file?.name.replace(/\.\w+$/, "") || "", units: "mm",
    pieces: [{ id: "A", shape: { kind: "custom", points: outline.points }, quantity: 1, seam_allowance: inches ? 6.35 : 6 }],
    runs: [{ cut: "template", cutter: "drag-blade-sheet", formats: ["svg"], material: { name: "card", kind: "card" } }] });
}

function blockView() {
  const inUnits = settings.units;
  return html`<dl class="figures"><div><dt>${t("Finished block")}</dt><dd>${show(block.width_mm, inUnits)} × ${show(block.height_mm, inUnits)}</dd></div>
      <div><dt>${t("Pieces")}</dt><dd id="block-pieces">${block.pieces.length}</dd></div></dl>
    ${svgImage(block.picture, t("The block with its pieces"))}
    ${block.repairs.length ? html`<h3>${tn("{n} repair", "{n} repairs", block.repairs.length)}</h3><ul class="warnings repairs">${block.repairs.map((/** @type {any} */ each) =>
      html`<li>${plain(each.kind.replaceAll("-", " "))}: ${t("{x} from the left, {y} from the lower edge, size {size}", { x: show(each.x_mm, inUnits), y: show(each.y_mm, inUnits), size: show(each.size_mm, "mm") })}</li>`)}</ul>` : html`<p>${t("Nothing had to be repaired.")}</p>`}
    ${block.warnings.length ? html`<ul class="warnings">${block.warnings.map((/** @type {string} */ each) => html`<li>${each}</li>`)}</ul>` : nothing}
    <div class="row"><button type="button" class="main" id="block-kit" @click=${() => makeKit(block.kit)}>${t("Go on to its kit")}</button></div>`;
}

function inspectionView() {
  return html`<ul class="loads">${inspection.outlines.map((/** @type {any} */ each) => {
    const half = Math.max(each.width_mm, each.height_mm) * 0.6;
    const xs = each.points.map((/** @type {number[]} */ point) => point[0]), ys = each.points.map((/** @type {number[]} */ point) => point[1]);
    const cx = (Math.min(...xs) + Math.max(...xs)) / 2, cy = (Math.min(...ys) + Math.max(...ys)) / 2;
    return html`<li class="load"><svg viewBox="${cx - half} ${-cy - half} ${2 * half} ${2 * half}" aria-hidden="true"><path transform="scale(1 -1)" class="template" vector-effect="non-scaling-stroke" d=${outlinePath(each.points)} /></svg>
      <p>${show(each.width_mm, settings.units)} × ${show(each.height_mm, settings.units)}${each.nearest ? html`<br>${t("Nearest shape: {shape}", { shape: plain(each.nearest.kind) })}` : nothing}</p>
      <button type="button" @click=${() => shapeKit(each)}>${t("Make a kit of this shape")}</button></li>`;
  })}</ul>`;
}

export function view() {
  const stop = (/** @type {Event} */ event, /** @type {boolean} */ now) => { event.preventDefault(); if (over !== now) { over = now; redraw(); } };
  return html`<div class="table"><section class="sheet"><h1>${t("A drawing")}</h1>
    <div class="drop ${over ? "over" : ""}" @dragover=${(/** @type {Event} */ event) => stop(event, true)} @dragleave=${(/** @type {Event} */ event) => stop(event, false)}
      @drop=${(/** @type {DragEvent} */ event) => { event.preventDefault(); take(event.dataTransfer?.files[0]); }}>
      <label for="drawing-file"><strong>${t("Drop a drawing here, or choose a file")}</strong><br>${t("SVG, DXF or HP-GL")}</label>
      <input id="drawing-file" type="file" accept=".svg,.dxf,.plt,.hpgl,.nc,.gcode,.json" @change=${(/** @type {any} */ event) => take(event.target.files[0])}></div>
    <div class="fields grid">
      ${field(form, { pointer: "#/as", label: t("It is"), options: [["block", t("a block, to be taken apart")], ["shapes", t("single closed shapes")]] })}
      ${form.data.as === "block" ? html`${field(form, { pointer: "#/finished_width", label: t("Finished width"), placeholder: "6 in", hint: t("Empty: as it is drawn.") })}
        ${field(form, { pointer: "#/blocks", label: t("How many blocks") })}` : nothing}
      ${field(form, { pointer: "#/units", label: t("Units of the drawing"), options: [["", t("as the file says")], ["mm", "mm"], ["in", "in"], ["cm", "cm"]] })}
    </div>
    <div class="row"><button type="button" id="read" ?disabled=${!file || busy} @click=${send}>${t("Read it again")}</button></div></section>
    <section class="result" aria-label=${t("What was found")} aria-busy=${busy}><h2>${t("What was found")}</h2>
      ${problem ? html`<div class="problem" role="status"><h3>${problem.body.title}</h3>${problem.errors.length ? html`<ul>${problem.errors.map((each) => html`<li>${each.detail}</li>`)}</ul>` : html`<p>${problem.message}</p>`}</div>` : nothing}
      ${busy ? html`<p>${t("Reading …")}</p>` : block ? blockView() : inspection ? inspectionView() : problem ? nothing : html`<p>${t("No drawing yet.")}</p>`}</section></div>`;
}

/** A quilt plan: a tiling and a size; its picture, what to buy, and its kit. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, curl, get, post } from "./api.js";
import { startFrom } from "./draft.js";
import { field } from "./field.js";
import { svgImage } from "./images.js";
import { show, toMm } from "./lengths.js";
import { plain, units } from "./names.js";
import { settings } from "./settings.js";
import { t, tn } from "./text.js";

/** Sizes that differ by less are the same at the bench. */
const TOLERANCE_MM = 0.5;
const inches = settings.units === "in";
/** @type {any[]} */
let tilings = [];
/** @type {any} */
let plan = null;
let failure = "", timer = 0, busy = false;
/** @type {() => void} */
let redraw = () => {};
/** @type {AbortController | undefined} */
let current;
/** @type {import("./field.js").Form} */
const form = { name: "quilt", errors: [], changed: () => { current?.abort(); clearTimeout(timer); busy = true; timer = window.setTimeout(ask, 250); redraw(); },
  data: { title: "", units: inches ? "in" : "cm", tiling: "hexagon", side: inches ? "2" : "5", quilt: inches ? { width: "40", length: "50" } : { width: "100", length: "130" }, seam_allowance: inches ? "1/4" : "0.6", fabric: { width: inches ? "42" : "110" } } };

/** @param {() => void} drawn */
export async function enter(drawn) {
  redraw = drawn;
  ask();
  tilings = (await get("/v1/tilings")).tilings;
  redraw();
}

async function ask() {
  const own = current = new AbortController();
  busy = true;
  try {
    const answer = await post("/v1/quilt-plans", form.data, own.signal);
    if (own === current) { plan = answer; form.errors = []; failure = ""; }
  } catch (error) {
    if (own !== current || !(error instanceof Problem)) return;
    plan = null;
    form.errors = error.errors;
    failure = error.errors.map((each) => each.detail).join(" ") || error.message;
  }
  if (own !== current) return;
  busy = false;
  redraw();
}

/** @param {any} tiling @returns {[string, string][]} */
function edges(tiling) {
  /** @type {Record<string, string>} */
  const words = { whole: t("whole pieces, as they fall"), trimmed: t("cut off straight"), filled: t("filled up with part pieces") };
  return [["", t("as usual")], ...tiling.edges.map((/** @type {string} */ each) => [each, words[each] || plain(each)])];
}

/** @param {any} event */
function chooseTiling(event) {
  const tiling = tilings[event.target.selectedIndex], size = form.data.side ?? form.data.width ?? form.data.length ?? "2";
  for (const name of ["side", "width", "height", "length", "rounds", "path", "diamonds", "edge"]) delete form.data[name];
  form.data.tiling = tiling.name;
  for (const name of Object.keys(tiling.sizes)) form.data[name] = size;
  form.changed();
}

/** A border's strips as they are cut, in the trade's way. @param {any} border @param {number} index */
function borderRows(border, index) {
  const inUnits = form.data.units;
  const size = (/** @type {any} */ each) => `${each.quantity} × ${show(each.cut_width_mm, inUnits)} × ${show(each.cut_length_mm, inUnits)}`;
  const name = `${index + 1}. ${border.colour}`;
  return html`${border.strips.map((/** @type {any} */ each) => html`<tr><td>${name}</td><td>${each.place === "sides" ? t("left and right") : t("top and bottom")}</td><td>${size(each)}</td></tr>`)}
    ${border.joined_from.map((/** @type {any} */ each) => html`<tr><td>${name}</td><td>${t("to be joined for them")}</td><td>${size(each)}</td></tr>`)}`;
}

/** Borders of plain strips are cut by ruler: the kit holds none of them. */
function borders() {
  if (!plan.borders.some((/** @type {any} */ each) => each.strips.length)) return nothing;
  return html`<h3>${t("Borders, cut by hand")}</h3><p id="borders">${t("These strips are cut with a ruler. They are not in the kit.")}</p>
    <table><thead><tr><th>${t("Border")}</th><th>${t("Place")}</th><th>${t("Strips, cut size")}</th></tr></thead><tbody>${plan.borders.map(borderRows)}</tbody></table>`;
}

function makeKit() {
  const byHand = plan.borders.some((/** @type {any} */ each) => each.strips.length);
  startFrom(plan.kit, byHand ? t("The quilt's borders are cut by hand: their strips stand in the plan and are not in this kit.") : "");
  location.hash = "#/shape";
}

/** What brings the quilt to its size, where whole pieces do not: one tap each. */
function sizeCures() {
  const { units: own, quilt, edge, fit } = form.data, { width_mm: width, length_mm: length } = plan.assembled;
  const differs = [[width, quilt.width], [length, quilt.length]].some(([made, asked]) => Math.abs(made - toMm(asked, own)) > TOLERANCE_MM);
  if (!differs) return nothing;
  const set = (/** @type {string} */ name, /** @type {string} */ value) => { form.data[name] = value; form.changed(); };
  const tiling = tilings.find((each) => each.name === form.data.tiling);
  return html`<div class="row">${edge !== "trimmed" && tiling?.edges.includes("trimmed")
    ? html`<button type="button" class="cure" id="trim" @click=${() => set("edge", "trimmed")}>${t("Cut its edge off straight")}</button>` : nothing}
    ${fit !== "borders" ? html`<button type="button" class="cure" id="border" @click=${() => set("fit", "borders")}>${t("Fill it up with borders")}</button>` : nothing}</div>`;
}

function planView() {
  const { assembled, materials } = plan;
  const inUnits = form.data.units;
  return html`<dl class="figures"><div><dt>${t("Finished quilt")}</dt><dd>${show(assembled.width_mm, inUnits)} × ${show(assembled.length_mm, inUnits)}</dd></div>
      <div><dt>${t("Pieces")}</dt><dd id="quilt-pieces">${plan.totals.pieces}</dd></div></dl>
    ${plan.picture ? svgImage(plan.picture, t("The quilt")) : nothing}
    <h3>${t("To buy")}</h3><table><thead><tr><th>${t("Fabric")}</th><th>${t("Length")}</th></tr></thead><tbody>
      ${(materials?.fabrics || []).map((/** @type {any} */ each) => html`<tr><td>${each.fabric}</td><td>${each.buy}</td></tr>`)}</tbody></table>
    ${borders()}
    ${(plan.warnings || []).length ? html`<ul class="warnings">${plan.warnings.map((/** @type {string} */ each) => html`<li>${each}</li>`)}</ul>` : nothing}
    ${sizeCures()}
    ${plan.kit ? html`<div class="row"><button type="button" class="main" id="plan-kit" ?disabled=${busy} @click=${makeKit}>${t("Go on to its kit")}</button></div>` : nothing}`;
}

export const status = () => failure || (plan ? `${tn("{n} piece", "{n} pieces", plan.totals.pieces)}, ${(plan.materials?.fabrics || [])
  .map((/** @type {any} */ each) => `${each.fabric} ${each.buy}`).join(", ")}` : "");

export function view() {
  const tiling = tilings.find((each) => each.name === form.data.tiling);
  return html`<div class="table"><section class="sheet"><h1>${t("A quilt")}</h1><div class="fields grid">
      ${field(form, { pointer: "#/title", label: t("Title") })}${field(form, { pointer: "#/reference", label: t("Your reference"), hint: t("Such as an order's number; it is printed on the sheet and the labels.") })}${field(form, { pointer: "#/units", label: t("Units"), options: units(), converts: "#" })}
      <div class="field"><label for="tiling">${t("Pattern")}</label><select id="tiling" @change=${chooseTiling}>${tilings.map((each) => html`<option ?selected=${each === tiling}>${each.title}</option>`)}</select>
        ${tiling ? html`<small>${tiling.description}</small>` : nothing}</div>
      ${Object.entries(tiling?.sizes || {}).map(([name, hint]) => field(form, { pointer: `#/${name}`, label: plain(name), hint: String(hint) }))}
      ${Object.keys(tiling?.counts || {}).map((name) => field(form, { pointer: `#/${name}`, label: plain(name), kind: "whole" }))}
      ${field(form, { pointer: "#/quilt/width", label: t("Quilt's width") })}${field(form, { pointer: "#/quilt/length", label: t("Quilt's length") })}
      ${field(form, { pointer: "#/seam_allowance", label: t("Seam allowance") })}${field(form, { pointer: "#/fabric/width", label: t("Width of the cloth") })}
      ${(tiling?.edges || []).length > 1 ? field(form, { pointer: "#/edge", label: t("Edge of the quilt"), options: edges(tiling) }) : nothing}
      ${field(form, { pointer: "#/fit", label: t("Where whole pieces do not add up"), options: [["", t("as usual")], ["larger", t("a larger quilt")], ["smaller", t("a smaller quilt")], ["nearest", t("the nearest size")], ["borders", t("fill with borders")]] })}
    </div></section>
    <section class="result" aria-label=${t("The plan")} aria-busy=${busy}><h2>${t("The plan")}</h2>
      <p class="waits">${busy ? t("Calculating …") : nothing}</p>
      ${failure ? html`<p class="problem">${failure}</p>` : nothing}${plan ? planView() : nothing}
      <details><summary>${t("The same as a command")}</summary><pre tabindex="0"><code>${curl("POST", "/v1/quilt-plans", form.data)}</code></pre></details></section></div>`;
}

/** Questions: what fits on a scrap, and how much cloth pieces take. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, curl, post } from "./api.js";
import { cutterPictures, describeDialog, loadCutters } from "./cutters.js";
import { field } from "./field.js";
import { enlarge, image, svgImage } from "./images.js";
import { show } from "./lengths.js";
import { plain, units } from "./names.js";
import { settings } from "./settings.js";
import { t } from "./text.js";
import { details, formErrors, isTooLarge } from "./too_large.js";

const inches = settings.units === "in";
/** @type {() => void} */
let redraw = () => {};

/**
 * A question: its form, and the last answer to it.
 * @param {string} name
 * @param {string} path
 * @param {any} data
 */
function question(name, path, data) {
  let timer = 0;
  /** @type {AbortController | undefined} */
  let current;
  /** @type {import("./field.js").Form & {path: string, answer: any, failure: string, details: string[], ask: () => void}} */
  const asked = { name, path, data, errors: [], answer: null, failure: "", details: [], changed: () => {
    current?.abort();
    clearTimeout(timer);
    timer = window.setTimeout(asked.ask, 250);
    redraw();
  }, ask: async () => {
    const own = current = new AbortController();
    try {
      const answer = await post(path, asked.data, own.signal);
      if (own === current) Object.assign(asked, { answer, errors: [], failure: "" });
    } catch (error) {
      if (own !== current || !(error instanceof Problem)) return;
      Object.assign(asked, { answer: null, errors: formErrors(error.body, error.errors), ...(isTooLarge(error.body) ? { details: details(error.errors), failure: error.body.title } : { details: [], failure: error.errors[0]?.detail || error.message }) });
    }
    redraw();
  } };
  return asked;
}

const scrap = question("scrap", "/v1/layouts", {
  units: inches ? "in" : "mm",
  pieces: [{ id: "A", shape: inches ? { kind: "hexagon", side: "1" } : { kind: "hexagon", side: "25" }, quantity: "max", seam_allowance: inches ? "1/4" : "6" }],
  runs: [{ cut: "patch", cutter: "laser-bed", material: { name: "scrap", kind: "fabric", width: inches ? "12" : "300", height: inches ? "9" : "220" } }],
});
const cloth = question("cloth", "/v1/yardage", {
  units: inches ? "in" : "cm",
  pieces: [{ id: "A", width: inches ? "2 1/2" : "6", length: inches ? "2 1/2" : "6", quantity: 100 }],
  fabric: { name: "cotton", width: inches ? "42" : "110" },
});
const shapes = /** @type {[string, string][]} */ ([["hexagon", "side"], ["square", "side"], ["triangle", "side"], ["diamond_60", "side"], ["half_square_triangle", "side"], ["circle", "diameter"], ["clamshell", "width"]]);

/** @param {() => void} drawn */
export async function enter(drawn) {
  redraw = drawn;
  scrap.ask();
  cloth.ask();
  await loadCutters(drawn);
}

/** @param {any} event */
function chooseShape(event) {
  const [kind, name] = shapes[event.target.selectedIndex];
  const size = Object.values(scrap.data.pieces[0].shape)[1];
  scrap.data.pieces[0].shape = { kind, [name]: size };
  scrap.changed();
}

/** @param {ReturnType<typeof question>} asked whose errors stand at their fields as well */
function failed(asked) {
  return html`<div class="problem" role="status"><p>${asked.failure}</p>
    ${asked.details.length ? html`<details><summary>${t("Details")}</summary>${asked.details.map((each) => html`<p>${each}</p>`)}</details>` : nothing}</div>`;
}

/** What of a scrap cannot be cut because it reaches past the bed or its margins. @param {any} run */
function besideBed(run) {
  const { sheet, work_area: area } = run;
  if (!sheet || !area) return nothing;
  const lost = (/** @type {"width_mm" | "height_mm"} */ side) => sheet[side] - 2 * sheet.edge_clearance_mm - area[side] > 0.05;
  if (!lost("width_mm") && !lost("height_mm")) return nothing;
  const inUnits = scrap.data.units, size = (/** @type {any} */ each) => `${show(each.width_mm, inUnits)} × ${show(each.height_mm, inUnits)}`;
  return html`<p class="warnings" id="beside-bed">${t("The scrap is larger than what this cutter reaches: of {scrap}, {area} can be cut at a time. Pieces are laid on that part only.", { scrap: size(sheet), area: size(area) })}</p>`;
}

function scrapView() {
  const shape = scrap.data.pieces[0].shape, name = Object.keys(shape)[1];
  const run = scrap.answer?.runs[0], load = run?.loads[0];
  return html`<section class="sheet"><h1>${t("What fits on this scrap?")}</h1><div class="fields grid">
      ${field(scrap, { pointer: "#/units", label: t("Units"), options: units(), converts: "#" })}
      ${field(scrap, { pointer: "#/runs/0/material/width", label: t("Scrap's width") })}${field(scrap, { pointer: "#/runs/0/material/height", label: t("Scrap's height") })}
      <div class="field"><label for="scrap-shape">${t("Shape")}</label><select id="scrap-shape" @change=${chooseShape}>${shapes.map(([kind]) => html`<option ?selected=${kind === shape.kind}>${plain(kind)}</option>`)}</select></div>
      ${field(scrap, { pointer: `#/pieces/0/shape/${name}`, label: plain(name) })}${field(scrap, { pointer: "#/pieces/0/seam_allowance", label: t("Seam allowance") })}
    </div>
    ${cutterPictures("scrap-cutter", scrap.data.runs[0].cutter, (chosen) => { scrap.data.runs[0].cutter = chosen; scrap.changed(); })}
    ${scrap.failure ? failed(scrap) : nothing}
    ${run ? besideBed(run) : nothing}
    ${load ? html`<dl class="figures"><div><dt>${t("Patches that fit")}</dt><dd id="scrap-fits">${run.totals.A.made}</dd></div><div><dt>${t("Covered")}</dt><dd>${Math.round(load.utilisation * 100)} %</dd></div></dl>
      <button type="button" class="picture" aria-label=${t("Enlarge the layout")} @click=${() => enlarge(t("What fits on this scrap?"), [["", load.picture]])}>${image(load.picture, t("The layout on the scrap"))}</button>` : nothing}
    <details><summary>${t("The same as a command")}</summary><pre tabindex="0"><code>${curl("POST", scrap.path, scrap.data)}</code></pre></details></section>`;
}

function clothView() {
  const fabrics = cloth.answer?.fabrics || [];
  return html`<section class="sheet"><h1>${t("How much cloth?")}</h1><div class="fields grid">
      ${field(cloth, { pointer: "#/units", label: t("Units"), options: units(), converts: "#" })}${field(cloth, { pointer: "#/fabric/width", label: t("Width of the cloth") })}
      ${field(cloth, { pointer: "#/pieces/0/width", label: t("Piece's width, cut size") })}${field(cloth, { pointer: "#/pieces/0/length", label: t("Piece's length, cut size") })}
      ${field(cloth, { pointer: "#/pieces/0/quantity", label: t("Quantity"), kind: "whole" })}${field(cloth, { pointer: "#/fabric/shrinkage_percent", label: t("Shrinkage, percent"), kind: "number", placeholder: "0" })}
    </div>
    ${cloth.failure ? failed(cloth) : nothing}
    ${fabrics.map((/** @type {any} */ each) => html`<dl class="figures"><div><dt>${t("Buy")}</dt><dd class="buy">${each.buy}</dd></div></dl>
      ${each.cutting ? html`<h2>${t("Cutting by hand")}</h2><ol>${each.cutting.instructions.map((/** @type {string} */ line) => html`<li>${line}</li>`)}</ol>
      ${svgImage(each.cutting.picture, t("How strips and pieces lie on the cloth"))}
      <details class="cautions"><summary>${t("Before you cut: cautions")}</summary><ul>${each.cutting.cautions.map((/** @type {string} */ line) => html`<li>${line}</li>`)}</ul></details>` : nothing}`)}
    <details><summary>${t("The same as a command")}</summary><pre tabindex="0"><code>${curl("POST", cloth.path, cloth.data)}</code></pre></details></section>`;
}

export function view() {
  return html`<div class="table">${scrapView()}${clothView()}${describeDialog()}</div>`;
}

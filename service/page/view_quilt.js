/** A quilt plan: a tiling and a size; its picture, what to buy, and its kit. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, curl, get, post } from "./api.js";
import { startFrom } from "./draft.js";
import { field, partErrors } from "./field.js";
import { gallery } from "./gallery.js";
import { svgImage } from "./images.js";
import { inMarks, showRoughly, toMm } from "./lengths.js";
import { plain, units } from "./names.js";
import { askKit, forgetKit, kitCutter, toBuy } from "./quilt_kit.js";
import { loadCutters } from "./saved_cutters.js";
import { borders, hasStrips } from "./quilt_borders.js";
import { blockFields, clearPattern, repeatChoice, planRequest, takePending } from "./quilt_block.js";
import { replacing } from "./replacing.js";
import { remember, settings } from "./settings.js";
import { t, tn } from "./text.js";

/** Sizes that differ by less are the same at the bench. */
const TOLERANCE_MM = 0.5;
const inches = settings.units === "in";
/** @type {any[]} */
let tilings = [];
/** @type {any} */
let plan = null;
let failure = "",
  timer = 0,
  busy = false;
/** @type {() => void} */
let redraw = () => {};
/** @type {AbortController | undefined} */
let current;
/** @type {import("./field.js").Form} */
const form = {
  name: "quilt",
  errors: [],
  changed: () => {
    current?.abort();
    clearTimeout(timer);
    forgetKit();
    busy = true;
    timer = window.setTimeout(ask, 250);
    redraw();
  },
  data: settings.quilt || {
    title: "",
    units: inches ? "in" : "cm",
    tiling: "hexagon",
    side: inches ? "2" : "5",
    quilt: inches ? { width: "40", length: "50" } : { width: "100", length: "130" },
    seam_allowance: inches ? "1/4" : "0.6",
    fabric: { width: inches ? "40" : "101.6" },
  },
};

/** @param {() => void} drawn */
export async function enter(drawn) {
  redraw = drawn;
  takePending(form.data);
  ask();
  [{ tilings }] = await Promise.all([get("/v1/tilings"), loadCutters(drawn)]);
  redraw();
}

export const leave = () => forgetKit();

async function ask() {
  const own = (current = new AbortController());
  busy = true;
  remember({ quilt: form.data });
  try {
    const answer = await post("/v1/quilt-plans", planRequest(form.data), own.signal);
    if (own === current) {
      plan = answer;
      form.errors = [];
      failure = "";
      askKit(plan, redraw);
    }
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
  const words = {
    whole: t("whole pieces, as they fall"),
    trimmed: t("cut off straight"),
    filled: t("filled up with part pieces"),
  };
  return [
    ["", t("as usual: {value}", { value: words.whole })],
    ...tiling.edges.map((/** @type {string} */ each) => [each, words[each] || plain(each)]),
  ];
}

/** @param {any} event */
function chooseTiling(event) {
  const { side, width, length } = form.data;
  useTiling(tilings[event.target.selectedIndex], side ?? width ?? length ?? "2");
}

/** @param {any} tiling @param {string} size of its pieces */
function useTiling(tiling, size) {
  clearPattern(form.data);
  form.data.tiling = tiling.name;
  for (const name of Object.keys(tiling.sizes)) form.data[name] = size;
  form.changed();
}

/** What a whole number of a tiling counts. @param {string} name @param {number} least @param {number} most */
function countHint(name, least, most) {
  /** @type {Record<string, string>} */
  const words = {
    rounds: t("rings of pieces round each flower's middle"),
    path: t("rows of pieces between the flowers"),
    diamonds: t("small diamonds along each side of a large one"),
  };
  const limits = t("{least} to {most}", { least, most });
  return words[name] ? `${words[name]}, ${limits}` : limits;
}

const leaveBlock = () => useTiling(tilings[0], form.data.units === "in" ? "2" : form.data.units === "cm" ? "5" : "50");

/** The pattern that covers the quilt: a tiling with its sizes, or a block. @param {any} tiling */
function patternFields(tiling) {
  if (form.data.block) return html`${repeatChoice(form, leaveBlock)}${blockFields(form)}`;
  return html`${repeatChoice(form, leaveBlock)}
    <div class="field">
      <label for="tiling">${t("Pattern")}</label
      ><select id="tiling" @change=${chooseTiling}>
        ${tilings.map((each) => html`<option ?selected=${each === tiling}>${each.title}</option>`)}
      </select>
      ${tiling ? html`<small>${tiling.description}</small>` : nothing}${partErrors(form, "#/tiling")}
    </div>
    ${Object.entries(tiling?.sizes || {}).map(([name, hint]) =>
      field(form, { pointer: `#/${name}`, label: plain(name), hint: String(hint) }),
    )}
    ${Object.entries(tiling?.counts || {}).map(([name, { minimum: least, maximum: most, default: usual }]) =>
      field(form, {
        pointer: `#/${name}`,
        label: plain(name),
        kind: "whole",
        placeholder: String(usual),
        hint: countHint(name, least, most),
      }),
    )} `;
}

function makeKit() {
  const byHand = hasStrips(plan);
  startFrom(
    plan.kit,
    byHand ? t("The quilt's borders are cut by hand: their strips stand in the plan and are not in this kit.") : "",
  );
  location.hash = "#/shape";
}

/** What brings the quilt to its size, where whole pieces do not: one tap each. */
function sizeCures() {
  const { units: own, quilt, edge, fit } = form.data,
    { width_mm: width, length_mm: length } = plan.assembled;
  const differs = [
    [width, quilt.width],
    [length, quilt.length],
  ].some(([made, asked]) => Math.abs(made - toMm(asked, own)) > TOLERANCE_MM);
  if (!differs) return nothing;
  const set = (/** @type {string} */ name, /** @type {string} */ value) => {
    form.data[name] = value;
    form.changed();
  };
  const tiling = tilings.find((each) => each.name === form.data.tiling);
  return html`<div class="row">
    ${edge !== "trimmed" && tiling?.edges.includes("trimmed")
      ? html`<button type="button" class="cure" id="trim" @click=${() => set("edge", "trimmed")}>
          ${t("Cut its edge off straight")}
        </button>`
      : nothing}
    ${fit !== "borders"
      ? html`<button type="button" class="cure" id="border" @click=${() => set("fit", "borders")}>
          ${t("Fill it up with borders")}
        </button>`
      : nothing}
  </div>`;
}

function planView() {
  const { assembled } = plan;
  const inUnits = form.data.units;
  return html`<dl class="figures">
      <div>
        <dt>${t("Finished quilt")}</dt>
        <dd>${showRoughly(assembled.width_mm, inUnits)} × ${showRoughly(assembled.length_mm, inUnits)}</dd>
      </div>
      <div>
        <dt>${t("Pieces")}</dt>
        <dd id="quilt-pieces">${plan.totals.pieces}</dd>
      </div>
    </dl>
    ${plan.picture ? svgImage(plan.picture, t("The quilt")) : nothing} ${toBuy(plan, inUnits)} ${borders(plan, inUnits)}
    ${(plan.warnings || []).length
      ? html`<ul class="warnings">
          ${plan.warnings.map((/** @type {string} */ each) => html`<li>${inMarks(each)}</li>`)}
        </ul>`
      : nothing}
    ${sizeCures()}
    ${plan.kit
      ? html`<div class="row">
          ${replacing({
            id: "plan-kit",
            label: t("Go on to its kit"),
            main: true,
            disabled: busy,
            go: makeKit,
            redraw,
          })}
          ${busy ? html`<span id="plan-waits">${t("Calculating … Then its kit can be made.")}</span>` : nothing}
        </div>`
      : nothing}`;
}

export const status = () =>
  failure ||
  (plan
    ? `${tn("{n} piece", "{n} pieces", plan.totals.pieces)}, ${(plan.materials?.fabrics || [])
        .map((/** @type {any} */ each) => `${each.fabric} ${each.methods.rows.buy}`)
        .join(", ")}`
    : "");

export function view() {
  const tiling = tilings.find((each) => each.name === form.data.tiling);
  return html`<div class="table">
      <section class="sheet">
        <h1>${t("A quilt")}</h1>
        <div class="fields grid">
          ${field(form, { pointer: "#/title", label: t("Title") })}${field(form, {
            pointer: "#/reference",
            label: t("Your reference"),
            hint: t("Such as an order's number; it is printed on the sheet and the labels."),
          })}${field(form, { pointer: "#/units", label: t("Units"), options: units(), converts: "#" })}
          ${patternFields(tiling)}
          ${field(form, { pointer: "#/quilt/width", label: t("Quilt's width") })}${field(form, {
            pointer: "#/quilt/length",
            label: t("Quilt's length"),
          })}
          ${field(form, { pointer: "#/seam_allowance", label: t("Seam allowance") })}${field(form, {
            pointer: "#/fabric/width",
            label: t("Width of the cloth"),
          })}
          ${(tiling?.edges || []).length > 1
            ? field(form, { pointer: "#/edge", label: t("Edge of the quilt"), options: edges(tiling) })
            : nothing}
          ${field(form, {
            pointer: "#/fit",
            label: t("Where whole pieces do not add up"),
            options: [
              ["", t("as usual: {value}", { value: t("a larger quilt") })],
              ["larger", t("a larger quilt")],
              ["smaller", t("a smaller quilt")],
              ["nearest", t("the nearest size")],
              ["borders", t("fill with borders")],
            ],
          })}
          ${kitCutter(form)}${partErrors(form, "#/cutter")}
        </div>
      </section>
      <section class="result" aria-label=${t("The plan")} aria-busy=${busy}>
        <h2>${t("The plan")}</h2>
        <p class="waits">
          ${!busy
            ? nothing
            : plan
              ? t("Calculating … Until then, what stands here is from before the change.")
              : t("Calculating …")}
        </p>
        ${failure ? html`<p class="problem">${failure}</p>` : nothing}${plan ? planView() : nothing}
        <details>
          <summary>${t("For programmers: the same as a command")}</summary>
          <pre tabindex="0"><code>${curl("POST", "/v1/quilt-plans", planRequest(form.data))}</code></pre>
        </details>
      </section>
    </div>
    ${gallery(redraw)}`;
}

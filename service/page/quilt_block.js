/** A quilt that repeats a block: which one, how large it is, and how the blocks are set. @module */
import { html, nothing } from "./lit-html.js";
import { converted } from "./convert.js";
import { field, partErrors } from "./field.js";
import { openGallery } from "./gallery.js";
import { t } from "./text.js";

/** @typedef {import("./field.js").Form} Form @typedef {{name: string, title: string, width_mm?: number}} Chosen */

/** A usual finished width, as a plan starts with it. @type {Record<string, string>} */
const USUAL = { in: "12", cm: "30", mm: "300" };
/** Members of a plan that belong to its tiling or its block. */
const OF_PATTERN = [
  "tiling",
  "block",
  "setting",
  "side",
  "width",
  "height",
  "length",
  "rounds",
  "path",
  "diamonds",
  "edge",
  "direction",
];

/** Turns of the blocks, as a request states them, by the name of an option. @type {Record<string, number[][]>} */
const TURNS = {
  alternate: [
    [0, 90],
    [90, 0],
  ],
  round: [
    [0, 90],
    [270, 180],
  ],
};

/** The block that another view wants to be planned. @type {Chosen | null} */
let pending = null;
/** What the chosen block is called. @type {Chosen} */
let shown = { name: "", title: "" };

/** Plan a quilt of a block: the view of quilts takes it when it is opened. @param {Chosen} block */
export function planBlock(block) {
  pending = block;
  location.hash = "#/quilt";
}

/** Leave out of a plan whatever belongs to the pattern that it had. @param {any} data */
export function clearPattern(data) {
  for (const name of OF_PATTERN) delete data[name];
}

/** @param {any} data of the plan @param {Chosen} block */
function repeatBlock(data, block) {
  const { setting } = data,
    width = block.width_mm;
  clearPattern(data);
  shown = block;
  data.block = {
    name: block.name,
    size: width ? String(converted(Math.round(width * 100) / 100, "mm", data.units)) : USUAL[data.units],
  };
  data.setting = setting || {};
}

/** Repeat the block that another view has chosen, if there is one. @param {any} data of the plan */
export function takePending(data) {
  if (pending) repeatBlock(data, pending);
  pending = null;
}

/** A plan as it is asked for: what is left empty is left out. @param {any} data */
export function planRequest(data) {
  const stated = structuredClone(data),
    { setting } = stated;
  if (setting?.sashing && !setting.sashing.width) delete setting.sashing;
  if (setting && !Object.keys(setting).length) delete stated.setting;
  return stated;
}

/** @param {Form} form */
function choose(form) {
  openGallery(
    (entry) => {
      repeatBlock(form.data, entry);
      form.changed();
    },
    (entry) => entry.in_quilt_plans,
  );
}

/** What the quilt repeats: shapes that cover it, or a block. @param {Form} form @param {() => void} leave to shapes */
export function repeatChoice(form, leave) {
  const isBlock = Boolean(form.data.block);
  return html`<div class="repeats" role="group" aria-label=${t("What the quilt repeats")}>
    <span aria-hidden="true">${t("What the quilt repeats")}</span>
    <div class="row">
      <button type="button" id="plan-tiling" aria-pressed=${!isBlock} @click=${() => (isBlock ? leave() : undefined)}>
        ${t("Shapes that cover it")}
      </button>
      <button type="button" id="plan-block" aria-pressed=${isBlock} @click=${() => choose(form)}>
        ${isBlock ? t("Another block …") : t("A block …")}
      </button>
    </div>
  </div>`;
}

/** @param {Form} form */
function turns(form) {
  const { setting } = form.data,
    stated = JSON.stringify(setting.turns_deg);
  const change = (/** @type {any} */ event) => {
    const found = TURNS[event.target.value];
    if (found) setting.turns_deg = found;
    else delete setting.turns_deg;
    form.changed();
  };
  const options = [
    ["", t("all the same way up")],
    ["alternate", t("every other one a quarter turn")],
    ["round", t("four by four, each a quarter turn further")],
  ];
  return html`<div class="field">
    <label for="quilt-turns">${t("Blocks lie")}</label
    ><select id="quilt-turns" @change=${change}>
      ${options.map(
        ([name, label]) =>
          html`<option value=${name} ?selected=${JSON.stringify(TURNS[name]) === stated}>${label}</option>`,
      )}
    </select>
  </div>`;
}

/** The fields of a quilt that repeats a block. @param {Form} form */
export function blockFields(form) {
  const { block, setting } = form.data;
  const name = (shown.name === block.name && shown.title) || block.name;
  const layouts = /** @type {[string, string][]} */ ([
    ["", t("in rows")],
    ["on_point", t("on point, standing on their tips")],
  ]);
  return html`<div class="chosen-block">
      <span>${t("Block")}: <strong id="quilt-block">${name}</strong></span>
      ${partErrors(form, "#/block")}${partErrors(form, "#/block/name")}
    </div>
    ${field(form, { pointer: "#/block/size", label: t("Finished width of a block") })}
    ${field(form, { pointer: "#/setting/layout", label: t("Blocks stand"), options: layouts })} ${turns(form)}
    ${field(form, {
      pointer: "#/setting/alternate_colour",
      label: t("Plain squares between the blocks"),
      hint: t("The name of their fabric; empty: a block in every place."),
    })}
    ${field(form, {
      pointer: "#/setting/sashing/width",
      label: t("Width of strips between the blocks"),
      hint: t("Empty: no strips."),
    })}
    ${setting?.sashing?.width
      ? html`${field(form, {
          pointer: "#/setting/sashing/colour",
          label: t("Fabric of the strips"),
          placeholder: "sashing",
        })}
        ${field(form, {
          pointer: "#/setting/sashing/cornerstone_colour",
          label: t("Fabric where strips cross"),
          placeholder: "cornerstone",
        })}`
      : nothing}`;
}

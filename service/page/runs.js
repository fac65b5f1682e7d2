/** The runs of a kit: what is cut from which material on which cutter. @module */
import { html, nothing } from "./lit-html.js";
import { changed, draft } from "./draft.js";
import { cutterPictures } from "./cutters.js";
import { field, partErrors } from "./field.js";
import { completeCutter, formatChoice } from "./formats.js";
import { materialKinds } from "./names.js";
import { stockList, useStock } from "./stock.js";
import { t } from "./text.js";

/** @typedef {import("./field.js").Form} Form */

/** @param {any} run */
function heading(run) {
  return run.cut === "patch" ? t("Cut patches (with the allowance)") : t("Cut templates (finished size)");
}

/** @param {any} run whose cutter all runs get */
function useEverywhere(run) {
  for (const each of draft.request.runs) each.cutter = structuredClone(run.cutter);
  changed(0);
}

/** @param {any} run */
function everyRun(run) {
  const same = draft.request.runs.every(
    (/** @type {any} */ each) => JSON.stringify(each.cutter) === JSON.stringify(run.cutter),
  );
  return same
    ? nothing
    : html`<button type="button" class="every-run" @click=${() => useEverywhere(run)}>
        ${t("Use this cutter for every run")}
      </button>`;
}

/** @param {Form} form @param {any} run @param {number} index */
function runCard(form, run, index) {
  const at = `#/runs/${index}`;
  const setCutter = (/** @type {string} */ name) => {
    run.cutter = name;
    completeCutter(run);
    changed(0);
  };
  return html`<li class="run">
    <h3>${heading(run)}</h3>
    ${partErrors(form, at)} ${cutterPictures(`cutter-${index}`, run.cutter, setCutter)}
    ${partErrors(form, `${at}/cutter`)} ${everyRun(run)}
    <div class="fields grid">
      ${field(form, { pointer: `${at}/material/name`, label: t("Material's name") })}
      ${field(form, { pointer: `${at}/material/kind`, label: t("Kind of material"), options: materialKinds() })}
      ${run.material?.stock
        ? nothing
        : html`${field(form, {
            pointer: `${at}/material/width`,
            label: t("Sheet's width"),
            hint: t("Empty: it covers the bed."),
          })}
          ${field(form, { pointer: `${at}/material/height`, label: t("Sheet's height") })}`}
      ${field(form, { pointer: `${at}/layers`, label: t("Layers in a stack"), kind: "whole", placeholder: "1" })}
      ${field(form, { pointer: `${at}/gap`, label: t("Gap between pieces"), placeholder: t("as the tool needs") })}
    </div>
    ${run.material?.stock
      ? stockList(form, run, `${at}/material`)
      : html`<button type="button" class="quiet use-stock" @click=${() => useStock((run.material ??= {}))}>
          ${t("Choose from what is in stock")}
        </button>`}
    ${partErrors(form, `${at}/material/stock`)} ${formatChoice(form, run, at, () => changed(0))}
    ${draft.request.runs.length > 1
      ? html`<button
          type="button"
          class="quiet"
          @click=${() => {
            draft.request.runs.splice(index, 1);
            changed(0);
          }}
        >
          ${t("Leave this out")}
        </button>`
      : nothing}
  </li>`;
}

/** A run on the cutter of the run before it: most people have one machine. @param {"patch" | "template"} cut */
function addRun(cut) {
  const patch = cut === "patch";
  const cutter = structuredClone(draft.request.runs.at(-1)?.cutter ?? "drag-blade-sheet");
  draft.request.runs.push({
    cut,
    cutter,
    formats: ["svg"],
    material: patch ? { name: "cotton", kind: "stiffened_fabric" } : { name: "card", kind: "card" },
  });
  changed(0);
}

/** @param {Form} form */
export function runList(form) {
  return html`<ol class="runs">
      ${draft.request.runs.map((/** @type {any} */ run, /** @type {number} */ index) => runCard(form, run, index))}
    </ol>
    <div class="row">
      <button type="button" id="add-patches" @click=${() => addRun("patch")}>${t("Also cut patches")}</button>
      <button type="button" id="add-templates" @click=${() => addRun("template")}>${t("Also cut templates")}</button>
    </div>`;
}

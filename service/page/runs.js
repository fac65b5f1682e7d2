/** The runs of a kit: what is cut from which material on which cutter. @module */
import { html, nothing } from "./lit-html.js";
import { changed, draft } from "./draft.js";
import { clothWidth } from "./cloth_width.js";
import { cutterPictures } from "./cutters.js";
import { cutterNamed, cutterTitle, isOnRoll } from "./saved_cutters.js";
import { errorsAt, field, partErrors } from "./field.js";
import { chosenFormats, completeCutter, formatChoice, hasSettings } from "./formats.js";
import { materialKinds } from "./names.js";
import { isTyped, sheetSize } from "./sheet_sizes.js";
import { stockList, useStock } from "./stock.js";
import { templateCount } from "./template_count.js";
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

/** Cutters of several runs would take a screen each: the chosen one is named. @param {any} run @param {number} index
 * @param {(name: string) => void} set */
function cutterChoice(run, index, set) {
  const pictures = cutterPictures(`cutter-${index}`, run.cutter, draft.request.units || "mm", set);
  if (draft.request.runs.length < 2) return pictures;
  return html`<details class="cutter-choice">
    <summary>${t("Cutter: {cutter} (choose another)", { cutter: cutterTitle(run.cutter) })}</summary>
    ${pictures}
  </details>`;
}

/** The size of a run's sheets. @param {Form} form @param {any} run @param {number} index @param {string} at of its
 * material */
function sheetFields(form, run, index, at) {
  if (run.material?.stock) return nothing;
  const isRoll = isOnRoll(run.cutter),
    units = draft.request.units || "mm",
    id = `kit-sheet-${index}`;
  const take = (/** @type {string | undefined} */ width, /** @type {string | undefined} */ height) => {
    run.material = { ...run.material, width, height };
    changed(0);
  };
  const isShown = isRoll || isTyped(id, run.material, units) || errorsAt(form, `${at}/width`).length;
  const hint = isRoll ? t("Empty: it covers the bed.") : undefined;
  return html`${isRoll
    ? nothing
    : sheetSize({ id, sheet: run.material, units, none: t("it covers the bed"), take })}${isShown ||
  errorsAt(form, `${at}/height`).length
    ? html`${field(form, { pointer: `${at}/width`, label: t("Sheet's width"), hint })}${field(form, {
        pointer: `${at}/height`,
        label: t("Sheet's height"),
      })}`
    : nothing}`;
}

/** What is cut on it, in files: of several runs the chosen ones are named. @param {Form} form @param {any} run
 * @param {string} at */
function files(form, run, at) {
  const choice = formatChoice(form, run, at, () => changed(0));
  if (draft.request.runs.length < 2 || errorsAt(form, `${at}/formats`).length || hasSettings(run)) return choice;
  return html`<details class="cutter-choice">
    <summary>${t("Files for the machine: {formats}", { formats: chosenFormats(run) })}</summary>
    ${choice}
  </details>`;
}

/** What is meant by either kind of cloth. @param {string | undefined} kind */
function clothHint(kind) {
  if (kind === "stiffened_fabric")
    return t("Starched stiff or bonded to a carrier, as a dragged blade needs it. For cloth as it is, choose fabric.");
  return kind === "fabric" ? t("Cloth as it is; for starched or bonded cloth, choose stiffened fabric.") : undefined;
}

/** The kind of cloth that is cut without further ado: a dragged blade creases what is not stiff. @param {any} cutter */
const usualCloth = (cutter) =>
  (typeof cutter === "object" ? cutter : cutterNamed(cutter))?.tool?.kind === "drag_blade"
    ? "stiffened_fabric"
    : "fabric";

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
    ${partErrors(form, at)} ${cutterChoice(run, index, setCutter)} ${partErrors(form, `${at}/cutter`)} ${everyRun(run)}
    <div class="fields grid">
      ${field(form, { pointer: `${at}/material/name`, label: t("Material's name") })}
      ${field(form, {
        pointer: `${at}/material/kind`,
        label: t("Kind of material"),
        options: materialKinds(),
        hint: clothHint(run.material?.kind),
      })}
      ${sheetFields(form, run, index, `${at}/material`)} ${clothWidth(form, run, `${at}/material`)}
      ${field(form, { pointer: `${at}/layers`, label: t("Layers in a stack"), kind: "whole", placeholder: "1" })}
      ${field(form, { pointer: `${at}/gap`, label: t("Gap between pieces"), placeholder: t("as the tool needs") })}
    </div>
    ${templateCount(run, index)}
    ${run.material?.stock
      ? stockList(form, run, `${at}/material`)
      : html`<button type="button" class="quiet use-stock" @click=${() => useStock(run, index)}>
          ${t("Choose from what is in stock")}
        </button>`}
    ${partErrors(form, `${at}/material/stock`)} ${files(form, run, at)}
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
    material: patch ? { name: "cotton", kind: usualCloth(cutter) } : { name: "card", kind: "card" },
  });
  changed(0);
}

/** @param {Form} form */
export function runList(form) {
  const cuts = (/** @type {string} */ cut) => draft.request.runs.some((/** @type {any} */ run) => run.cut === cut);
  return html`<ol class="runs">
      ${draft.request.runs.map((/** @type {any} */ run, /** @type {number} */ index) => runCard(form, run, index))}
    </ol>
    <div class="row">
      <button type="button" id="add-patches" @click=${() => addRun("patch")}>
        ${cuts("patch") ? t("Cut patches from another material too") : t("Also cut patches")}
      </button>
      <button type="button" id="add-templates" @click=${() => addRun("template")}>
        ${cuts("template") ? t("Cut templates from another material too") : t("Also cut templates")}
      </button>
    </div>`;
}

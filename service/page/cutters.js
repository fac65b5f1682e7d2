/** Cutters, chosen from pictures of their beds. @module */
import { html, nothing } from "./lit-html.js";
import { getAll } from "./api.js";
import { bedDrawing, bedSize, marginsOf, openingOf } from "./beds.js";
import { change, describe } from "./cutter_form.js";
import { showRoughly } from "./lengths.js";
import { t } from "./text.js";

/** @type {any[]} */
export let cutters = [];

/** @param {() => void} redraw */
export async function loadCutters(redraw) {
  cutters = await getAll("/v1/cutters?limit=200", "cutters");
  redraw();
}

/** @param {unknown} name @returns {any} the cutter of that name, as it is saved */
export function cutterNamed(name) {
  return cutters.find((each) => each.name === name)?.cutter;
}

/** @param {unknown} chosen the name of a cutter, or one that is described in the request */
export function isOnRoll(chosen) {
  const cutter = typeof chosen === "object" ? chosen : cutterNamed(chosen);
  return /** @type {any} */ (cutter)?.bed?.shape === "roll";
}

/** A saved cutter without the settings of its files. @param {any} cutter */
const machine = ({ formats, ...rest }) => JSON.stringify(rest);

/**
 * Whether a cutter is chosen, itself or with settings of its own in the request.
 * @param {any} each
 * @param {any} chosen
 */
const isChosen = (each, chosen) =>
  typeof chosen === "object" ? machine(each.cutter) === machine(chosen) : each.name === chosen;

/** What the margins leave of a rectangular bed. @param {any} cutter @param {string} units of the request */
function reach(cutter, units) {
  const own = cutter.units || "mm",
    opening = openingOf(cutter, own),
    [left, right, top, bottom] = marginsOf(cutter, own);
  if (!opening || opening.isRoll || !opening.isRectangle || !(left + right + top + bottom)) return nothing;
  const size = {
    width: showRoughly(opening.width - left - right, units),
    height: showRoughly(opening.height - top - bottom, units),
  };
  return html`<br />${t("cuts {width} × {height} of it", size)}`;
}

/** @param {any} cutter @param {string} label @param {string} units of the request */
const pictured = (cutter, label, units) =>
  html`${bedDrawing(cutter, cutter.units || "mm")}<span
      >${label}<br />
      <small>${bedSize(cutter, cutter.units || "mm", units)}${reach(cutter, units)}</small></span
    >`;

/** What a cutter is called in a request, or what is described in one. @param {any} chosen @returns {string} */
export const cutterTitle = (chosen) =>
  typeof chosen === "object"
    ? chosen.title || t("described in this kit")
    : cutterNamed(chosen)?.title || String(chosen ?? "");

/**
 * Pictures of all cutters, one of which is chosen.
 * @param {string} name of the group
 * @param {any} chosen
 * @param {string} units of the request
 * @param {(name: string) => void} choose
 */
export function cutterPictures(name, chosen, units, choose) {
  const known = cutters.find((each) => isChosen(each, chosen));
  return html`<fieldset class="cutters">
    <legend>${t("Cutter")}</legend>
    ${cutters.map(
      (each) =>
        html`<label class="cutter">
          <input
            type="radio"
            name=${name}
            value=${each.name}
            .checked=${each === known}
            @change=${() => choose(each.name)}
          />
          ${pictured(each.cutter, each.cutter.title || each.name, units)}</label
        >`,
    )}
    ${typeof chosen === "object" && !known
      ? html`<label class="cutter"
          ><input type="radio" name=${name} value="" .checked=${true} /> ${pictured(
            chosen,
            cutterTitle(chosen),
            units,
          )}</label
        >`
      : nothing}
    <div class="cutter-buttons">
      <button type="button" class="quiet" @click=${() => describe(choose)}>${t("Describe another cutter")}</button>
      ${known && !known.built_in
        ? html`<button type="button" class="quiet change-cutter" @click=${() => change(known, choose)}>
            ${t("Change {name}", { name: known.cutter.title || known.name })}
          </button>`
        : nothing}
      ${typeof chosen === "object"
        ? html`<button type="button" class="quiet keep-cutter" @click=${() => describe(choose, chosen)}>
            ${t("Save this cutter with its settings")}
          </button>`
        : nothing}
    </div>
  </fieldset>`;
}

/** Cutters, chosen from pictures of their beds. @module */
import { html, nothing } from "./lit-html.js";
import { bedDrawing, bedSize, marginsOf, openingOf } from "./beds.js";
import { change, describe } from "./cutter_form.js";
import { showRoughly } from "./lengths.js";
import { cutterTitle, cutters } from "./saved_cutters.js";
import { t } from "./text.js";

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

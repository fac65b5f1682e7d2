/** Borders of a quilt that are cut by ruler, in a plan. @module */
import { html, nothing } from "./lit-html.js";
import { show } from "./lengths.js";
import { t } from "./text.js";

/** Whether a plan has borders of plain strips. @param {any} plan */
export const hasStrips = (plan) => plan.borders.some((/** @type {any} */ each) => each.strips.length);

/**
 * A border's strips as they are cut, in the trade's way.
 * @param {any} border
 * @param {number} index
 * @param {string} inUnits
 */
function borderRows(border, index, inUnits) {
  const size = (/** @type {any} */ each) =>
    `${each.quantity} × ${show(each.cut_width_mm, inUnits)} × ${show(each.cut_length_mm, inUnits)}`;
  const name = `${index + 1}. ${border.colour}`;
  return html`${border.strips.map(
    (/** @type {any} */ each) =>
      html`<tr>
        <td>${name}</td>
        <td>${each.place === "sides" ? t("left and right") : t("top and bottom")}</td>
        <td>${size(each)}</td>
      </tr>`,
  )}
  ${border.joined_from.map(
    (/** @type {any} */ each) =>
      html`<tr>
        <td>${name}</td>
        <td>${t("to be joined for them")}</td>
        <td>${size(each)}</td>
      </tr>`,
  )}`;
}

/** Borders of plain strips are cut by ruler: the kit holds none of them. @param {any} plan @param {string} inUnits */
export function borders(plan, inUnits) {
  if (!hasStrips(plan)) return nothing;
  return html`<h3>${t("Borders, cut by hand")}</h3>
    <p id="borders">${t("These strips are cut with a ruler. They are not in the kit.")}</p>
    <table>
      <thead>
        <tr>
          <th>${t("Border")}</th>
          <th>${t("Place")}</th>
          <th>${t("Strips, cut size")}</th>
        </tr>
      </thead>
      <tbody>
        ${plan.borders.map((/** @type {any} */ each, /** @type {number} */ index) => borderRows(each, index, inUnits))}
      </tbody>
    </table>`;
}

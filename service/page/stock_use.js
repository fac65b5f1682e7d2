/** What a run takes of its stock, and what is missing. @module */
import { html, nothing } from "./lit-html.js";
import { show } from "./lengths.js";
import { t, tn } from "./text.js";

/** @param {any} each an entry of an answer @param {string} units */
function used(each, units) {
  const { used_length_mm: length, left_length_mm: left } = each;
  if (length === undefined)
    return each.used ? t("{used} used, {left} left", { used: each.used, left: each.unused }) : t("not used");
  return length
    ? t("{length} used, {left} left", { length: show(length, units), left: show(left, units) })
    : t("not used");
}

/** @param {any} each what to buy @param {string} units @param {string} currency */
function purchase(each, units, currency) {
  const what =
    each.length_mm === undefined
      ? t("{n} more of “{name}”", { n: each.count, name: each.name })
      : t("{length} more of “{name}”", { length: show(each.length_mm, units), name: each.name });
  return each.cost === undefined ? what : t("{what}: {cost}", { what, cost: `${each.cost} ${currency}`.trim() });
}

/** What is missing, and what would do. @param {any} short @param {string} units @param {string} currency */
function shortfall(short, units, currency) {
  if (!short) return nothing;
  const pieces = Object.entries(short.missing)
    .map(([id, n]) => `${id} × ${n}`)
    .join(", ");
  const buy = short.buy.map((/** @type {any} */ each) => html`<li>${purchase(each, units, currency)}</li>`);
  return html`<div class="problem shortfall">
    <p>${t("The stock does not hold all pieces. Missing: {pieces}.", { pieces })}</p>
    ${buy.length
      ? html`<p>${tn("This would do:", "Any one of these would do:", buy.length)}</p>
          <ul>
            ${buy}
          </ul>`
      : nothing}
  </div>`;
}

/**
 * What a run takes of its stock, and what is missing.
 * @param {any} run of an answer
 * @param {string} units
 * @param {string} currency
 */
export function stockUse(run, units, currency) {
  if (!run.stock) return nothing;
  const isPriced = run.stock_cost !== undefined;
  const row = (/** @type {any} */ each) =>
    html`<tr>
      <td>${each.name}</td>
      <td>${used(each, units)}</td>
      ${isPriced ? html`<td>${each.cost ?? ""}</td>` : nothing}
    </tr>`;
  return html`${shortfall(run.shortfall, units, currency)}
    <table class="stock-use">
      <thead>
        <tr>
          <th>${t("Stock")}</th>
          <th>${t("Used")}</th>
          ${isPriced ? html`<th>${t("Cost")}</th>` : nothing}
        </tr>
      </thead>
      <tbody>
        ${run.stock.map(row)}
        ${isPriced
          ? html`<tr>
              <th colspan="2">${t("Together")}</th>
              <td>${`${run.stock_cost} ${currency}`.trim()}</td>
            </tr>`
          : nothing}
      </tbody>
    </table>`;
}

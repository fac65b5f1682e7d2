/** What a kit is priced by: a saved list, or prices that are stated with it. @module */
import { html, nothing } from "./lit-html.js";
import { cutterNamed, isOnRoll } from "./saved_cutters.js";
import { field } from "./field.js";
import { t } from "./text.js";

/** @typedef {import("./field.js").Form} Form */

const STATED = " stated",
  CURRENCY = "EUR";

/** @param {any} request @returns {string[]} */
const materialNames = (request) =>
  [...new Set(request.runs.map((/** @type {any} */ run) => run.material?.name).filter(Boolean))].map(String);

/** One row for each material of a kit's runs: one that was renamed keeps its price. @param {any} request */
export function alignPrices(request) {
  const { prices } = request;
  if (!prices || typeof prices !== "object" || prices.name) return;
  if (prices.margin && !Object.keys(prices.margin).length) delete prices.margin;
  const names = materialNames(request),
    before = /** @type {any[]} */ (prices.materials || []);
  const own = names.map(
    (name, index) =>
      before.find((each) => each.name === name) ||
      (before[index] && !names.includes(before[index].name) ? Object.assign(before[index], { name }) : { name }),
  );
  prices.materials = [...own, ...before.filter((each) => !own.includes(each))];
}

/** @param {Form} form @param {string} chosen the name of a list, that prices are stated, or nothing */
function choose(form, chosen) {
  const { data } = form;
  if (!chosen) delete data.prices;
  else data.prices = chosen === STATED ? { currency: CURRENCY } : chosen;
  form.changed();
}

/** How prices are given. @param {Form} form @param {string[]} lists names of saved price lists */
export function priceChoice(form, lists) {
  const { prices } = form.data,
    isStated = Boolean(prices) && typeof prices === "object";
  const stated =
    isStated && prices.name ? t("those of “{name}”, as they were", { name: prices.name }) : t("state them here");
  const options = [["", t("none")], ...lists.map((each) => [each, each]), [STATED, stated]];
  return html`<div class="field">
    <label for="kit-price-choice">${t("Prices")}</label>
    <select id="kit-price-choice" @change=${(/** @type {any} */ event) => choose(form, event.target.value)}>
      ${options.map(
        ([name, label]) =>
          html`<option value=${name} ?selected=${name === (isStated ? STATED : prices || "")}>${label}</option>`,
      )}
    </select>
  </div>`;
}

/** @param {Form} form @param {number} index of a material's row @param {string} name */
function materialFields(form, index, name) {
  const at = `#/prices/materials/${index}`,
    { runs, units } = form.data;
  const isRoll = runs.some((/** @type {any} */ run) => run.material?.name === name && isOnRoll(run.cutter));
  if (!isRoll)
    return field(form, { pointer: `${at}/per_sheet`, label: t("A sheet of {name}", { name }), placeholder: "0.00" });
  return html`${field(form, {
    pointer: `${at}/per_length`,
    label: t("A length of {name}", { name }),
    placeholder: "0.00",
  })}
  ${field(form, {
    pointer: `${at}/length`,
    label: t("The length that this buys"),
    placeholder: units === "in" ? "36" : "1 m",
  })}`;
}

/** Prices stated with the kit; nothing where a saved list is chosen. @param {Form} form */
export function priceFields(form) {
  const { prices, runs } = form.data;
  if (!prices || typeof prices !== "object" || prices.name) return nothing;
  const byHand = runs.some(
    (/** @type {any} */ { cutter }) =>
      (typeof cutter === "object" ? cutter : cutterNamed(cutter))?.tool?.kind === "pen",
  );
  return html`<fieldset class="prices">
    <legend>${t("Prices")}</legend>
    <div class="fields grid">
      ${field(form, { pointer: "#/prices/currency", label: t("Currency") })}
      ${materialNames(form.data).map((name, index) => materialFields(form, index, name))}
      ${field(form, { pointer: "#/prices/machine_per_hour", label: t("An hour of the machine"), placeholder: "0.00" })}
      ${byHand
        ? field(form, {
            pointer: "#/prices/hand_cutting_per_hour",
            label: t("An hour of cutting by hand"),
            placeholder: "0.00",
          })
        : nothing}
      ${field(form, {
        pointer: "#/prices/margin/percent_of_cost",
        label: t("Margin, percent of the cost"),
        placeholder: "0",
      })}
    </div>
    <p class="hint">${t("What has no price here is not priced: the answer names it.")}</p>
  </fieldset>`;
}

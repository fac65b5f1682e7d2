/** A run's stock: sheets, rolls and leftovers with counts and prices, and what is used of them. @module */
import { html, nothing } from "./lit-html.js";
import { openingOf } from "./beds.js";
import { converted } from "./convert.js";
import { cutterNamed, isOnRoll } from "./saved_cutters.js";
import { outlinePath } from "./draw.js";
import { changed, draft } from "./draft.js";
import { field, partErrors } from "./field.js";
import { toMm } from "./lengths.js";
import { loadCount } from "./material_use.js";
import { sheetSize } from "./sheet_sizes.js";
import { t } from "./text.js";

/** @typedef {import("./field.js").Form} Form */

/** Tools of which each piece of material has a size of its own. */
const TAKES_ITS_OWN = new Set(["indexed_blade", "steel_rule_die"]);

const inches = () => draft.request.units === "in";

/** @param {any} entry @returns {"leftover" | "roll" | "sheet"} */
const kindOf = (entry) => ("outline" in entry ? "leftover" : "roll" in entry ? "roll" : "sheet");

/** What a kind of entry has that the others have not, as it is at first. @param {string} kind */
function firstOf(kind) {
  const leftover = inches()
    ? [
        [0, 0],
        [8, 0],
        [8, 3],
        [0, 6],
      ]
    : [
        [0, 0],
        [200, 0],
        [200, 80],
        [0, 150],
      ];
  if (kind === "leftover") return { outline: leftover };
  if (kind === "roll") return { width: inches() ? "12" : "300", roll: inches() ? "72" : "2000" };
  return { width: inches() ? "12" : "300", height: inches() ? "12" : "300", count: 1 };
}

/** @param {any[]} stock @param {string} name a new entry's name, made different from the others' */
function unused(stock, name) {
  const names = new Set(stock.map((each) => each.name));
  for (let n = 2; ; n += 1) if (!names.has(`${name} ${n}`)) return `${name} ${n}`;
}

/**
 * Sheets as large as the answer takes them or as the bed, or the roll that is on it.
 * @param {unknown} chosen cutter @param {any} answer of the run
 */
function ofBed(chosen, answer) {
  const cutter = /** @type {any} */ (typeof chosen === "object" ? chosen : cutterNamed(chosen)),
    opening = cutter && openingOf(cutter, cutter.units || "mm"),
    own = draft.request.units || "mm",
    // Cloth in a frame or on a die has a size of its own; other material may be as large as the bed.
    size = TAKES_ITS_OWN.has(answer?.tool) ? answer.material_size : undefined;
  const length = (/** @type {number} */ mm) => String(converted(String(Math.round(mm * 100) / 100), "mm", own));
  if (size) return { width: length(size.width_mm), height: length(size.height_mm) };
  if (!opening) return {};
  return opening.isRoll
    ? { width: length(opening.height) }
    : { width: length(opening.width), height: length(opening.height) };
}

/**
 * The material comes from a stock from now on. It starts with what the answer takes, so that all is there: how many
 * there are is what somebody counts and types.
 * @param {any} run @param {number} index
 */
export function useStock(run, index) {
  const material = (run.material ??= {}),
    { width, height } = material,
    isRoll = isOnRoll(run.cutter) && !(width && height);
  const answer = draft.preview?.runs.find((/** @type {any} */ each) => each.number === index + 1);
  for (const name of ["width", "height", "position"]) delete material[name];
  const first = {
    ...firstOf(isRoll ? "roll" : "sheet"),
    ...ofBed(run.cutter, answer),
    ...(width && height ? { width, height } : {}),
  };
  const count = answer ? loadCount(answer) * (answer.layers || 1) : 1;
  material.stock = [{ name: isRoll ? t("roll") : t("sheets"), ...first, ...(isRoll ? {} : { count }) }];
  changed(0);
}

/** @param {any} material which has one sheet, or the whole bed, from now on */
export function leaveStock(material) {
  delete material.stock;
  delete material.stock_order;
  changed(0);
}

/** @param {any[]} stock @param {any} entry @param {any} event */
function changeKind(stock, entry, event) {
  const { since, currency, price } = entry,
    kind = event.target.value;
  const names = { sheet: t("sheets"), roll: t("roll"), leftover: t("leftover") };
  // A name that nobody chose follows what the entry is.
  const isGiven = Object.values(names).some((each) => entry.name === each || entry.name?.startsWith(`${each} `));
  const name = isGiven ? unused(stock, names[/** @type {"roll"} */ (kind)]) : entry.name;
  for (const member of Object.keys(entry)) delete entry[member];
  const length = inches() ? "36" : "1000";
  const kept = { name, since, currency, price, price_per: kind === "roll" && price ? length : undefined };
  Object.assign(entry, JSON.parse(JSON.stringify(kept)), firstOf(kind));
  changed(0);
}

/** One currency for all that has a price. @param {any[]} stock @param {string} currency */
function setCurrency(stock, currency) {
  for (const each of stock)
    if (currency && each.price) each.currency = currency;
    else delete each.currency;
  changed();
}

/** To scale beside the others. @param {any} entry @param {number} largest mm */
function entryDrawing(entry, largest) {
  const factor = toMm("1", draft.request.units || "mm");
  const corners = (entry.outline || []).map((/** @type {number[]} */ each) => each.map((side) => side * factor));
  const [width, height] = sizeOf(entry);
  if (!(width > 0) || !(height > 0)) return nothing;
  const [left, low] = [0, 1].map((axis) => Math.min(0, ...corners.map((/** @type {number[]} */ each) => each[axis])));
  const path = Array.isArray(entry.outline) ? outlinePath(corners) : `M0 0H${width}V${height}H0Z`;
  const frame = `${left - largest * 0.02} ${-low - largest * 1.02} ${largest * 1.04} ${largest * 1.04}`;
  return html`<svg class="stock-drawing" viewBox=${frame} aria-hidden="true">
    <path transform="scale(1 -1)" class="patch" vector-effect="non-scaling-stroke" d=${path} />
  </svg>`;
}

/** @param {any} entry @returns {number[]} width and height, mm; of a roll no more than is drawn of it */
function sizeOf(entry) {
  const units = draft.request.units || "mm";
  if (Array.isArray(entry.outline)) {
    const along = (/** @type {number} */ axis) => entry.outline.map((/** @type {number[]} */ each) => each[axis]);
    return [0, 1].map((axis) => toMm(Math.max(...along(axis)) - Math.min(...along(axis)), units));
  }
  const width = toMm(entry.width, units);
  return [width, entry.roll ? Math.min(toMm(entry.roll, units), 2 * width) : toMm(entry.height, units)];
}

/**
 * A cutter with a flat bed is fed no roll: what is on offer for its stock.
 * @param {string} kind
 * @param {unknown} cutter
 */
const kinds = (kind, cutter) =>
  [
    ["sheet", t("sheets")],
    ["roll", t("a roll")],
    ["leftover", t("a leftover")],
  ].filter(([name]) => name !== "roll" || kind === "roll" || isOnRoll(cutter));

/** Fields of an entry's size. @param {Form} form @param {string} own its pointer @param {string} kind */
function sizeFields(form, own, kind) {
  if (kind === "leftover") {
    const hint = t("Across and up from one corner, in turn: 0, 0; 8, 0; 8, 3; 0, 6");
    return field(form, { pointer: `${own}/outline`, label: t("Corners"), kind: "corners", hint });
  }
  const width = field(form, { pointer: `${own}/width`, label: kind === "roll" ? t("Width of the roll") : t("Width") });
  if (kind === "roll") return html`${width}${field(form, { pointer: `${own}/roll`, label: t("Length left on it") })}`;
  return html`${width}${field(form, { pointer: `${own}/height`, label: t("Height") })}
  ${field(form, { pointer: `${own}/count`, label: t("How many there are"), kind: "whole", placeholder: "1" })}`;
}

/**
 * A form in which a price takes the stock's currency with it.
 * @param {Form} form
 * @param {any} entry
 * @param {string} currency
 */
function pricedForm(form, entry, currency) {
  const changedPrice = () => {
    if (entry.price && currency) entry.currency = currency;
    if (!entry.price) {
      delete entry.currency;
      delete entry.price_per;
    }
    form.changed();
  };
  return {
    ...form,
    changed: changedPrice,
    get errors() {
      return form.errors;
    },
  };
}

/** @param {Form} form @param {any} material @param {any} entry @param {string} own its pointer */
function priceFields(form, material, entry, own) {
  const currency = material.stock.find((/** @type {any} */ each) => each.currency)?.currency || "",
    isRoll = kindOf(entry) === "roll";
  const label = isRoll ? t("Price of a length") : t("Price of one"),
    length = inches() ? "36" : "1000";
  return html`${field(pricedForm(form, entry, currency), { pointer: `${own}/price`, label, placeholder: "0.00" })}
  ${isRoll && entry.price
    ? field(form, { pointer: `${own}/price_per`, label: t("The length that this buys"), placeholder: length })
    : nothing}
  ${material.stock_order === "oldest_first"
    ? field(form, { pointer: `${own}/since`, label: t("In stock since"), type: "date" })
    : nothing}`;
}

/** @param {Form} form @param {any} run @param {string} at @param {number} index @param {number} largest */
function entryCard(form, run, at, index, largest) {
  const { material } = run;
  const entry = material.stock[index],
    kind = kindOf(entry),
    own = `${at}/stock/${index}`;
  const remove = () => {
    if (material.stock.length === 1) leaveStock(material);
    else {
      material.stock.splice(index, 1);
      changed(0);
    }
  };
  const id = `${form.name}-stock-kind-${at.replace(/\D+/g, "")}-${index}`;
  return html`<li class="stock-entry">
    ${partErrors(form, own)}${entryDrawing(entry, largest)}
    <div class="fields grid">
      <div class="field">
        <label for=${id}>${t("It is")}</label>
        <select id=${id} @change=${(/** @type {any} */ event) => changeKind(material.stock, entry, event)}>
          ${kinds(kind, run.cutter).map(
            ([name, label]) => html`<option value=${name} ?selected=${name === kind}>${label}</option>`,
          )}
        </select>
      </div>
      ${field(form, { pointer: `${own}/name`, label: t("Name") })}${kind === "sheet"
        ? sheetSize({
            id: `${form.name}-stock-size-${at.replace(/\D+/g, "")}-${index}`,
            sheet: entry,
            units: draft.request.units || "mm",
            none: "",
            take: (width = "", height = "") => {
              Object.assign(entry, { width, height });
              changed(0);
            },
          })
        : nothing}${sizeFields(form, own, kind)}${priceFields(form, material, entry, own)}
    </div>
    <button type="button" class="quiet" @click=${remove}>
      ${t("Remove {name}", { name: entry.name || t("this entry") })}
    </button>
  </li>`;
}

/** @param {any} material */
function add(material) {
  material.stock.push({ name: unused(material.stock, t("sheets")), ...firstOf("sheet") });
  changed(0);
}

/**
 * One currency for all that has a price.
 * @param {Form} form
 * @param {any[]} stock
 * @param {string} at the pointer of its material
 */
function currencyField(form, stock, at) {
  if (!stock.some((each) => each.price)) return nothing;
  const currency = stock.find((each) => each.currency)?.currency || "",
    id = `${form.name}-currency-${at.replace(/\D+/g, "")}`;
  const write = (/** @type {any} */ event) => setCurrency(stock, event.target.value.trim());
  return html`<div class="field">
    <label for=${id}>${t("Currency")}</label><input id=${id} .value=${currency} autocomplete="off" @change=${write} />
  </div>`;
}

/** The entries of a run's stock. @param {Form} form @param {any} run @param {string} at the pointer of its material */
export function stockList(form, run, at) {
  const { material } = run,
    { stock } = material,
    largest = Math.max(...stock.flatMap(sizeOf).filter(Number.isFinite), 1);
  const orders = /** @type {[string, string][]} */ ([
    ["", t("what costs least")],
    ["oldest_first", t("what is oldest")],
  ]);
  return html`<fieldset class="stock">
    <legend>${t("What is in stock")}</legend>
    <ol>
      ${stock.map((/** @type {any} */ _entry, /** @type {number} */ index) => entryCard(form, run, at, index, largest))}
    </ol>
    <div class="fields grid">
      ${field(form, { pointer: `${at}/stock_order`, label: t("Taken first"), options: orders })}${currencyField(
        form,
        stock,
        at,
      )}
    </div>
    <div class="row">
      <button type="button" class="add-stock" @click=${() => add(material)}>${t("Add to the stock")}</button>
      <button type="button" class="quiet" @click=${() => leaveStock(material)}>${t("Cut without a stock")}</button>
    </div>
  </fieldset>`;
}

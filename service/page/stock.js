/** A run's stock: sheets, rolls and leftovers with counts and prices, and what is used of them. @module */
import { html, nothing } from "./lit-html.js";
import { isOnRoll } from "./cutters.js";
import { outlinePath } from "./draw.js";
import { changed, draft } from "./draft.js";
import { field, partErrors } from "./field.js";
import { show, toMm } from "./lengths.js";
import { t, tn } from "./text.js";

/** @typedef {import("./field.js").Form} Form */

const inches = () => draft.request.units === "in";

/** @param {any} entry @returns {"leftover" | "roll" | "sheet"} */
const kindOf = (entry) => "outline" in entry ? "leftover" : "roll" in entry ? "roll" : "sheet";

/** What a kind of entry has that the others have not, as it is at first. @param {string} kind */
function firstOf(kind) {
  if (kind === "leftover") return { outline: inches() ? [[0, 0], [8, 0], [8, 3], [0, 6]] : [[0, 0], [200, 0], [200, 80], [0, 150]] };
  if (kind === "roll") return { width: inches() ? "12" : "300", roll: inches() ? "72" : "2000" };
  return { width: inches() ? "12" : "300", height: inches() ? "12" : "300", count: 1 };
}

/** @param {any[]} stock @param {string} name a new entry's name, made different from the others' */
function unused(stock, name) {
  const names = new Set(stock.map((each) => each.name));
  for (let n = stock.length + 1; ; n += 1) if (!names.has(`${name} ${n}`)) return `${name} ${n}`;
}

/** The material comes from a stock from now on, which starts with the sheet of before. @param {any} material */
export function useStock(material) {
  const { width, height } = material;
  for (const name of ["width", "height", "position"]) delete material[name];
  material.stock = [{ name: t("sheets"), ...firstOf("sheet"), ...(width && height ? { width, height } : {}) }];
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
  const { since, currency, price } = entry, kind = event.target.value, names = { sheet: t("sheets"), roll: t("roll"), leftover: t("leftover") };
  // A name that nobody chose follows what the entry is.
  const given = Object.values(names).some((each) => entry.name === each || entry.name?.startsWith(`${each} `)), name = given ? unused(stock, names[/** @type {"roll"} */ (kind)]) : entry.name;
  for (const member of Object.keys(entry)) delete entry[member];
  const kept = { name, since, currency, price, price_per: kind === "roll" && price ? inches() ? "36" : "1000" : undefined };
  Object.assign(entry, JSON.parse(JSON.stringify(kept)), firstOf(kind));
  changed(0);
}

/** One currency for all that has a price. @param {any[]} stock @param {string} currency */
function setCurrency(stock, currency) {
  for (const each of stock) if (currency && each.price) each.currency = currency; else delete each.currency;
  changed();
}

/** To scale beside the others. @param {any} entry @param {number} largest mm */
function entryDrawing(entry, largest) {
  const factor = toMm("1", draft.request.units || "mm");
  const corners = (entry.outline || []).map((/** @type {number[]} */ each) => each.map((side) => side * factor));
  const [width, height] = sizeOf(entry);
  if (!(width > 0) || !(height > 0)) return nothing;
  const left = Math.min(0, ...corners.map((/** @type {number[]} */ each) => each[0])), low = Math.min(0, ...corners.map((/** @type {number[]} */ each) => each[1]));
  const path = Array.isArray(entry.outline) ? outlinePath(corners) : `M0 0H${width}V${height}H0Z`;
  return html`<svg class="stock-drawing" viewBox="${left - largest * 0.02} ${-low - largest * 1.02} ${largest * 1.04} ${largest * 1.04}" aria-hidden="true">
    <path transform="scale(1 -1)" class="patch" vector-effect="non-scaling-stroke" d=${path} /></svg>`;
}

/** @param {any} entry @returns {number[]} width and height, mm; of a roll no more than is drawn of it */
function sizeOf(entry) {
  const units = draft.request.units || "mm";
  if (Array.isArray(entry.outline)) return [0, 1].map((at) => toMm(Math.max(...entry.outline.map((/** @type {number[]} */ each) => each[at])) - Math.min(...entry.outline.map((/** @type {number[]} */ each) => each[at])), units));
  const width = toMm(entry.width, units);
  return [width, entry.roll ? Math.min(toMm(entry.roll, units), 2 * width) : toMm(entry.height, units)];
}

/** A cutter with a flat bed is fed no roll: what is on offer for its stock. @param {string} kind @param {unknown} cutter */
const kinds = (kind, cutter) => [["sheet", t("sheets")], ["roll", t("a roll")], ["leftover", t("a leftover of another outline")]].filter(([name]) => name !== "roll" || kind === "roll" || isOnRoll(cutter));

/** @param {Form} form @param {any} run @param {string} at @param {number} index @param {number} largest */
function entryCard(form, run, at, index, largest) {
  const { material } = run;
  const entry = material.stock[index], kind = kindOf(entry), own = `${at}/stock/${index}`;
  const currency = material.stock.find((/** @type {any} */ each) => each.currency)?.currency || "";
  const remove = () => { if (material.stock.length === 1) leaveStock(material); else { material.stock.splice(index, 1); changed(0); } };
  const priced = { ...form, changed: () => { if (entry.price && currency) entry.currency = currency; if (!entry.price) { delete entry.currency; delete entry.price_per; } form.changed(); } };
  Object.defineProperty(priced, "errors", { get: () => form.errors });
  return html`<li class="stock-entry">${partErrors(form, own)}${entryDrawing(entry, largest)}<div class="fields grid">
    <div class="field"><label for="${form.name}-stock-kind-${at.replace(/\D+/g, "")}-${index}">${t("It is")}</label>
      <select id="${form.name}-stock-kind-${at.replace(/\D+/g, "")}-${index}" @change=${(/** @type {any} */ event) => changeKind(material.stock, entry, event)}>
        ${kinds(kind, run.cutter).map(([name, label]) => html`<option value=${name} ?selected=${name === kind}>${label}</option>`)}</select></div>
    ${field(form, { pointer: `${own}/name`, label: t("Name") })}
    ${kind === "leftover" ? field(form, { pointer: `${own}/outline`, label: t("Corners"), kind: "corners", hint: t("Across and up from one corner, in turn: 0, 0; 8, 0; 8, 3; 0, 6") })
    : field(form, { pointer: `${own}/width`, label: kind === "roll" ? t("Width of the roll") : t("Width") })}
    ${kind === "sheet" ? html`${field(form, { pointer: `${own}/height`, label: t("Height") })}${field(form, { pointer: `${own}/count`, label: t("How many there are"), kind: "whole", placeholder: "1" })}` : nothing}
    ${kind === "roll" ? field(form, { pointer: `${own}/roll`, label: t("Length left on it") }) : nothing}
    ${field(priced, { pointer: `${own}/price`, label: kind === "roll" ? t("Price of a length") : t("Price of one"), placeholder: "0.00" })}
    ${kind === "roll" && entry.price ? field(form, { pointer: `${own}/price_per`, label: t("The length that this buys"), placeholder: inches() ? "36" : "1000" }) : nothing}
    ${material.stock_order === "oldest_first" ? field(form, { pointer: `${own}/since`, label: t("In stock since"), type: "date" }) : nothing}
    </div><button type="button" class="quiet" @click=${remove}>${t("Remove {name}", { name: entry.name || t("this entry") })}</button></li>`;
}

/** @param {any} material */
function add(material) {
  material.stock.push({ name: unused(material.stock, t("sheets")), ...firstOf("sheet") });
  changed(0);
}

/** The entries of a run's stock. @param {Form} form @param {any} run @param {string} at the pointer of its material */
export function stockList(form, run, at) {
  const { material } = run, { stock } = material, currency = stock.find((/** @type {any} */ each) => each.currency)?.currency || "";
  const largest = Math.max(...stock.flatMap(sizeOf).filter(Number.isFinite), 1), id = `${form.name}-currency-${at.replace(/\D+/g, "")}`;
  return html`<fieldset class="stock"><legend>${t("What is in stock")}</legend>
    <ol>${stock.map((/** @type {any} */ _entry, /** @type {number} */ index) => entryCard(form, run, at, index, largest))}</ol>
    <div class="fields grid">
      ${field(form, { pointer: `${at}/stock_order`, label: t("Taken first"), options: [["", t("what costs least")], ["oldest_first", t("what is oldest")]] })}
      ${stock.some((/** @type {any} */ each) => each.price) ? html`<div class="field"><label for=${id}>${t("Currency")}</label><input id=${id} .value=${currency} autocomplete="off" @change=${(/** @type {any} */ event) => setCurrency(stock, event.target.value.trim())}></div>` : nothing}
    </div>
    <div class="row"><button type="button" class="add-stock" @click=${() => add(material)}>${t("Add to the stock")}</button>
      <button type="button" class="quiet" @click=${() => leaveStock(material)}>${t("Cut without a stock")}</button></div></fieldset>`;
}

/** @param {any} each an entry of an answer @param {string} units */
function used(each, units) {
  if (each.used_length_mm !== undefined) return each.used_length_mm ? t("{length} used, {left} left", { length: show(each.used_length_mm, units), left: show(each.left_length_mm, units) }) : t("not used");
  return each.used ? t("{used} used, {left} left", { used: each.used, left: each.unused }) : t("not used");
}

/** @param {any} each what to buy @param {string} units @param {string} currency */
function purchase(each, units, currency) {
  const what = each.length_mm === undefined ? t("{n} more of “{name}”", { n: each.count, name: each.name }) : t("{length} more of “{name}”", { length: show(each.length_mm, units), name: each.name });
  return each.cost === undefined ? what : t("{what}: {cost}", { what, cost: `${each.cost} ${currency}`.trim() });
}

/** What a run takes of its stock, and what is missing. @param {any} run of an answer @param {string} units @param {string} currency */
export function stockUse(run, units, currency) {
  if (!run.stock) return nothing;
  const short = run.shortfall, priced = run.stock_cost !== undefined;
  return html`${short ? html`<div class="problem shortfall" role="status"><p>${t("The stock does not hold all pieces. Missing: {pieces}.", { pieces: Object.entries(short.missing).map(([id, n]) => `${id} × ${n}`).join(", ") })}</p>
      ${short.buy.length ? html`<p>${tn("This would do:", "Any one of these would do:", short.buy.length)}</p><ul>${short.buy.map((/** @type {any} */ each) => html`<li>${purchase(each, units, currency)}</li>`)}</ul>` : nothing}</div>` : nothing}
    <table class="stock-use"><thead><tr><th>${t("Stock")}</th><th>${t("Used")}</th>${priced ? html`<th>${t("Cost")}</th>` : nothing}</tr></thead>
      <tbody>${run.stock.map((/** @type {any} */ each) => html`<tr><td>${each.name}</td><td>${used(each, units)}</td>${priced ? html`<td>${each.cost ?? ""}</td>` : nothing}</tr>`)}
      ${priced ? html`<tr><th colspan="2">${t("Together")}</th><td>${`${run.stock_cost} ${currency}`.trim()}</td></tr>` : nothing}</tbody></table>`;
}

/** What the service says about a kit: whether it fits, loads with pictures, material, time, price, warnings. @module */
import { html, nothing } from "./lit-html.js";
import { enlarge, image } from "./images.js";
import { show, timeOf } from "./lengths.js";
import { clothUse, isCloth, loadCount, materialUse } from "./material_use.js";
import { loadNote, pausesOf, runNote, stepsOfLoad, stepsOfRun } from "./stops.js";
import { t, tn } from "./text.js";
import { playPath } from "./play.js";
import { stockUse } from "./stock_use.js";
import { noteList, warningCount, warningList } from "./warnings.js";

/** @param {any} load @param {string} title */
function open(load, title) {
  /** @type {[string, string][]} */
  const pictures = [[t("Pieces"), load.picture]];
  if (load.path_picture) pictures.push([t("Tool path"), load.path_picture]);
  enlarge(title, pictures, stepsOfLoad(load));
}

/** What is done at the machine, in turn. @param {any} load */
function stepList(load) {
  const steps = stepsOfLoad(load),
    note = loadNote(load);
  if (!steps.length) return nothing;
  return html`<details class="stops">
    <summary>${tn("{n} step at the machine", "{n} steps at the machine", steps.length)}</summary>
    ${note ? html`<p>${note}</p>` : nothing}
    <ol>
      ${steps.map((each) => html`<li>${each}</li>`)}
    </ol>
  </details>`;
}

/** @param {any} load @param {any} run @param {string} units */
function loadCard(load, run, units) {
  const title = t("Run {run}, load {load}", { run: run.number, load: load.number });
  const pieces = Object.entries(load.outlines || load.placed || {})
    .map(([id, count]) => `${heapOf(run, id)} × ${count}`)
    .join(", ");
  return html`<li class="load">
    <button
      type="button"
      class="picture"
      @click=${() => open(load, title)}
      aria-label=${t("Enlarge {title}", { title })}
    >
      ${image(load.picture, title)}
    </button>
    <p>
      <strong>${title}</strong>${load.repeats > 1
        ? html` <span class="times">${t("{n} times", { n: load.repeats })}</span>`
        : nothing}<br />
      ${load.stock ? html`${t("From “{name}”", { name: load.stock })}<br />` : nothing}${pieces}<br />${t(
        "{share} % of the area is covered; {time}",
        { share: Math.round(load.utilisation * 100), time: timeOf(load) },
      )}
      ${load.length_mm ? html`<br />${t("Length {length}", { length: show(load.length_mm, units) })}` : nothing}
    </p>
    ${stepList(load)}
    ${load.path_picture
      ? html`<button type="button" class="quiet" @click=${() => playPath(title, load.path_picture)}>
          ${t("Watch the tool")}
        </button>`
      : nothing}
  </li>`;
}

/** The pieces that are cut as one heap, of which the first is named. @param {any} run @param {string} id */
export const heapOf = ({ totals }, id) => Object.keys(totals[id]?.per_copy || { [id]: 1 }).join(" + ");

/** What a run makes of each piece; of pieces that are cut as one heap, of all of them together. @param {any} run */
export const madeOf = ({ totals }) =>
  Object.entries(totals)
    .map(([id, each]) => `${heapOf({ totals }, id)}: ${each.made}`)
    .join(", ");

/** @param {any} run */
function runHeading(run) {
  const cut = run.cut === "patch" ? t("patches") : t("templates");
  return `${run.number}. ${cut}, ${run.material?.name || ""}`;
}

/** @param {any} answer @param {any} request @returns {string} the figures, for somebody who does not see them change */
export function summary(answer, request) {
  const { totals } = answer,
    units = request?.units || "mm",
    found = answer.quote?.price;
  return [
    `${t("Fits")}: ${fits(answer)}`,
    tn("{n} load", "{n} loads", totals.loads),
    ...answer.runs.flatMap((/** @type {any} */ run) => [materialUse(run, units), clothUse(run, units)]),
    timeOf(totals),
    found ? `${t("Price, without tax")}: ${found.per_batch} ${answer.quote.currency || ""}`.trim() : "",
    tn(
      "{n} warning",
      "{n} warnings",
      warningCount(answer) + answer.runs.filter((/** @type {any} */ run) => runNote(run, true)).length,
    ),
  ]
    .filter(Boolean)
    .join(", ");
}

/** The figures in one line. @param {any} answer @param {any} request @returns {string} */
export function short(answer, request) {
  const { totals, quote } = answer,
    cost = quote?.price ? `${quote.price.per_batch} ${quote.currency || ""}`.trim() : "";
  const [material] = answer.runs.map((/** @type {any} */ run) => materialUse(run, request?.units || "mm", true));
  return [
    `${t("Fits")}: ${fits(answer)}`,
    tn("{n} load", "{n} loads", totals.loads),
    answer.runs.length === 1 ? material : "",
    timeOf(totals),
    cost,
  ]
    .filter(Boolean)
    .join(" · ");
}

/** @param {any} answer */
function price(answer) {
  const found = answer.quote?.price;
  if (!found) return nothing;
  const text = `${found.per_batch} ${answer.quote.currency || ""}`.trim();
  return html`<div>
    <dt>${t("Price, without tax")}</dt>
    <dd id="price">${text}</dd>
  </div>`;
}

/** What a price leaves out. @param {any} answer */
function notPriced({ quote }) {
  if (!quote?.not_priced.length) return nothing;
  return html`<p class="warnings" id="not-priced">
    ${t("Not in the price: {what}.", { what: quote.not_priced.join(", ") })}
  </p>`;
}

/** @param {any} answer */
function fits(answer) {
  if (answer.runs.some((/** @type {any} */ run) => run.shortfall)) return t("not all: too little in stock");
  const isShort = (/** @type {any} */ run) =>
    Object.values(run.totals).some((each) => /** @type {any} */ (each).missing);
  return answer.runs.some(isShort) ? t("not all") : t("yes");
}

/** Before its files are made already: whether they stop the machine, and which would. @param {any} run
 * @param {boolean} isDraft */
function watch(run, isDraft) {
  const note = runNote(run, isDraft);
  if (!note) return nothing;
  return html`<p class="warnings watch">${note}</p>`;
}

/**
 * How much cloth to buy, or why that is not known.
 * @param {any} run @param {string} units @param {boolean} isDraft a kit of an earlier release does not state it
 */
function cloth(run, units, isDraft) {
  const text = clothUse(run, units);
  if (text) return html`<p class="cloth">${text}</p>`;
  if (!isDraft || !isCloth(run.material) || run.stock || run.roll) return nothing;
  return html`<p class="cloth">
    ${t(
      "How much cloth to buy is not known: each piece is wider than the cloth. State the sheet's size, or wider cloth.",
    )}
  </p>`;
}

/** The currency of a run's stock; an answer states amounts alone. @param {any} request @param {any} run */
function currencyOf(request, run) {
  const stock = request?.runs?.[run.number - 1]?.material?.stock;
  return Array.isArray(stock) ? stock.find((/** @type {any} */ each) => each.currency)?.currency || "" : "";
}

/**
 * The whole of an answer: figures, runs, loads, warnings, cautions.
 * @param {any} answer a preview or a kit
 * @param {any} request that it answers
 * @param {(delay: number) => void} [changed] called when the request has been changed; without it nothing can be
 */
export function answerView(answer, request, changed) {
  const { totals } = answer,
    units = request?.units || "mm",
    steps = answer.runs.reduce((/** @type {number} */ sum, /** @type {any} */ run) => sum + stepsOfRun(run), 0),
    pauses = answer.runs.reduce((/** @type {number} */ sum, /** @type {any} */ run) => sum + pausesOf(run), 0);
  return html`<dl class="figures">
      <div>
        <dt>${t("Fits")}</dt>
        <dd class="fits">${fits(answer)}</dd>
      </div>
      <div>
        <dt>${t("Loads")}</dt>
        <dd id="loads">${totals.loads}</dd>
      </div>
      <div>
        <dt>${t("Time")}</dt>
        <dd>${timeOf(totals)}</dd>
      </div>
      ${steps
        ? html`<div>
            <dt>${t("Steps at the machine")}</dt>
            <dd id="steps">${steps}</dd>
          </div>`
        : nothing}
      ${pauses
        ? html`<div>
            <dt>${t("Of these, while it cuts")}</dt>
            <dd id="pauses">${pauses}</dd>
          </div>`
        : nothing}
      ${price(answer)}
    </dl>
    ${notPriced(answer)}${warningList(answer, 0, request, changed)}
    ${answer.runs.map(
      (/** @type {any} */ run) =>
        html`<section class="run-answer">
          <h3>${runHeading(run)}</h3>
          <p class="takes">
            ${[tn("{n} load", "{n} loads", loadCount(run)), materialUse(run, units)].filter(Boolean).join("; ")};
            ${madeOf(run)}
          </p>
          ${cloth(run, units, Boolean(changed))}${stockUse(run, units, currencyOf(request, run))}${watch(
            run,
            Boolean(changed),
          )}${warningList(answer, run.number, request, changed)}
          <ul class="loads">
            ${run.loads.map((/** @type {any} */ load) => loadCard(load, run, units))}
          </ul>
        </section>`,
    )}
    ${noteList(answer, Boolean(changed))}
    <details class="cautions">
      <summary>${t("Before you cut: cautions")}</summary>
      <ul>
        ${(answer.cautions || []).map((/** @type {string} */ each) => html`<li>${each}</li>`)}
      </ul>
    </details>`;
}

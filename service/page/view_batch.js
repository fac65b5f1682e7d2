/** One batch: its number and reference, how far it is, and its kits. @module */
import { html, nothing } from "./lit-html.js";
import { call, curl, get, saveBlob } from "./api.js";
import { t } from "./text.js";

/** @type {any} */
let batch = null;
/** @type {any[]} */
let kits = [];
/** The next page of kits, where there is one. */
let next = "";
/** @type {() => void} */
let redraw = () => {};

/** @param {() => void} drawn @param {string} id */
export async function enter(drawn, id) {
  redraw = drawn;
  batch = null;
  kits = [];
  redraw();
  await more(`/v1/batches/${id}?limit=100`);
}

/** @param {string} href */
async function more(href) {
  batch = await get(href);
  kits = [...kits, ...batch.kits];
  next = batch.kits.length && batch.next ? batch.next : "";
  redraw();
}

async function zip() {
  const answer = await call("GET", `/v1/batches/${batch.id}`, { headers: { Accept: "application/zip" } });
  saveBlob(await answer.blob(), `batch-${batch.number ?? batch.id}.zip`);
}

export const title = () => batch?.title || t("Batch");
export const status = () => (batch ? `${title()} ${batch.number ?? ""}`.trim() : "");

export function view() {
  if (!batch)
    return html`<div class="sheet">
      <h1>${t("Batch")}</h1>
      <p>${t("Opening …")}</p>
    </div>`;
  const ended = batch.progress >= 1;
  return html`<section class="sheet">
    <h1>${batch.title || t("Batch without a title")}</h1>
    ${batch.number ? html`<p class="number" id="batch-number">${batch.number}</p>` : nothing}
    ${batch.reference ? html`<p>${t("Your reference")}: ${batch.reference}</p>` : nothing}
    <dl class="figures">
      <div>
        <dt>${t("Kits asked for")}</dt>
        <dd>${batch.total}</dd>
      </div>
      <div>
        <dt>${t("Made")}</dt>
        <dd>${batch.counts.succeeded}</dd>
      </div>
      <div>
        <dt>${t("Failed")}</dt>
        <dd>${batch.counts.failed}</dd>
      </div>
    </dl>
    ${ended
      ? html`<div class="row">
          <button type="button" class="main" id="batch-zip" @click=${zip}>${t("All kits as one zip")}</button>
        </div>`
      : nothing}
    <ul class="kits">
      ${kits.map(
        (each) =>
          html`<li>
            <a href="#/kits/${String(each.kit).split("/").at(-1)}"
              ><strong>${each.number}. ${each.title || t("Kit without a title")}</strong></a
            >
          </li>`,
      )}
    </ul>
    ${next ? html`<button type="button" @click=${() => more(next)}>${t("More kits")}</button>` : nothing}
    <details>
      <summary>${t("For programmers: the same as a command")}</summary>
      <pre tabindex="0"><code>${curl("GET", `/v1/batches/${batch.id}`)}</code></pre>
    </details>
  </section>`;
}

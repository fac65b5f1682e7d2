/** Saved kits and batches: searched, and opened. @module */
import { html, nothing } from "./lit-html.js";
import { curl, get } from "./api.js";
import { field } from "./field.js";
import { chosenShapes, loadShapes } from "./shapes.js";
import { t, tn } from "./text.js";

const DELAY_MS = 250;

/** @type {any[] | null} */
let kits = null;
/** Where the kits behind those shown are, if there are any. */
let next = "";
/** @type {any[]} */
let batches = [];
/** @type {() => void} */
let redraw = () => {};
let timer = 0,
  serial = 0;
/** @type {import("./field.js").Form} */
const form = {
  name: "search",
  data: {},
  errors: [],
  changed: () => {
    clearTimeout(timer);
    timer = window.setTimeout(search, DELAY_MS);
    redraw();
  },
};

/** @param {() => void} drawn */
export async function enter(drawn) {
  redraw = drawn;
  await Promise.all([search(), loadShapes(drawn)]);
}

function path() {
  const query = new URLSearchParams({ limit: "50" });
  for (const [name, value] of Object.entries(form.data))
    if (String(value).trim()) query.set(name, String(value).trim());
  return `/v1/kits?${query}`;
}

/** Batches are found by number and reference alone. */
async function findBatches() {
  const { title, shape, created_from, ...query } = form.data;
  if ([title, shape, created_from].some((each) => String(each ?? "").trim())) return [];
  const stated = Object.entries(query).filter(([, value]) => String(value).trim());
  return (await get(`/v1/batches?${new URLSearchParams({ limit: "50", ...Object.fromEntries(stated) })}`)).batches;
}

async function search() {
  await show(path(), []);
}

/** @param {string} from @param {any[]} before */
async function show(from, before) {
  const own = ++serial;
  try {
    const [found, of] = await Promise.all([get(from), findBatches()]);
    if (own !== serial) return;
    batches = of;
    [kits, next] = [[...before, ...found.kits], found.next || ""];
    form.errors = [];
  } catch (error) {
    if (own !== serial) return;
    [kits, next, batches] = [[], "", []];
    form.errors = [{ pointer: "#/title", detail: /** @type {Error} */ (error).message }];
  }
  redraw();
}

export const status = () => (kits ? tn("{n} kit is found.", "{n} kits are found.", kits.length) : "");

function batchList() {
  if (!batches.length) return nothing;
  return html`<h2>${t("Batches: several kits made at once")}</h2>
    <ul class="kits batches">
      ${batches.map(
        (batch) =>
          html`<li>
            <a href="#/batches/${batch.id}"
              ><strong>${batch.title || t("Batch without a title")}</strong>
              <span class="number">${batch.number ?? nothing}</span
              ><time datetime=${batch.created_at}>${new Date(batch.created_at).toLocaleString()}</time></a
            >
          </li>`,
      )}
    </ul>`;
}

export function view() {
  return html`<section class="sheet">
    <h1>${t("Saved kits")}</h1>
    <div class="fields grid">
      ${field(form, { pointer: "#/title", label: t("Part of the title") })}
      ${field(form, { pointer: "#/number", label: t("Number on the sheet or label") })}
      ${field(form, { pointer: "#/reference", label: t("Your reference") })}
      ${field(form, { pointer: "#/shape", label: t("With the shape"), options: [["", t("any")], ...chosenShapes()] })}
      ${field(form, { pointer: "#/created_from", label: t("Made on this day or later"), type: "date" })}
    </div>
    <ul class="kits">
      ${(kits || []).map(
        (kit) =>
          html`<li>
            <a href="#/kits/${kit.id}"
              ><strong>${kit.title || t("Kit without a title")}</strong>
              <span class="number">${kit.number}</span>${kit.reference ? html`<span>${kit.reference}</span>` : nothing}
              ${kit.recut_of ? html`<span>${t("recut")}</span>` : nothing}<time datetime=${kit.created_at}
                >${new Date(kit.created_at).toLocaleString()}</time
              ></a
            >
          </li>`,
      )}
    </ul>
    ${kits && !kits.length
      ? html`<p>${Object.keys(form.data).length ? t("No kit is found.") : t("No kit has been made yet.")}</p>`
      : nothing}
    ${next
      ? html`<button type="button" id="more-kits" @click=${() => show(next, kits || [])}>${t("Show more")}</button>`
      : nothing}
    ${batchList()}
    <details>
      <summary>${t("For programmers: the same as a command")}</summary>
      <pre tabindex="0"><code>${curl("GET", path())}</code></pre>
    </details>
  </section>`;
}

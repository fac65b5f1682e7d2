/** Saved kits: searched, and opened. @module */
import { html, nothing } from "./lit-html.js";
import { get } from "./api.js";
import { field } from "./field.js";
import { t } from "./text.js";

/** @type {any[] | null} */
let kits = null;
/** @type {() => void} */
let redraw = () => {};
let timer = 0, serial = 0;
/** @type {import("./field.js").Form} */
const form = { name: "search", data: {}, errors: [], changed: () => { clearTimeout(timer); timer = window.setTimeout(search, 250); redraw(); } };

/** @param {() => void} drawn */
export async function enter(drawn) { redraw = drawn; await search(); }

async function search() {
  const own = ++serial;
  const query = new URLSearchParams({ limit: "50" });
  for (const [name, value] of Object.entries(form.data)) query.set(name, String(value).trim());
  try {
    const found = await get(`/v1/kits?${query}`);
    if (own === serial) { kits = found.kits; form.errors = []; }
  } catch (error) {
    form.errors = [{ pointer: "#/title", detail: /** @type {Error} */ (error).message }];
  }
  redraw();
}

export function view() {
  return html`<section class="sheet"><h1>${t("Saved kits")}</h1>
    <div class="fields grid">
      ${field(form, { pointer: "#/title", label: t("Part of the title") })}
      ${field(form, { pointer: "#/number", label: t("Number on the sheet or label") })}
      ${field(form, { pointer: "#/reference", label: t("Your reference") })}
    </div>
    <ul class="kits" aria-live="polite">${(kits || []).map((kit) => html`<li><a href="#/kits/${kit.id}"><strong>${kit.title || t("Kit without a title")}</strong>
      <span class="number">${kit.number}</span><time datetime=${kit.created_at}>${new Date(kit.created_at).toLocaleString()}</time></a></li>`)}</ul>
    ${kits && !kits.length ? html`<p>${t("No kit is found.")}</p>` : nothing}</section>`;
}

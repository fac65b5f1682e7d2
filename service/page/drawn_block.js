/** A block that was taken apart: its pieces, what was repaired, its kit, and saving it. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, call, curl } from "./api.js";
import { inOwnUnits } from "./convert.js";
import { startFrom } from "./draft.js";
import { field } from "./field.js";
import { svgImage } from "./images.js";
import { show } from "./lengths.js";
import { planBlock } from "./quilt_block.js";
import { replacing } from "./replacing.js";
import { settings } from "./settings.js";
import { t, tn } from "./text.js";

/**
 * What is shown, of which entry of the gallery it is, and what it was saved as.
 * @type {{block: any, entry: any, saved: any, note: string, title: string}}
 */
const shown = { block: null, entry: null, saved: null, note: "", title: "" };
/** @type {() => void} */
let redraw = () => {};
/** @type {import("./field.js").Form} */
const form = { name: "block", errors: [], data: { name: "" }, changed: () => redraw() };

/** @returns {Record<string, string>} */
const repairs = () => ({
  dot: t("a dot without length was left out"),
  "doubled-line": t("a line drawn twice was made one"),
  gap: t("a gap between two ends was closed"),
  overshoot: t("an end that ran past a line was cut off"),
  "short-of-line": t("an end that did not reach a line was drawn up to it"),
  sliver: t("a sliver between two lines was closed"),
  "loose-line": t("a line that encloses nothing was left out"),
});

/**
 * @param {any} block an answer, or null
 * @param {any} entry of the gallery, where it came from there
 * @param {string} [title] a file's name
 */
export function showBlock(block, entry, title = "") {
  Object.assign(shown, { block, entry, saved: null, note: "", title: title.replace(/\.\w+$/, "") });
  form.errors = [];
  form.data.name = title
    .toLowerCase()
    .replace(/\.\w+$/, "")
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 64);
}

/** The block as the service took it apart: opened again, nothing has to be repaired. */
function drawing() {
  const { block } = shown;
  return {
    title: shown.title || form.data.name,
    units: "mm",
    finished_width: block.width_mm,
    paths: block.pieces.map((/** @type {any} */ each) => ({
      points: each.points,
      closed: true,
      ...(each.fabric ? { fabric: each.fabric } : {}),
    })),
  };
}

const NEW = { "If-None-Match": "*" };
const path = () => `/v1/blocks/${encodeURIComponent(form.data.name || "name")}`;

async function save() {
  form.errors = [];
  shown.note = "";
  if (!/^[a-z0-9][a-z0-9-]{0,63}$/.test(form.data.name)) {
    form.errors = [{ pointer: "#/name", detail: t("Small letters, digits and hyphens, such as harbour-star.") }];
    redraw();
    return;
  }
  try {
    shown.saved = await (await call("PUT", path(), { body: drawing(), headers: NEW })).json();
    shown.note = t("Saved. It stands among the blocks to choose from.");
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    const detail =
      error.status === 412 ? t("A block of this name is saved already.") : error.errors[0]?.detail || error.message;
    form.errors = [{ pointer: "#/name", detail }];
  }
  redraw();
}

/** @param {any} entry */
async function remove(entry) {
  await call("DELETE", entry.href);
  Object.assign(shown, { block: null, entry: null, saved: null, note: t("The saved block is deleted.") });
  redraw();
}

function keeping() {
  const { entry } = shown;
  if (entry) {
    return entry.built_in
      ? nothing
      : html`<button type="button" id="delete-block" @click=${() => remove(entry)}>
            ${t("Delete this saved block")}
          </button>
          <details>
            <summary>${t("For programmers: the same as a command")}</summary>
            <pre tabindex="0"><code>${curl("DELETE", entry.href)}</code></pre>
          </details>`;
  }
  return html`<h3>${t("Keep the block")}</h3>
    <div class="fields">
      ${field(form, {
        pointer: "#/name",
        label: t("Short name"),
        hint: t("Small letters, digits and hyphens, such as harbour-star."),
      })} <button type="button" id="save-block" @click=${save}>${t("Save this block")}</button>
    </div>
    <details>
      <summary>${t("For programmers: the same as a command")}</summary>
      <pre tabindex="0"><code>${curl("PUT", path(), drawing(), { headers: NEW })}</code></pre>
    </details>`;
}

function makeKit() {
  startFrom(inOwnUnits(shown.block.kit));
  location.hash = "#/shape";
}

/** A quilt is planned of a block that has a name: of the gallery, or saved. */
function planning() {
  const { block, entry, saved } = shown,
    isSquare = entry ? entry.in_quilt_plans : saved?.block;
  if (!entry && !saved) return nothing;
  if (!isSquare) return html`<p>${t("A quilt plan cannot repeat it: it is no square of straight-sided pieces.")}</p>`;
  const { name, title } = entry || saved;
  return html`<button
    type="button"
    id="block-quilt"
    @click=${() => planBlock({ name, title, width_mm: block.width_mm })}
  >
    ${t("Plan a quilt of this block")}
  </button>`;
}

export const blockNote = () => shown.note;

/** @param {() => void} drawn */
export function blockView(drawn) {
  redraw = drawn;
  const { block } = shown,
    inUnits = settings.units;
  if (!block) return shown.note ? html`<p>${shown.note}</p>` : nothing;
  const where = (/** @type {any} */ each) =>
    t("{x} from the left, {y} from the lower edge, size {size}", {
      x: show(each.x_mm, inUnits),
      y: show(each.y_mm, inUnits),
      size: show(each.size_mm, inUnits),
    });
  return html`<dl class="figures">
      <div>
        <dt>${t("Finished block")}</dt>
        <dd>${show(block.width_mm, inUnits)} × ${show(block.height_mm, inUnits)}</dd>
      </div>
      <div>
        <dt>${t("Pieces")}</dt>
        <dd id="block-pieces">${block.pieces.length}</dd>
      </div>
    </dl>
    ${svgImage(block.picture, t("The block with its pieces"))}
    ${block.repairs.length
      ? html`<h3>${tn("{n} repair", "{n} repairs", block.repairs.length)}</h3>
          <ul class="warnings repairs">
            ${block.repairs.map(
              (/** @type {any} */ each) => html`<li>${repairs()[each.kind] || each.kind}: ${where(each)}</li>`,
            )}
          </ul>`
      : html`<p>${t("Nothing had to be repaired.")}</p>`}
    ${block.warnings.length
      ? html`<ul class="warnings">
          ${block.warnings.map((/** @type {string} */ each) => html`<li>${each}</li>`)}
        </ul>`
      : nothing}
    ${block.kit
      ? html`<div class="row">
          ${replacing({ id: "block-kit", label: t("Go on to its kit"), main: true, go: makeKit, redraw })}
        </div>`
      : nothing}
    ${keeping()}
    <p id="block-note">${shown.note}</p>
    ${planning()}`;
}

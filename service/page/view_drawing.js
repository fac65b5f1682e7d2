/**
 * A drawing dropped on the page, or a block of the gallery: a block taken apart into pieces, or single shapes.
 * @module
 */
import { html, nothing } from "./lit-html.js";
import { Problem, call, curl } from "./api.js";
import { blockNote, blockView, showBlock } from "./drawn_block.js";
import { shapesView } from "./drawn_shapes.js";
import { field } from "./field.js";
import { gallery, openGallery } from "./gallery.js";
import { settings } from "./settings.js";
import { t, tn } from "./text.js";

const DELAY_MS = 400;

/** @type {File | null} */
let file = null;
/** The gallery's entry that is shown instead of a file. @type {any} */
let entry = null;
/** @type {any} */
let block = null;
/** @type {any} */
let inspection = null;
/** @type {Problem | null} */
let problem = null;
let over = false,
  busy = false,
  serial = 0,
  timer = 0;
/** @type {() => void} */
let redraw = () => {};
/** @type {import("./field.js").Form} */
const form = {
  name: "drawing",
  errors: [],
  data: { as: "block", finished_width: "", blocks: 1, units: "" },
  changed: () => {
    clearTimeout(timer);
    timer = window.setTimeout(send, DELAY_MS);
    redraw();
  },
};

/** @param {() => void} drawn */
export function enter(drawn) {
  redraw = drawn;
  redraw();
}

const isBlock = () => Boolean(entry) || form.data.as === "block";

/** What is stated beside the drawing; a bare width is in the page's units. @returns {Record<string, any>} */
function stated() {
  const { finished_width: width, blocks, units } = form.data;
  if (!isBlock()) return units ? { units } : {};
  const sized = width && /[\d½¼¾⅛⅜⅝⅞]$/.test(width) ? `${width} ${settings.units}` : width;
  const { snap_tolerance: snap, loose_lines: loose } = form.data,
    isBare = snap && /[\d½¼¾⅛⅜⅝⅞]$/.test(snap);
  return {
    ...(sized ? { finished_width: sized } : {}),
    ...(blocks ? { blocks } : {}),
    ...(units && !entry ? { units } : {}),
    ...(snap ? { snap_tolerance: isBare ? `${snap} ${settings.units}` : snap } : {}),
    ...(loose ? { loose_lines: loose } : {}),
  };
}

const path = () => (isBlock() ? "/v1/blocks" : "/v1/inspections");

/** @returns {{body: any} | {form: FormData}} */
function asked() {
  if (entry) return { body: { block: entry.name, ...stated() } };
  const body = new FormData();
  body.set("file", /** @type {File} */ (file));
  for (const [name, value] of Object.entries(stated())) body.set(name, String(value));
  return { form: body };
}

async function send() {
  if (!file && !entry) return;
  const own = ++serial;
  form.errors = [];
  [block, inspection, problem, busy] = [null, null, null, true];
  redraw();
  try {
    const answer = await (await call("POST", path(), asked())).json();
    if (own !== serial) return;
    if (isBlock()) block = answer;
    else inspection = answer;
    showBlock(block, entry, file?.name);
  } catch (error) {
    if (own !== serial) return;
    if (!(error instanceof Problem)) throw error;
    problem = error;
    form.errors = error.errors;
  } finally {
    if (own === serial) busy = false;
    redraw();
  }
}

/** @param {File | undefined} chosen */
function take(chosen) {
  over = false;
  file = chosen || null;
  entry = null;
  send();
}

/** @param {any} chosen */
function takeEntry(chosen) {
  entry = chosen;
  file = null;
  send();
}

export function status() {
  if (problem) return problem.body.title || problem.message;
  if (block)
    return [
      tn("{n} piece", "{n} pieces", block.pieces.length),
      tn("{n} repair", "{n} repairs", block.repairs.length),
      blockNote(),
    ]
      .filter(Boolean)
      .join(", ");
  return inspection ? tn("{n} closed shape", "{n} closed shapes", inspection.outlines.length) : "";
}

function found() {
  if (problem) {
    return html`<div class="problem">
      <h3>${problem.body.title}</h3>
      ${problem.errors.length
        ? html`<ul>
            ${problem.errors.map((each) => html`<li>${each.detail}</li>`)}
          </ul>`
        : html`<p>${problem.message}</p>`}
    </div>`;
  }
  if (busy) return html`<p>${t("Reading …")}</p>`;
  if (block) return blockView(redraw);
  return inspection
    ? shapesView(inspection, file?.name.replace(/\.\w+$/, "") || "", redraw)
    : html`<p>${t("No drawing yet.")}</p>`;
}

function command() {
  if (!file && !entry) return nothing;
  const text = entry
    ? curl("POST", path(), { block: entry.name, ...stated() })
    : curl("POST", path(), undefined, { form: { file: `@${file?.name}`, ...stated() } });
  return html`<details>
    <summary>${t("For programmers: the same as a command")}</summary>
    <pre tabindex="0"><code>${text}</code></pre>
  </details>`;
}

function dropPlace() {
  const stop = (/** @type {Event} */ event, /** @type {boolean} */ now) => {
    event.preventDefault();
    if (over !== now) {
      over = now;
      redraw();
    }
  };
  return html`<div
      class="drop ${over ? "over" : ""}"
      @dragover=${(/** @type {Event} */ event) => stop(event, true)}
      @dragleave=${(/** @type {Event} */ event) => stop(event, false)}
      @drop=${(/** @type {DragEvent} */ event) => {
        event.preventDefault();
        take(event.dataTransfer?.files[0]);
      }}
    >
      <label for="drawing-file"
        ><strong>${t("Drop a drawing here, or choose a file")}</strong><br />${t(
          "SVG, DXF, HP-GL, G-code or a cut plan",
        )}</label
      >
      <input
        id="drawing-file"
        type="file"
        accept=".svg,.dxf,.plt,.hpgl,.ngc,.nc,.gcode,.json"
        @change=${(/** @type {any} */ event) => take(event.target.files[0])}
      />
    </div>
    <div class="row">
      <button type="button" id="open-gallery" @click=${() => openGallery(takeEntry)}>${t("Or choose a block")}</button>
    </div>`;
}

export function view() {
  return html`<div class="table">
      <section class="sheet">
        <h1>${t("A drawing")}</h1>
        ${dropPlace()}
        <p id="drawing-source">
          ${entry
            ? t("Chosen: {name}", { name: entry.title || entry.name })
            : file
              ? t("Chosen: {name}", { name: file.name })
              : nothing}
        </p>
        <div class="fields grid">
          ${entry
            ? nothing
            : field(form, {
                pointer: "#/as",
                label: t("It is"),
                options: [
                  ["block", t("a block of pieces")],
                  ["shapes", t("single shapes")],
                ],
              })}
          ${isBlock()
            ? html`${field(form, {
                pointer: "#/finished_width",
                label: t("Finished width"),
                placeholder: "6 in",
                hint: t("Empty: as it is drawn."),
              })}
              ${field(form, { pointer: "#/blocks", label: t("How many blocks"), kind: "whole" })}`
            : nothing}
          ${isBlock() && !entry
            ? html`${field(form, {
                pointer: "#/snap_tolerance",
                label: t("Ends are joined within"),
                placeholder: "0.5 mm",
              })}
              ${field(form, {
                pointer: "#/loose_lines",
                label: t("Lines that enclose nothing"),
                options: [
                  ["", t("stop and say where")],
                  ["remove", t("leave them out")],
                ],
              })}`
            : nothing}
          ${entry
            ? nothing
            : field(form, {
                pointer: "#/units",
                label: t("Units of the drawing"),
                options: [
                  ["", t("as the file says")],
                  ["mm", "mm"],
                  ["in", "in"],
                  ["cm", "cm"],
                ],
              })}
        </div>
        ${command()}
      </section>
      <section class="result" aria-label=${t("What was found")} aria-busy=${busy}>
        <h2>${t("What was found")}</h2>
        ${found()}
      </section>
    </div>
    ${gallery(redraw)}`;
}

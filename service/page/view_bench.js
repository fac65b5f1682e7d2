/** At the bench: one load after the other, in large type, with ticks that outlast a reload. @module */
import { html, nothing } from "./lit-html.js";
import { benchFacts, benchWarnings, piecesOf } from "./bench_facts.js";
import { stepsOf } from "./bench_steps.js";
import { get, openFile } from "./api.js";
import { image } from "./images.js";
import { isCounted, loadNote, stepsOfLoad } from "./stops.js";
import { t } from "./text.js";
import { keepAwake } from "./wake.js";

/** @type {any} */
let kit = null;
/** @type {import("./bench_steps.js").Step[]} */
let steps = [];
/** @type {{at: number, ticks: Record<string, boolean>}} */
let kept = { at: 0, ticks: {} };
let showPath = false;
/** @type {() => void} */
let redraw = () => {};

export function leave() {
  keepAwake(false);
  if (document.fullscreenElement) document.exitFullscreen();
}

export const title = () => kit?.title || t("At the bench");
export const status = () =>
  kit && steps.length && kept.at < steps.length ? t("Load {at} of {all}", { at: kept.at + 1, all: steps.length }) : "";

const name = () => `quarterseam.bench.${kit.id}`;

/** @param {() => void} drawn @param {string} id */
export async function enter(drawn, id) {
  redraw = drawn;
  kit = null;
  redraw();
  keepAwake(true);
  kit = await get(`/v1/kits/${id}`);
  steps = stepsOf(kit);
  try {
    kept = { at: 0, ticks: {}, ...JSON.parse(localStorage.getItem(name()) || "{}") };
  } catch {
    kept = { at: 0, ticks: {} };
  }
  kept.at = Math.min(Math.max(0, kept.at), steps.length);
  redraw();
}

/** @param {{run: any, load: any, repeat: number}} step */
const idOf = (step) => `${step.run.number}-${step.load.number}-${step.repeat}`;
/** @param {{run: any, load: any, repeat: number}} step */
const isDone = (step) => Boolean(kept.ticks[`${idOf(step)}-done`]);

function keep() {
  try {
    localStorage.setItem(name(), JSON.stringify(kept));
  } catch {
    // Without storage the ticks last until the page is left.
  }
  redraw();
}

/** @param {number} by */
function move(by) {
  go(Math.min(Math.max(0, kept.at + by), steps.length));
}

/** @param {number} at a step, or behind the last */
function go(at) {
  kept.at = at;
  keep();
  scrollTo(0, 0);
}

/** @param {string} id @param {string} text */
function tick(id, text) {
  return html`<label
    ><input
      type="checkbox"
      .checked=${Boolean(kept.ticks[id])}
      @change=${(/** @type {any} */ event) => {
        kept.ticks[id] = event.target.checked;
        keep();
      }}
    /><span>${text}</span></label
  >`;
}

/** @param {any} run @param {any} load */
const counted = (run, load) =>
  load.pieces
    ? t("This load is cut and the pieces are counted: {pieces}", { pieces: piecesOf(run, load) })
    : t("This load is cut and the pieces are counted");

/** What the machine is given. @param {any} load */
function filesOf({ files = [], halt }) {
  const names = files.map((/** @type {any} */ each) => each.name).join(", ");
  if (!names) return nothing;
  return html`<p>
    ${halt === "at_ends"
      ? t("Files, one after the other as the steps say: {files}", { files: names })
      : t("File: {file}", { file: names })}
  </p>`;
}

function fullScreen() {
  if (document.fullscreenElement) document.exitFullscreen();
  else document.documentElement.requestFullscreen?.();
}

const head = () =>
  html`<div class="row">
    <a class="button" href="#/kits/${kit.id}">${t("Leave")}</a><span class="number">${kit.number}</span>
    ${kit.run_sheet
      ? html`<button type="button" id="open-run-sheet" @click=${() => openFile(kit.run_sheet)}>
          ${t("Run sheet")}
        </button>`
      : nothing}
    <button type="button" @click=${fullScreen}>${t("Full screen")}</button>
  </div>`;

/** Behind the last load: all is done, or what has no tick yet. */
function end() {
  const open = steps.map((step, at) => ({ step, at })).filter(({ step }) => !isDone(step));
  return html`<div class="bench">
    ${head()}
    <h1 id="bench-end">${open.length ? t("These loads have no tick yet") : t("All loads are done")}</h1>
    ${open.length
      ? html`<ul>
          ${open.map(
            ({ at }) =>
              html`<li>
                <button type="button" @click=${() => go(at)}>
                  ${t("Load {at} of {all}", { at: at + 1, all: steps.length })}
                </button>
              </li>`,
          )}
        </ul>`
      : html`<p>
          ${t("{done} of {all} loads are done.", { done: steps.length, all: steps.length })}
          ${t("Count the pieces before you put the material away: a lost one can be cut again from the kit's page.")}
        </p>`}
    <div class="row bench-buttons">
      <button type="button" id="back" @click=${() => move(-1)}>${t("Back")}</button>
      <a class="button main" href="#/kits/${kit.id}">${t("To the kit")}</a>
    </div>
  </div>`;
}

export function view() {
  if (!kit || !steps.length) return html`<p class="bench">${t("Opening …")}</p>`;
  if (kept.at === steps.length) return end();
  const { run, load, repeat } = steps[kept.at];
  const id = idOf(steps[kept.at]);
  const done = steps.filter(isDone).length,
    note = loadNote(load);
  return html`<div class="bench">
    ${head()}
    <h1>${t("Load {at} of {all}", { at: kept.at + 1, all: steps.length })}</h1>
    ${load.repeats > 1
      ? html`<p>
          <strong id="copy"
            >${t("Copy {copy} of {copies} of this load", { copy: repeat, copies: load.repeats })}</strong
          >
        </p>`
      : nothing}
    <p>
      ${t("{done} of {all} loads are done.", { done, all: steps.length })}
      ${run.cut === "patch" ? t("Patches") : t("Templates")},
      ${run.material.name}${run.layers > 1 ? `, ${t("{n} layers", { n: run.layers })}` : ""}
    </p>
    ${benchFacts(kit, run, load)} ${filesOf(load)}
    <div class="bench-columns">
      <div>
        ${image(
          showPath && load.path_picture ? load.path_picture : load.picture,
          t("Run {run}, load {load}", { run: run.number, load: load.number }),
        )}
        ${load.path_picture
          ? html`<button
              type="button"
              aria-pressed=${showPath}
              @click=${() => {
                showPath = !showPath;
                redraw();
              }}
            >
              ${t("Tool path")}
            </button>`
          : nothing}
      </div>
      <div>
        ${note
          ? html`<p class=${isCounted(load) ? "warnings" : ""} id=${isCounted(load) ? "watch" : "step-note"}>
              ${note}
            </p>`
          : nothing}
        ${stepsOfLoad(load).map((text, index) => tick(`${id}-${index}`, text))}
        ${tick(`${id}-done`, counted(run, load))}
      </div>
    </div>
    ${benchWarnings(kit, run)}
    <details>
      <summary>${t("Before you cut: cautions")}</summary>
      <ul>
        ${kit.cautions.map((/** @type {string} */ each) => html`<li>${each}</li>`)}
      </ul>
    </details>
    <div class="row bench-buttons">
      <button type="button" id="back" ?disabled=${kept.at === 0} @click=${() => move(-1)}>${t("Back")}</button>
      <small role="status">${isDone(steps[kept.at]) ? nothing : t("not ticked yet")}</small>
      <button type="button" class="main" id="next" @click=${() => move(1)}>
        ${kept.at === steps.length - 1 ? t("To the end") : t("Next load")}
      </button>
    </div>
  </div>`;
}

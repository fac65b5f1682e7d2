/** At the bench: one load after the other, in large type, with ticks that outlast a reload. @module */
import { html, nothing } from "./lit-html.js";
import { get } from "./api.js";
import { image } from "./images.js";
import { t } from "./text.js";

/** @type {any} */
let kit = null;
/** @type {{run: any, load: any, repeat: number}[]} */
let steps = [];
/** @type {{at: number, ticks: Record<string, boolean>}} */
let kept = { at: 0, ticks: {} };
let showPath = false;
/** @type {() => void} */
let redraw = () => {};

const name = () => `quarterseam.bench.${kit.id}`;

/** @param {() => void} drawn @param {string} id */
export async function enter(drawn, id) {
  redraw = drawn;
  kit = null;
  redraw();
  kit = await get(`/v1/kits/${id}`);
  steps = kit.runs.flatMap((/** @type {any} */ run) => run.loads.flatMap((/** @type {any} */ load) =>
    Array.from({ length: load.repeats || 1 }, (_, index) => ({ run, load, repeat: index + 1 }))));
  try {
    kept = { at: 0, ticks: {}, ...JSON.parse(localStorage.getItem(name()) || "{}") };
  } catch {
    kept = { at: 0, ticks: {} };
  }
  kept.at = Math.min(Math.max(0, kept.at), steps.length - 1);
  redraw();
}

function keep() {
  try {
    localStorage.setItem(name(), JSON.stringify(kept));
  } catch {
    // Without storage the ticks last until the page is left.
  }
  redraw();
}

/** @param {number} by */
function move(by) { kept.at = Math.min(Math.max(0, kept.at + by), steps.length - 1); keep(); scrollTo(0, 0); }

/** @param {string} id @param {string} text */
function tick(id, text) {
  return html`<label><input type="checkbox" .checked=${Boolean(kept.ticks[id])}
    @change=${(/** @type {any} */ event) => { kept.ticks[id] = event.target.checked; keep(); }}><span>${text}</span></label>`;
}

function fullScreen() {
  if (document.fullscreenElement) document.exitFullscreen();
  else document.documentElement.requestFullscreen?.();
}

export function view() {
  if (!kit || !steps.length) return html`<p class="bench">${t("Opening …")}</p>`;
  const { run, load, repeat } = steps[kept.at];
  const id = `${run.number}-${load.number}-${repeat}`;
  const file = (load.files || []).map((/** @type {any} */ each) => each.name).join(", ");
  const done = steps.filter((each) => kept.ticks[`${each.run.number}-${each.load.number}-${each.repeat}-done`]).length;
  return html`<div class="bench">
    <div class="row"><a class="button" href="#/kits/${kit.id}">${t("Leave")}</a><span class="number">${kit.number}</span>
      <button type="button" @click=${fullScreen}>${t("Full screen")}</button></div>
    <h1>${t("Load {at} of {all}", { at: kept.at + 1, all: steps.length })}</h1>
    ${load.repeats > 1 ? html`<p><strong id="copy">${t("Copy {copy} of {copies} of this load", { copy: repeat, copies: load.repeats })}</strong></p>` : nothing}
    <p>${t("{done} of {all} loads are done.", { done, all: steps.length })} ${run.cut === "patch" ? t("Patches") : t("Templates")}, ${run.material.name}${run.layers > 1 ? `, ${t("{n} layers", { n: run.layers })}` : ""}</p>
    ${file ? html`<p>${t("File: {file}", { file })}</p>` : nothing}
    <div class="bench-columns"><div>
      ${image(showPath && load.path_picture ? load.path_picture : load.picture, t("Run {run}, load {load}", { run: run.number, load: load.number }))}
      ${load.path_picture ? html`<button type="button" aria-pressed=${showPath} @click=${() => { showPath = !showPath; redraw(); }}>${t("Tool path")}</button>` : nothing}</div>
    <div>${load.stops.map((/** @type {any} */ stop, /** @type {number} */ index) => tick(`${id}-${index}`, stop.message))}
      ${tick(`${id}-done`, t("This load is cut and the pieces are counted"))}</div></div>
    <div class="row"><button type="button" id="back" ?disabled=${kept.at === 0} @click=${() => move(-1)}>${t("Back")}</button>
      <button type="button" class="main" id="next" ?disabled=${kept.at === steps.length - 1} @click=${() => move(1)}>${t("Next load")}</button></div>
    <details><summary>${t("Before you cut: cautions")}</summary><ul>${kit.cautions.map((/** @type {string} */ each) => html`<li>${each}</li>`)}</ul></details>
  </div>`;
}

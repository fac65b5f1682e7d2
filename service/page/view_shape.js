/** The view in which a kit is prepared: pieces, runs, and what they come to. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, curl, getAll } from "./api.js";
import { answerView, short, summary } from "./answer.js";
import { describeDialog } from "./cutter_form.js";
import { loadCutters } from "./saved_cutters.js";
import { cureButton, undoButton } from "./cures.js";
import { changed, draft, isSearchedLonger, markKept, searchAsUsual } from "./draft.js";
import { field, idOf } from "./field.js";
import { loadFormats, settingErrors } from "./formats.js";
import { cancel, job, makeKit, resume } from "./jobs.js";
import { announce } from "./made.js";
import { units } from "./names.js";
import { otherCutters } from "./other_cutter.js";
import { pieceList } from "./pieces.js";
import { priceChoice, priceFields } from "./prices.js";
import { progress } from "./progress.js";
import { runList } from "./runs.js";
import { catalogue, loadShapes } from "./shapes.js";
import { startOver } from "./start_over.js";
import { t } from "./text.js";
import { details, formErrors, isTooLarge } from "./too_large.js";

/** @type {import("./field.js").Form} */
const form = {
  name: "kit",
  get data() {
    return draft.request;
  },
  get errors() {
    return draft.errors;
  },
  changed: () => changed(),
};
/** @type {() => void} */
let redraw = () => {};
let isOpen = false;
/** @type {string[]} names of saved price lists */
let priceLists = [];

async function loadPrices() {
  priceLists = (await getAll("/v1/price-lists?limit=200", "price_lists")).map((each) => each.name);
  redraw();
}

/** @param {() => void} drawn */
export async function enter(drawn) {
  redraw = drawn;
  isOpen = true;
  changed(0);
  await Promise.all([
    loadShapes(drawn),
    loadCutters(drawn),
    loadFormats(drawn),
    loadPrices(),
    resume(drawn).then(openKit),
  ]);
}

export function leave() {
  isOpen = false;
}

/** Somebody who has gone to another view meanwhile is not taken away from it. @param {string | null} [id] */
function openKit(id) {
  if (!id) return;
  if (isOpen) location.hash = `#/kits/${id}`;
  else announce(id);
  redraw();
}

async function make() {
  try {
    const asked = JSON.stringify(draft.request),
      id = await makeKit(draft.request, redraw);
    // What was changed while the kit was made is not in it.
    if (id && asked === JSON.stringify(draft.request)) markKept();
    openKit(id);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    Object.assign(draft, {
      problem: error.body,
      errors: settingErrors(draft.request, error.body, formErrors(error.body, error.errors, draft.request)),
    });
    redraw();
  }
}

/** @param {string} pointer */
function goTo(pointer) {
  for (let at = pointer; at.length > 1; at = at.slice(0, at.lastIndexOf("/"))) {
    const id = idOf(form, at);
    const found =
      document.getElementById(id) || /** @type {HTMLElement | null} */ (document.querySelector(`input[id^="${id}-"]`));
    if (found) {
      found.focus();
      return;
    }
  }
  document.querySelector(pointer.startsWith("#/runs") ? ".runs input" : ".pieces input")?.scrollIntoView();
}

/** What is wrong, for somebody who typed in a form and wrote no request. @param {any} problem */
function problemTitle({ type = "", title }) {
  if (/schema-mismatch|invalid-request/.test(type)) return t("Something in the form cannot be used");
  return title || t("The service cannot be reached");
}

function problemView() {
  const { problem, errors } = draft;
  if (!problem) return nothing;
  const texts = new Map(errors.map((each) => [each.detail, each]));
  return html`<div class="problem">
    <h3>${problemTitle(problem)}</h3>
    ${texts.size
      ? html`<ul>
          ${[...texts.values()].map(
            ({ detail, pointer, cure }) =>
              html`<li>
                ${detail}
                <button type="button" class="quiet" @click=${() => goTo(pointer)}>${t("Go there")}</button>
                ${cureButton(cure, draft.request, changed)}
              </li>`,
          )}
        </ul>`
      : html`<p>${problem.detail}</p>`}
    ${otherCutters(problem)}
    ${isTooLarge(problem) && problem.errors
      ? html`<details>
          <summary>${t("Details")}</summary>
          ${details(problem.errors).map((each) => html`<p>${each}</p>`)}
        </details>`
      : nothing}
  </div>`;
}

/** What makes the kit, and while it is made how far that is. @param {string} id */
const making = (id) =>
  job
    ? progress(job, t("Cancel"), cancel)
    : html`<button type="button" class="main" id=${id} ?disabled=${!draft.preview} @click=${make}>
        ${t("Make the kit")}
      </button>`;

/** A longer search: how far it is, or that it can be given up. */
function longer() {
  if (!isSearchedLonger()) return nothing;
  if (draft.search) return progress(draft.search, t("Stop searching"), searchAsUsual, t("Searching longer …"));
  if (draft.busy) return nothing;
  return html`<p class="hint" id="longer">
    ${t("This kit is searched longer than usual, also when it is made.")}
    <button type="button" class="quiet" @click=${searchAsUsual}>${t("Search as usual")}</button>
  </p>`;
}

export function status() {
  const { problem, preview, request, errors } = draft;
  if (problem) return [problemTitle(problem), ...errors.map((each) => each.detail)].join(". ");
  return preview ? summary(preview, request) : "";
}

/** What is still looked for, and whether what is shown answers what stood in the form before. */
function waits() {
  const { busy, isFirst, preview, search } = draft;
  if (search) return nothing;
  if (isFirst && !isSearchedLonger()) return t("Looking for a better layout …");
  return busy && preview ? t("Calculating … Until then, what stands here is from before the change.") : nothing;
}

/** On a narrow screen the answer lies far below the form: what it comes to, and what is done with it, stay in sight. */
function strip() {
  const { preview, problem, request, busy, isFirst } = draft;
  const text = problem ? problemTitle(problem) : preview ? short(preview, request) : t("Laying out …");
  const down = () => {
    const result = document.querySelector(".result");
    result?.scrollIntoView();
    /** @type {HTMLElement | null} */ (result)?.focus({ preventScroll: true });
  };
  return html`<div class=${problem ? "strip wrong" : "strip"} aria-busy=${busy}>
    <button type="button" class="comes-to" @click=${down}>
      ${busy && !isFirst && preview ? t("Before the change: {what}", { what: text }) : text}
      <span aria-hidden="true">↓</span>
    </button>
    <div class="row">${startOver("strip-start-over", redraw)}${making("strip-make")}</div>
  </div>`;
}

export function view() {
  const { request, preview, busy, isFirst } = draft;
  return html`<div class="table">
    <form class="sheet" @submit=${(/** @type {Event} */ event) => event.preventDefault()}>
      <h1>${t("A kit from shapes")}</h1>
      ${draft.note ? html`<p class="warnings" id="note">${draft.note}</p>` : nothing}
      <div class="fields grid">
        ${field(form, { pointer: "#/title", label: t("Title") })}
        ${field(form, {
          pointer: "#/reference",
          label: t("Your reference"),
          hint: t("Such as an order's number; it is printed on the sheet and the labels."),
        })}
        ${field(form, { pointer: "#/units", label: t("Units"), options: units(), converts: "#" })}
        ${field(form, { pointer: "#/copies", label: t("Copies of the whole kit"), kind: "whole", placeholder: "1" })}
        ${field(form, { pointer: "#/spares/percent", label: t("Spares, percent"), kind: "number", placeholder: "0" })}
        ${priceChoice(form, priceLists)}
      </div>
      ${priceFields(form)}
      <h2>${t("Pieces")}</h2>
      ${pieceList(form)}
      <h2>${t("Cutting")}</h2>
      ${runList(form)} ${startOver("start-over", redraw)}
    </form>
    <section
      class=${isFirst ? "result first" : "result"}
      tabindex="-1"
      aria-label=${t("What it comes to")}
      aria-busy=${busy}
    >
      <h2>${t("What it comes to")}</h2>
      ${undoButton(request, changed)}${problemView()}
      <p class="waits">${waits()}</p>
      ${longer()}
      ${preview ? answerView(preview, request, changed) : busy ? html`<p>${t("Laying out …")}</p>` : nothing}
      <div class="make">${making("make")}</div>
      <details>
        <summary>${t("For programmers: the same as a command")}</summary>
        <p>${t("What it comes to:")}</p>
        <pre tabindex="0"><code>${curl("POST", "/v1/layouts", request)}</code></pre>
        <p>${t("Make the kit, and save it as one zip:")}</p>
        <pre tabindex="0"><code>${curl("POST", "/v1/kits", request, { accept: "application/zip" })}</code></pre>
      </details>
    </section>
    ${strip()}${catalogue(redraw)}${describeDialog(redraw)}
  </div>`;
}

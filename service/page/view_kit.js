/** One saved kit: its loads, its files, and cutting a piece again. @module */
import { html, nothing } from "./lit-html.js";
import { call, curl, download, get, openFile, saveBlob } from "./api.js";
import { answerView } from "./answer.js";
import { startFrom } from "./draft.js";
import { loadFormats } from "./formats.js";
import { beginRecut, forgetRecut, recutForm } from "./recut.js";
import { replacing } from "./replacing.js";
import { t } from "./text.js";

/** @type {any} */
let kit = null;
/** @type {() => void} */
let redraw = () => {};
let leaving = false;
/** @type {any} the kit that this is a recut of */
let origin = null;

/** @param {() => void} drawn @param {string} id */
export async function enter(drawn, id) {
  redraw = drawn;
  kit = origin = null;
  leaving = false;
  redraw();
  [kit] = await Promise.all([get(`/v1/kits/${id}`), loadFormats(() => {})]);
  beginRecut(kit, redraw);
  if (kit.recut_of) {
    // The kit that it was cut from may have been deleted since.
    origin = await get(`/v1/kits/${kit.recut_of}`).catch(() => null);
    redraw();
  }
}

async function zip() {
  const answer = await call("GET", `/v1/kits/${kit.id}`, { headers: { Accept: "application/zip" } });
  saveBlob(await answer.blob(), `${kit.number}.zip`);
}

/** What browsers show; all else they would save. */
const SHOWN = /\.(pdf|svg|html|json|txt)$/;

/** Open a file in a tab of its own, to read or print it. @param {string} href @param {string} name */
const openButton = (href, name) =>
  !SHOWN.test(href)
    ? nothing
    : html`<button
        type="button"
        class="quiet"
        data-open=${href}
        @click=${() => openFile(href)}
        aria-label=${t("Open {file} in a new tab", { file: name })}
      >
        ${t("Open")}
      </button>`;

/** @param {any} file */
const fileButton = (file) =>
  html`<li>
    <button type="button" class="file" data-href=${file.href} @click=${() => download(file.href, file.name)}>
      ${file.name}
    </button>
    <small>${Math.ceil(file.bytes / 1024)} kB</small> ${openButton(file.href, file.name)}
  </li>`;

/** The picture that numbers a load's strokes. @param {any} load */
function pathPicture({ path_picture: href }) {
  const name = href?.split("/").at(-1);
  return name
    ? html`<li>
        <button type="button" class="quiet" @click=${() => download(href, name)}>${name}</button>
        ${openButton(href, name)}
      </li>`
    : nothing;
}

function files() {
  const printed = [
    ["run_sheet", t("Run sheet")],
    ["labels", t("Labels")],
    ["cutting_list", t("Cutting list")],
    ["quote", t("Quote")],
  ];
  return html`<h2>${t("Files")}</h2>
    <div class="row">
      <button type="button" class="main" id="zip" @click=${zip}>${t("Everything in one zip")}</button>
      ${printed
        .filter(([name]) => typeof kit[name] === "string")
        .map(
          ([name, label]) =>
            html`<span class="pair"
              ><button
                type="button"
                id=${name}
                @click=${() => download(kit[name], `${kit.number}-${kit[name].split("/").at(-1)}`)}
              >
                ${label}
              </button>
              ${openButton(kit[name], label)}</span
            >`,
        )}
    </div>
    <ul class="files">
      ${kit.runs
        .flatMap((/** @type {any} */ run) => run.loads.flatMap((/** @type {any} */ load) => load.files || []))
        .map(fileButton)}
      ${kit.runs.flatMap((/** @type {any} */ run) => run.loads.map(pathPicture))}
    </ul>
    <details>
      <summary>${t("For programmers: the same as a command")}</summary>
      <pre tabindex="0"><code>${curl("GET", `/v1/kits/${kit.id}`, undefined, {
        accept: "application/zip",
      })}</code></pre>
    </details>`;
}

/** @param {boolean} asking */
function askRemoval(asking) {
  leaving = asking;
  redraw();
  // The question takes the place of the button, and the button that of the question.
  setTimeout(() => document.getElementById(asking ? "delete-no" : "delete")?.focus());
}

async function remove() {
  try {
    await call("DELETE", `/v1/kits/${kit.id}`);
  } catch (error) {
    askRemoval(false);
    throw error;
  }
  location.hash = "#/kits";
}

/** What is deleted cannot be cut again, so it asks first. */
function removal() {
  if (!leaving)
    return html`<button type="button" class="quiet" id="delete" @click=${() => askRemoval(true)}>
      ${t("Delete this kit")}
    </button>`;
  return html`<div role="group" aria-labelledby="delete-question">
    <p id="delete-question">
      ${t("Delete this kit and its files? A lost piece of it can then no longer be cut again.")}
    </p>
    <div class="row">
      <button type="button" id="delete-yes" @click=${remove}>${t("Yes, delete it")}</button>
      <button type="button" id="delete-no" @click=${() => askRemoval(false)}>${t("No, keep it")}</button>
    </div>
    <details>
      <summary>${t("For programmers: the same as a command")}</summary>
      <pre tabindex="0"><code>${curl("DELETE", `/v1/kits/${kit.id}`)}</code></pre>
    </details>
  </div>`;
}

function edit() {
  startFrom(kit.request);
  location.hash = "#/shape";
}

export const leave = forgetRecut;
export const status = () => (kit ? `${kit.title || t("Kit")} ${kit.number}` : "");
export const title = () => kit?.title || t("Kit");

export function view() {
  if (!kit)
    return html`<div class="sheet">
      <h1>${t("Kit")}</h1>
      <p>${t("Opening …")}</p>
    </div>`;
  return html`<div class="table">
    <section class="sheet">
      <h1>${kit.title || t("Kit")}</h1>
      <p class="number">${kit.number}</p>
      ${kit.recut_of
        ? html`<p id="recut-of" class="warnings">
            ${origin
              ? html`${t("Only the pieces that are cut again. The kit that they come from:")}
                  <a href="#/kits/${kit.recut_of}">${origin.number}</a>`
              : t("Only the pieces that are cut again from another kit.")}
          </p>`
        : nothing}
      ${kit.request?.reference ? html`<p>${t("Your reference")}: ${kit.request.reference}</p>` : nothing}
      <div class="row">
        <a class="button main" href="#/bench/${kit.id}">${t("Cut it at the bench")}</a> ${kit.request?.pieces
          ? replacing({ id: "use-kit", label: t("Use it as a start"), go: edit, redraw })
          : nothing}
      </div>
      ${files()}${recutForm()}
      <div class="removal">${removal()}</div>
    </section>
    <section class="result">
      <h2>${t("Loads")}</h2>
      ${answerView(kit, kit.request)}
    </section>
  </div>`;
}

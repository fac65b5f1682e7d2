/** Cutting a lost piece of a kit again: what it will take, then a kit of its own. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, curl, post } from "./api.js";
import { madeOf } from "./answer.js";
import { field } from "./field.js";
import { loadCount, materialUse } from "./material_use.js";
import { materialsOf, plain } from "./names.js";
import { t, tn } from "./text.js";

const DELAY_MS = 400;
/** @type {any} */
let kit = null;
/** What is going to be cut, as the service lays it out; null while that is asked. @type {any} */
let preview = null;
let failure = "",
  timer = 0;
/** @type {() => void} */
let redraw = () => {};
/** @type {AbortController | undefined} */
let current;
/** @type {import("./field.js").Form} */
const form = { name: "recut", data: {}, errors: [], changed: askSoon };

/** @param {any} opened @param {() => void} drawn */
export function beginRecut(opened, drawn) {
  kit = opened;
  redraw = drawn;
  Object.assign(form, { errors: [], data: { run: String(kit.runs[0].number), piece: kit.pieces[0].id, pieces: "1" } });
  askSoon();
}

/** The view is left: no answer is waited for. */
export function forgetRecut() {
  clearTimeout(timer);
  current?.abort();
}

/** What is asked for: of a scrap in place of the run's stock or sheet. */
function recutRequest() {
  const { run, piece, pieces, width, height } = form.data;
  const { stock, stock_order: order, position, ...material } = kit.request?.runs?.[Number(run) - 1]?.material || {};
  return {
    run: Number(run),
    pieces: { [piece]: Number(pieces) || pieces },
    ...(width || height ? { layers: 1, material: { ...material, width, height } } : {}),
  };
}

/** The kit's request with one run and one piece, as the service cuts it down for a recut. */
function layoutRequest() {
  const { copies, spares, prices, ...rest } = kit.request,
    { run, pieces, ...changes } = recutRequest(),
    [[id, quantity]] = Object.entries(pieces);
  return {
    ...rest,
    pieces: rest.pieces
      .filter((/** @type {any} */ each) => each.id === id)
      .map((/** @type {any} */ each) => ({ ...each, quantity })),
    runs: [{ ...rest.runs[run - 1], ...changes, pieces: [{ id, quantity }] }],
  };
}

function askSoon() {
  forgetRecut();
  preview = null;
  failure = "";
  if (!/^[1-9]\d*$/.test(form.data.pieces ?? "")) failure = t("How many: write a whole number, such as 2.");
  else if (kit.request?.pieces) timer = window.setTimeout(ask, DELAY_MS);
  redraw();
}

async function ask() {
  const own = (current = new AbortController());
  try {
    const answer = await post("/v1/layouts", layoutRequest(), own.signal);
    if (own === current) preview = answer;
  } catch (error) {
    if (own !== current || own.signal.aborted || !(error instanceof Problem)) return;
    failure = said(error);
  }
  redraw();
}

/** @param {Problem} error */
const said = (error) => [...new Set(error.errors.map((each) => each.detail))].join(" ") || error.message;

async function recut() {
  forgetRecut();
  try {
    const made = await post(`/v1/kits/${kit.id}/recuts`, recutRequest());
    location.hash = `#/kits/${made.id}`;
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    failure = said(error);
    redraw();
  }
}

/** @param {string} id */
function pieceName(id) {
  const found = kit.pieces.find((/** @type {any} */ each) => each.id === id);
  const shape = plain(found?.shape === "custom" ? t("drawn shape") : found?.shape || "");
  return [id, materialsOf(kit.request, id), shape, found?.size || ""].filter(Boolean).join(", ");
}

/** What will be cut, before anything is made. */
function outlook() {
  const run = preview?.runs[0],
    name = run?.material?.name || "";
  const what = run
    ? [name, tn("{n} load", "{n} loads", loadCount(run)), materialUse(run, kit.request.units || "mm"), madeOf(run)]
        .filter(Boolean)
        .join("; ")
    : kit.request?.pieces && !failure
      ? t("Calculating …")
      : "";
  return html`<p id="recut-outlook">
    ${what ? t("What will be cut: {what}.", { what }) : nothing}
    ${t("It becomes a new kit, with files and a run sheet of its own; this kit stays as it is.")}
  </p>`;
}

export function recutForm() {
  const run = kit.runs.find((/** @type {any} */ each) => String(each.number) === form.data.run) || kit.runs[0];
  return html`<h2>${t("Cut a lost piece again")}</h2>
    <div class="fields grid recut-fields">
      ${field(form, {
        pointer: "#/run",
        label: t("From"),
        options: kit.runs.map((/** @type {any} */ each) => [
          String(each.number),
          `${each.number}. ${each.cut === "patch" ? t("patches") : t("templates")}, ${each.material.name}`,
        ]),
      })}
      ${field(form, {
        pointer: "#/piece",
        label: t("Piece"),
        options: Object.keys(run.totals).map((id) => [id, pieceName(id)]),
      })}
      ${field(form, { pointer: "#/pieces", label: t("How many") })}
      ${field(form, { pointer: "#/width", label: t("Scrap's width"), hint: t("Empty: the sheet that the run had.") })}
      ${field(form, { pointer: "#/height", label: t("Scrap's height") })}
    </div>
    ${failure ? html`<p class="error" role="alert">${failure}</p>` : nothing} ${outlook()}
    <button type="button" id="recut" @click=${recut}>${t("Cut it again")}</button>
    <details>
      <summary>${t("For programmers: the same as a command")}</summary>
      <pre tabindex="0"><code>${curl("POST", `/v1/kits/${kit.id}/recuts`, recutRequest())}</code></pre>
    </details>`;
}

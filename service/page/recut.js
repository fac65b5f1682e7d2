/** Cutting a lost piece of a kit again: what it will take, then a kit of its own. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, curl, post } from "./api.js";
import { madeOf } from "./answer.js";
import { field } from "./field.js";
import { clothUse, loadCount, materialUse } from "./material_use.js";
import { materialsOf, plain } from "./names.js";
import { restsFor } from "./rests.js";
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

const units = () => kit.request?.units || "mm";

/** The run that is chosen. */
const chosenRun = () =>
  kit.runs.find((/** @type {any} */ each) => String(each.number) === form.data.run) || kit.runs[0];

/** What the chosen run left, if the chosen piece fits into it. */
const rests = () =>
  kit.request
    ? restsFor(
        chosenRun(),
        kit.pieces.find((/** @type {any} */ each) => each.id === form.data.piece),
        units(),
      )
    : [];

/** The rest that it is cut from, if it is one. @returns {import("./rests.js").Rest | undefined} */
const chosenRest = () => rests()[Number(form.data.from || NaN)];

/** @param {import("./rests.js").Rest} rest */
const sizeOf = ({ width, height }) => t("{width} × {height}", { width, height });

/** What is asked for: of a rest or a scrap in place of the run's stock or sheet. */
function recutRequest() {
  const { run, piece, pieces, from } = form.data,
    { width, height } = from === "scrap" ? form.data : chosenRest() || {};
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
  // Another run left other rests.
  if (form.data.from && form.data.from !== "scrap" && !chosenRest()) form.data.from = "";
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

/** What is bought for it: nothing for a rest or a scrap, which is there. @param {any} run as it is laid out */
const bought = (run) => (form.data.from ? t("Nothing to buy.") : clothUse(run, units()));

/** That the first kit left fewer such rests than it takes. @param {any} run as it is laid out */
function tooFew(run) {
  const rest = chosenRest(),
    needed = loadCount(run) * (run.layers || 1);
  return rest && needed > rest.count
    ? html`<p class="warnings">
        ${t("It takes {needed} rests of that size; the first kit left {count}.", { needed, count: rest.count })}
      </p>`
    : nothing;
}

/** The rest that may be used in place of a new sheet: one tap. */
function offer() {
  const [rest] = rests();
  if (form.data.from || !rest) return nothing;
  const take = () => {
    form.data.from = "0";
    askSoon();
  };
  return html`<p>
    <button type="button" class="cure" id="use-rest" @click=${take}>
      ${t("Cut it from the rest that you kept, {size}", { size: sizeOf(rest) })}
    </button>
  </p>`;
}

/** What will be cut, before anything is made. */
function outlook() {
  const run = preview?.runs[0],
    name = run?.material?.name || "";
  const what = run
    ? [name, tn("{n} load", "{n} loads", loadCount(run)), materialUse(run, units()), madeOf(run)]
        .filter(Boolean)
        .join("; ")
    : kit.request?.pieces && !failure
      ? t("Calculating …")
      : "";
  return html`${offer()}
    <p id="recut-outlook">
      ${what ? t("What will be cut: {what}.", { what }) : nothing} ${run ? bought(run) : nothing}
      ${t("It becomes a new kit, with files and a run sheet of its own; this kit stays as it is.")}
    </p>
    ${run ? tooFew(run) : nothing}`;
}

/** What it is cut from. @returns {[string, string][]} */
const sources = () => [
  ["", t("new material, as the run had it")],
  ...rests().map(
    (rest, at) => /** @type {[string, string]} */ ([String(at), t("kept rest, {size}", { size: sizeOf(rest) })]),
  ),
  ["scrap", t("a scrap of another size")],
];

export function recutForm() {
  const run = chosenRun();
  return html`<h2>${t("Cut a lost piece again")}</h2>
    <div class="fields grid recut-fields">
      ${field(form, {
        pointer: "#/run",
        label: t("Cut first in run"),
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
      ${field(form, { pointer: "#/from", label: t("Cut it from"), options: sources() })}
      ${form.data.from === "scrap"
        ? html`${field(form, { pointer: "#/width", label: t("Scrap's width") })}
          ${field(form, { pointer: "#/height", label: t("Scrap's height") })}`
        : nothing}
    </div>
    ${failure ? html`<p class="error" role="alert">${failure}</p>` : nothing} ${outlook()}
    <button type="button" id="recut" @click=${recut}>${t("Cut it again")}</button>
    <details>
      <summary>${t("For programmers: the same as a command")}</summary>
      <pre tabindex="0"><code>${curl("POST", `/v1/kits/${kit.id}/recuts`, recutRequest())}</code></pre>
    </details>`;
}

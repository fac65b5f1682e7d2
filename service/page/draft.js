/** The kit that is being prepared: a request for POST /v1/kits, and what a preview of it says. @module */
import { Problem, post } from "./api.js";
import { alignCloth } from "./cloth_width.js";
import { settingErrors } from "./formats.js";
import { alignPrices } from "./prices.js";
import { isLong, searchedLayouts } from "./search.js";
import { remember, settings } from "./settings.js";
import { formErrors } from "./too_large.js";

const DELAY_MS = 250;
const RETRY_MS = 2000;

/** @returns {any} the first kit that a newcomer sees */
function first() {
  return {
    title: "",
    units: settings.units,
    pieces: [
      {
        id: "A",
        shape: { kind: "hexagon", side: settings.units === "in" ? "1" : "25" },
        quantity: 24,
        seam_allowance: settings.units === "in" ? "1/4" : "6",
      },
    ],
    runs: [{ cut: "template", cutter: "drag-blade-sheet", formats: ["svg"], material: { name: "card", kind: "card" } }],
  };
}

/**
 * ``isFirst`` is whether the preview is one that was found quickly while a better one is searched for; ``search`` is
 * how far a long search is.
 * @type {{request: any, preview: any, isFirst: boolean, search: import("./jobs.js").Job | null, outlines: any,
 * problem: any, busy: boolean, note: string, errors: import("./too_large.js").Told[]}}
 */
export const draft = {
  request: settings.draft || first(),
  preview: null,
  isFirst: false,
  search: null,
  outlines: null,
  problem: null,
  busy: false,
  note: "",
  errors: [],
};

/** @type {() => void} */
let redraw = () => {};
/** @type {AbortController | undefined} */
let current;
let timer = 0;

/** @param {() => void} drawn called when an answer has come */
export function onPreview(drawn) {
  redraw = drawn;
}

/**
 * Begin with another request, such as a quilt plan's kit.
 * @param {any} request
 * @param {string} [note] what it does not hold
 */
export function startFrom(request, note = "") {
  draft.request = request ? structuredClone(request) : first();
  begunUnits = draft.request.units;
  // What was said of the request before does not concern this one.
  Object.assign(draft, { preview: null, outlines: null, problem: null, errors: [], note });
  changed(0);
  markKept();
}

/** What nobody misses: the kit that a newcomer sees, one that was begun and not changed, one that was made. */
function isKept() {
  const { title, ...stands } = draft.request,
    { title: none, ...begun } = first();
  return (
    JSON.stringify(draft.request) === settings.kept || (!title && JSON.stringify(stands) === JSON.stringify(begun))
  );
}

/** Whether the form holds what would be lost if another kit were begun. */
export const isUnsaved = () => !isKept();

/** What stands in the form is kept elsewhere, or was begun just now. */
export function markKept() {
  remember({ kept: JSON.stringify(draft.request) });
}

/** The units that the form was begun with: those of a kit that was opened are not the user's own choice. */
let begunUnits = draft.request.units;

/** The request has changed: ask again, a moment after the last change. */
export function changed(delay = DELAY_MS) {
  alignPrices(draft.request);
  alignCloth(draft.request);
  const { units } = draft.request;
  remember({ draft: draft.request, ...(units && units !== begunUnits ? { units } : {}) });
  begunUnits = units;
  current?.abort();
  clearTimeout(timer);
  Object.assign(draft, { busy: true, isFirst: false, search: null });
  timer = window.setTimeout(ask, delay);
  redraw();
}

/** Whether a run has pieces of several kinds and states no effort, or is searched longer. @param {any} request
 * @param {any} run */
const isSearched = ({ pieces }, run) => isLong(run) || (!run.effort && (run.pieces || pieces).length > 1);

/** Whether more time than usual is spent on the layouts. */
export const isSearchedLonger = () => draft.request.runs.some(isLong);

/** Search no longer than usual. */
export function searchAsUsual() {
  for (const run of draft.request.runs) if (isLong(run)) delete run.effort;
  changed(0);
}

/** What the preview answers, whatever was spent on its search. */
let answered = "";

/** @param {any} request */
const withoutEffort = (request) =>
  JSON.stringify({ ...request, runs: request.runs.map((/** @type {any} */ { effort, ...run }) => run) });

/**
 * Show what is found quickly where several kinds lie together: a better layout of these is searched for longer.
 * @param {AbortController} asked
 */
async function askFirst(asked) {
  const { request } = draft;
  if (draft.preview && isSearchedLonger() && answered === withoutEffort(request)) {
    // What stands there is no worse than what is found quickly.
    draft.isFirst = true;
    return;
  }
  if (!request.runs.some((/** @type {any} */ run) => isSearched(request, run))) return;
  const runs = request.runs.map((/** @type {any} */ run) =>
    isSearched(request, run) ? { ...run, effort: "quick" } : run,
  );
  const preview = await post("/v1/layouts", { ...request, runs }, asked.signal);
  if (asked !== current) return;
  answered = withoutEffort(request);
  Object.assign(draft, { preview, isFirst: true, problem: null, errors: [] });
  redraw();
}

/** The whole answer: at once, or of a long search by and by. @param {AbortController} asked */
function askAll(asked) {
  if (!isSearchedLonger()) return post("/v1/layouts", draft.request, asked.signal);
  return searchedLayouts(draft.request, asked.signal, (search) => {
    if (asked !== current) return;
    draft.search = search;
    redraw();
  });
}

/** Ask what the kit would be; only the last question's answer is shown. */
async function ask() {
  const asked = (current = new AbortController());
  const { units, pieces } = draft.request;
  const outlines = post("/v1/outlines", { units, pieces: pieces.map(drawable) }, asked.signal).then(
    (answer) => {
      if (asked === current) {
        draft.outlines = answer;
        redraw();
      }
    },
    () => {},
  );
  try {
    await askFirst(asked);
    if (asked !== current) return;
    const answer = await askAll(asked);
    await outlines;
    if (asked !== current) return;
    answered = withoutEffort(draft.request);
    Object.assign(draft, { preview: answer, problem: null, errors: [] });
  } catch (error) {
    if (asked !== current || /** @type {Error} */ (error).name === "AbortError") return;
    const told = error instanceof Problem ? error : new Problem({ detail: String(error) }, 0);
    const errors = settingErrors(draft.request, told.body, formErrors(told.body, told.errors, draft.request));
    Object.assign(draft, { preview: null, problem: told.body, errors });
    // A service that starts again is asked again.
    if (told.status === 0) timer = window.setTimeout(ask, RETRY_MS);
  }
  if (asked !== current) return;
  Object.assign(draft, { busy: false, isFirst: false, search: null });
  redraw();
}

/** @param {any} piece what an outline depends on */
function drawable(piece) {
  const { quantity, motif, ...rest } = piece;
  return rest;
}

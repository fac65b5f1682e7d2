/** The kit that is being prepared: a request for POST /v1/kits, and what a preview of it says. @module */
import { Problem, post } from "./api.js";
import { settingErrors } from "./formats.js";
import { remember, settings } from "./settings.js";
import { formErrors } from "./too_large.js";

const DELAY_MS = 250;
const RETRY_MS = 2000;

/** @returns {any} the first kit that a newcomer sees */
function first() {
  return {
    title: "", units: settings.units,
    pieces: [{ id: "A", shape: { kind: "hexagon", side: settings.units === "in" ? "1" : "25" }, quantity: 24, seam_allowance: settings.units === "in" ? "1/4" : "6" }],
    runs: [{ cut: "template", cutter: "drag-blade-sheet", formats: ["svg"], material: { name: "card", kind: "card" } }],
  };
}

/** @type {{request: any, preview: any, outlines: any, problem: any, busy: boolean, note: string, errors: import("./too_large.js").Told[]}} */
export const draft = { request: settings.draft || first(), preview: null, outlines: null, problem: null, busy: false, note: "", errors: [] };

/** @type {() => void} */
let redraw = () => {};
/** @type {AbortController | undefined} */
let current;
let timer = 0;

/** @param {() => void} drawn called when an answer has come */
export function onPreview(drawn) { redraw = drawn; }

/** Begin with another request, such as a quilt plan's kit. @param {any} request @param {string} [note] what it does not hold */
export function startFrom(request, note = "") {
  draft.request = request ? structuredClone(request) : first();
  // What was said of the request before does not concern this one.
  Object.assign(draft, { preview: null, outlines: null, problem: null, errors: [], note });
  changed(0);
}

/** The request has changed: ask again, a moment after the last change. */
export function changed(delay = DELAY_MS) {
  remember({ draft: draft.request, units: draft.request.units || "in" });
  current?.abort();
  clearTimeout(timer);
  draft.busy = true;
  timer = window.setTimeout(ask, delay);
  redraw();
}

/** Ask what the kit would be; only the last question's answer is shown. */
async function ask() {
  const asked = current = new AbortController();
  const { units, pieces } = draft.request;
  const outlines = post("/v1/outlines", { units, pieces: pieces.map(drawable) }, asked.signal).then(
    (answer) => { if (asked === current) { draft.outlines = answer; redraw(); } }, () => {});
  try {
    const answer = await post("/v1/layouts", draft.request, asked.signal);
    await outlines;
    if (asked === current) Object.assign(draft, { preview: answer, problem: null, errors: [] });
  } catch (error) {
    if (asked !== current || /** @type {Error} */ (error).name === "AbortError") return;
    const told = error instanceof Problem ? error : new Problem({ detail: String(error) }, 0);
    const errors = settingErrors(draft.request, told.body, formErrors(told.body, told.errors));
    Object.assign(draft, { preview: null, problem: told.body, errors });
    // A service that starts again is asked again.
    if (told.status === 0) timer = window.setTimeout(ask, RETRY_MS);
  }
  if (asked !== current) return;
  draft.busy = false;
  redraw();
}

/** @param {any} piece what an outline depends on */
function drawable(piece) {
  const { quantity, motif, ...rest } = piece;
  return rest;
}

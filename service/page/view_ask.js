/** Questions: what fits on a scrap, and how much cloth pieces take. @module */
import { html } from "./lit-html.js";
import { askCloth, clothStatus, clothView } from "./ask_cloth.js";
import { askScrap, scrapStatus, scrapView } from "./ask_scrap.js";
import { describeDialog } from "./cutter_form.js";
import { loadCutters } from "./saved_cutters.js";
import { catalogue, loadShapes } from "./shapes.js";

/** @type {() => void} */
let redraw = () => {};

/** @param {() => void} drawn */
export async function enter(drawn) {
  redraw = drawn;
  askScrap(drawn);
  askCloth(drawn);
  await Promise.all([loadCutters(drawn), loadShapes(drawn)]);
}

export const status = () => [scrapStatus(), clothStatus()].filter(Boolean).join(". ");

export function view() {
  return html`<div class="table">${scrapView()}${clothView()}${catalogue(redraw)}${describeDialog(redraw)}</div>`;
}

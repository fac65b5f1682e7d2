/** How many patches somebody cuts of a scrap with a ruler, in strips, whatever machine there is. @module */
import { html, nothing } from "./lit-html.js";
import { post } from "./api.js";
import { svgImage } from "./images.js";
import { t, tn } from "./text.js";

/** @type {any} the fabric of the answer, or nothing while there is none */
let found = null;

/** What is asked of the service: the scrap is a pre-cut piece, of which one patch is wanted. @param {any} data */
function requestOf({ units, pieces, runs }) {
  const [{ id, shape, seam_allowance }] = pieces,
    { width, height } = runs[0].material;
  return {
    units,
    pieces: [{ id, shape, seam_allowance, quantity: 1 }],
    fabric: { pre_cut: { width, length: height } },
  };
}

/**
 * Ask again; what cannot be answered, such as a scrap of another outline, is not shown.
 * @param {any} data the request of the question
 * @param {AbortSignal} signal
 * @param {() => void} redraw
 */
export async function askByHand(data, signal, redraw) {
  let answer = null;
  try {
    if (!data.runs[0].material.stock) answer = (await post("/v1/yardage", requestOf(data), signal)).fabrics[0];
  } catch {
    // What is wrong stands at its field, as the other answer says it.
  }
  if (signal.aborted) return;
  found = answer;
  redraw();
}

/** How many there are. */
const count = () =>
  found?.pieces.reduce((/** @type {number} */ sum, /** @type {any} */ each) => sum + each.pieces_per_pre_cut, 0);

export const byHandStatus = () =>
  found ? tn("{n} patch by hand with a ruler", "{n} patches by hand with a ruler", count()) : "";

export function byHand() {
  if (!found) return nothing;
  return html`<dl class="figures">
      <div>
        <dt>${t("By hand with a ruler, in strips")}</dt>
        <dd id="scrap-by-hand">${count()}</dd>
      </div>
    </dl>
    <details>
      <summary>${t("Cutting by hand")}</summary>
      ${svgImage(found.cutting.picture, t("How strips and pieces lie on the scrap"))}
      <ul class="cautions">
        ${found.cutting.cautions.map((/** @type {string} */ line) => html`<li>${line}</li>`)}
      </ul>
    </details>`;
}

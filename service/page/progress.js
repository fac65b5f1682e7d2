/** How far a job is, and the button that stops it. @module */
import { html } from "./lit-html.js";
import { t } from "./text.js";

/** @param {import("./jobs.js").Job} job @param {string} label of its button @param {() => void} stop
 * @param {string} [what] is done, where the job's own words do not say it */
export function progress(job, label, stop, what = "") {
  const phase = [what, job.phase].filter(Boolean).join(" ");
  return html`<div class="progress" role="status">
    <label
      >${job.lost ? t("The service does not answer; trying again …") : phase || t("Waiting for its turn …")}
      <progress max="1" .value=${job.progress}></progress
    ></label>
    <button type="button" @click=${stop}>${label}</button>
  </div>`;
}

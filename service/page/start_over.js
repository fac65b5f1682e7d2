/** The button that empties the form of a kit: what is in it is lost, so it asks first. @module */
import { html } from "./lit-html.js";
import { startFrom } from "./draft.js";
import { t } from "./text.js";

/** The button whose question is open. */
let asking = "";

/** The question of a view that was left is not open any more. */
addEventListener("hashchange", () => (asking = ""));

/** @param {string} id of the button @param {() => void} redraw */
export function startOver(id, redraw) {
  const ask = (/** @type {boolean} */ open, sure = false) => {
    asking = open ? id : "";
    if (sure) startFrom(null);
    redraw();
    // The question takes the place of the button, and the button that of the question.
    setTimeout(() => document.getElementById(open ? `${id}-no` : id)?.focus());
  };
  if (asking !== id)
    return html`<button type="button" class="quiet" id=${id} @click=${() => ask(true)}>${t("Start over")}</button>`;
  return html`<div role="group" aria-labelledby="${id}-question">
    <p id="${id}-question">${t("Start over? What stands in this form is lost.")}</p>
    <div class="row">
      <button type="button" id="${id}-yes" @click=${() => ask(false, true)}>${t("Yes, start over")}</button>
      <button type="button" id="${id}-no" @click=${() => ask(false)}>${t("No, keep it")}</button>
    </div>
  </div>`;
}

/** A button that begins another kit: it asks first where what stands in the form of Shapes would be lost. @module */
import { html } from "./lit-html.js";
import { isUnsaved } from "./draft.js";
import { t } from "./text.js";

/** The button whose question is open. */
let asking = "";

/** The question of a view that was left is not open any more. */
addEventListener("hashchange", () => (asking = ""));

/**
 * @param {{id: string, label: string, main?: boolean, disabled?: boolean, go: () => void, redraw: () => void}} stated
 * ``go`` begins the other kit.
 */
export function replacing({ id, label, main = false, disabled = false, go, redraw }) {
  const ask = (/** @type {boolean} */ open) => {
    asking = open ? id : "";
    redraw();
    // The question takes the place of the button, and the button that of the question.
    setTimeout(() => document.getElementById(open ? `${id}-no` : id)?.focus());
  };
  const start = () => {
    asking = "";
    go();
  };
  if (asking !== id)
    return html`<button
      type="button"
      class=${main ? "main" : ""}
      id=${id}
      ?disabled=${disabled}
      @click=${() => (isUnsaved() ? ask(true) : start())}
    >
      ${label}
    </button>`;
  return html`<div role="group" aria-labelledby="${id}-question">
    <p id="${id}-question">${t("Shapes holds a kit that is not made yet. Go on? What stands in that form is lost.")}</p>
    <div class="row">
      <button type="button" id="${id}-yes" ?disabled=${disabled} @click=${start}>${t("Yes, go on")}</button>
      <button type="button" id="${id}-no" @click=${() => ask(false)}>${t("No, keep it")}</button>
    </div>
  </div>`;
}

/** A kit that was made while somebody was in another view: it is offered, and nobody is taken away. @module */
import { html, nothing } from "./lit-html.js";
import { t } from "./text.js";

let id = "";

/** @param {string} kit */
export function announce(kit) {
  id = kit;
}

/** @param {() => void} redraw */
export function madeNotice(redraw) {
  if (!id) return nothing;
  const away = () => {
    id = "";
    redraw();
  };
  return html`<p class="undo" id="made" role="status">
    ${t("Your kit is made.")} <a class="button" href="#/kits/${id}" @click=${away}>${t("Open it")}</a>
    <button type="button" class="quiet" @click=${away}>${t("Later")}</button>
  </p>`;
}

/** The dialog that asks for a key where the service wants one. The key lasts until the tab is closed. @module */
import { html, nothing } from "./lit-html.js";
import { setKey } from "./api.js";
import { t } from "./text.js";

let refused = false;

/** Ask for a key. @param {boolean} known whether one was sent, which the service did not accept */
export function askForKey(known) {
  const dialog = /** @type {HTMLDialogElement | null} */ (document.getElementById("key"));
  const place = document.getElementById("key-refused");
  if (place) place.hidden = !known;
  refused = known;
  if (dialog && !dialog.open) dialog.showModal();
}

/** The dialog; it stands once on the page. @param {() => void} go called with the new key in place */
export function keyDialog(go) {
  const enter = (/** @type {any} */ event) => {
    event.preventDefault();
    const input = event.target.elements.key;
    setKey(input.value);
    input.value = "";
    /** @type {HTMLDialogElement} */ (document.getElementById("key")).close();
    go();
  };
  return html`<dialog id="key" aria-labelledby="key-title">
    <form @submit=${enter}>
      <h2 id="key-title">${t("This service asks for a key")}</h2>
      <p class="error" id="key-refused" role="alert" ?hidden=${!refused}>
        ${t("The service does not accept this key. It may be mistyped, expired or taken back.")}
      </p>
      <div class="field">
        <label for="key-text">${t("Key")}</label
        ><input
          id="key-text"
          name="key"
          type="password"
          autocomplete="off"
          required
          aria-describedby=${refused ? "key-refused" : nothing}
        />
      </div>
      <p>${t("It is kept until this tab is closed, and nowhere else.")}</p>
      <button class="main">${t("Go on")}</button>
    </form>
  </dialog>`;
}

/** Pictures of the API, fetched with the key, and a dialog in which they are enlarged. @module */
import { html, nothing } from "./lit-html.js";
import { picture } from "./api.js";
import { t } from "./text.js";

/** @type {Map<string, string>} */
const known = new Map();
/** @type {Set<string>} */
const wanted = new Set();

/** @type {() => void} */
let redraw = () => {};
/** @param {() => void} drawn called when a picture has come */
export function onPicture(drawn) {
  redraw = drawn;
}

/** @param {string} path @param {string} text what it shows @param {string} [style] a class */
export function image(path, text, style = "") {
  if (path.startsWith("data:")) return html`<img class=${style} src=${path} alt=${text} />`;
  const found = known.get(path);
  if (!found && !wanted.has(path)) {
    wanted.add(path);
    picture(path).then(
      (address) => {
        known.set(path, address);
        redraw();
      },
      () => wanted.delete(path),
    );
  }
  return found ? html`<img class=${style} src=${found} alt=${text} />` : html`<span class="waiting ${style}"></span>`;
}

/** An SVG in an answer's text, as a picture. @param {string} text @param {string} label */
export function svgImage(text, label) {
  return image(`data:image/svg+xml;charset=utf-8,${encodeURIComponent(text)}`, label, "drawn");
}

/** @type {{title: string, pictures: [string, string][], chosen: number, scale: number, stops: string[]} | null} */
let open = null;

/**
 * @param {string} title
 * @param {[string, string][]} pictures labels and addresses
 * @param {string[]} [stops] of the tool
 */
export function enlarge(title, pictures, stops = []) {
  open = { title, pictures, stops, chosen: 0, scale: 1 };
  redraw();
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("enlarged"));
  if (!dialog.open) dialog.showModal();
}

/** @param {number} factor */
function zoom(factor) {
  if (!open) return;
  open.scale = Math.min(8, Math.max(1, open.scale * factor));
  redraw();
}

/** The dialog; it stands once on the page. */
export function enlarged() {
  const shown = open;
  const close = () => /** @type {HTMLDialogElement} */ (document.getElementById("enlarged")).close();
  return html`<dialog
    id="enlarged"
    aria-label=${shown ? shown.title : t("Picture")}
    @close=${() => {
      open = null;
      redraw();
    }}
  >
    ${shown
      ? html`<header>
            <h2>${shown.title}</h2>
            <div class="row">
              ${shown.pictures.length > 1
                ? shown.pictures.map(
                    ([label], index) =>
                      html` <button
                        type="button"
                        aria-pressed=${index === shown.chosen}
                        @click=${() => {
                          shown.chosen = index;
                          redraw();
                        }}
                      >
                        ${label}
                      </button>`,
                  )
                : nothing}
              <button type="button" aria-label=${t("Smaller")} @click=${() => zoom(1 / 1.5)}>−</button>
              <button type="button" aria-label=${t("Larger")} @click=${() => zoom(1.5)}>+</button>
              <button type="button" @click=${close}>${t("Close")}</button>
            </div>
          </header>
          ${shown.stops.length
            ? html`<ol class="steps">
                ${shown.stops.map((each) => html`<li>${each}</li>`)}
              </ol>`
            : nothing}
          <div class="zoomed scale-${Math.round(Math.log(shown.scale) / Math.log(1.5))}" tabindex="0">
            ${image(shown.pictures[shown.chosen][1], shown.title)}
          </div>`
      : nothing}
  </dialog>`;
}

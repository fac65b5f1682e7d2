/** A load's tool path, played stroke by stroke from its picture. @module */
import { html, nothing } from "./lit-html.js";
import { call } from "./api.js";
import { t } from "./text.js";

/** Colours and widths stay those of the picture: only the lines drawn for strokes are revealed. */
const STROKES = 'path[fill="none"]';
const STEP_MS = 60;
let title = "";
let timer = 0;

/** @param {string} path the picture's address */
async function textOf(path) {
  if (!path.startsWith("data:")) return (await call("GET", path)).text();
  const [head, data] = path.split(",", 2);
  return head.endsWith(";base64") ? new TextDecoder().decode(Uint8Array.from(atob(data), (each) => each.charCodeAt(0))) : decodeURIComponent(data);
}

/** @param {SVGElement} picture the strokes: each subpath of the long lines becomes a line of its own */
function strokesOf(picture) {
  const strokes = [];
  for (const line of [...picture.querySelectorAll(STROKES)]) {
    const parts = (line.getAttribute("d") || "").split(/(?=M)/);
    if (line.closest("defs") || line.hasAttribute("stroke-dasharray") || parts.length < 2) continue;
    for (const part of parts) {
      const one = /** @type {SVGElement} */ (line.cloneNode());
      one.setAttribute("d", part);
      one.classList.add("unplayed");
      line.before(one);
      strokes.push(one);
    }
    line.remove();
  }
  return strokes;
}

/** @param {SVGElement[]} strokes @param {number} index */
function step(strokes, index) {
  strokes[index]?.classList.remove("unplayed");
  if (index < strokes.length) timer = window.setTimeout(step, STEP_MS, strokes, index + 1);
}

/** @param {string} name @param {string} path */
export async function playPath(name, path) {
  const parsed = new DOMParser().parseFromString(await textOf(path), "image/svg+xml");
  const picture = /** @type {SVGElement} */ (/** @type {unknown} */ (document.importNode(parsed.documentElement, true)));
  title = name;
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("player"));
  const place = /** @type {HTMLElement} */ (dialog.querySelector(".played"));
  place.replaceChildren(picture);
  const heading = dialog.querySelector("h2");
  if (heading) heading.textContent = t("The tool's path: {title}", { title });
  if (!dialog.open) dialog.showModal();
  clearTimeout(timer);
  const strokes = strokesOf(picture);
  if (matchMedia("(prefers-reduced-motion: reduce)").matches) strokes.forEach((each) => each.classList.remove("unplayed"));
  else step(strokes, 0);
}

/** The dialog; it stands once on the page. */
export function player() {
  return html`<dialog id="player" aria-labelledby="player-title" @close=${() => clearTimeout(timer)}>
    <header><h2 id="player-title"></h2><button type="button" @click=${(/** @type {any} */ event) => event.target.closest("dialog").close()}>${t("Close")}</button></header>
    <div class="played" tabindex="0"></div>${nothing}</dialog>`;
}

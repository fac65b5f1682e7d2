/** The blocks to start from: the gallery's and saved ones, chosen from pictures. @module */
import { html, nothing, svg } from "./lit-html.js";
import { get, getAll } from "./api.js";
import { outlinePath } from "./draw.js";
import { t } from "./text.js";

const AT_ONCE = 4,
  TONES = 5;

/** @type {any[]} */
let blocks = [];
/** By name. @type {Map<string, any>} */
const drawings = new Map();
let open = false;
/** @type {() => void} */
let redraw = () => {};
/** @type {(entry: any) => void} */
let take = () => {};
/** @type {(entry: any) => boolean} */
let isOffered = () => true;

/**
 * Open the gallery.
 * @param {(entry: any) => void} chosen called with the entry that is chosen
 * @param {(entry: any) => boolean} [offered] whether an entry can be chosen
 */
export async function openGallery(chosen, offered = () => true) {
  take = chosen;
  isOffered = offered;
  open = true;
  redraw();
  /** @type {HTMLDialogElement} */ (document.getElementById("gallery")).showModal();
  blocks = await getAll("/v1/blocks?limit=200", "blocks");
  redraw();
  const missing = blocks.filter((each) => isOffered(each) && !drawings.has(`${each.name} ${each.version}`));
  await loadSome(missing);
}

/** @param {any[]} missing loaded a few at a time, while the gallery is open */
async function loadSome(missing) {
  if (!missing.length || !open) return;
  await Promise.all(missing.splice(0, AT_ONCE).map(load));
  redraw();
  await loadSome(missing);
}

/** @param {any} entry */
async function load(entry) {
  // A block that somebody else has deleted has no picture.
  drawings.set(`${entry.name} ${entry.version}`, (await get(entry.href).catch(() => null))?.drawing);
}

/** @param {any} drawing */
function thumbnail(drawing) {
  if (!drawing?.paths) return html`<span class="waiting"></span>`;
  const points = drawing.paths.flatMap((/** @type {any} */ each) => each.points),
    fabrics = [...new Set(drawing.paths.map((/** @type {any} */ each) => each.fabric))];
  const [left, low, right, high] = [
    [0, Math.min],
    [1, Math.min],
    [0, Math.max],
    [1, Math.max],
  ].map(([axis, of]) =>
    /** @type {any} */ (of)(...points.map((/** @type {any} */ each) => each[/** @type {number} */ (axis)])),
  );
  const side = Math.max(right - left, high - low),
    room = side * 0.03;
  return html`<svg
    class="block-drawing"
    viewBox="${left - room} ${-high - room} ${side + 2 * room} ${side + 2 * room}"
    aria-hidden="true"
  >
    <g transform="scale(1 -1)">
      ${drawing.paths.map(
        (
          /** @type {any} */ each,
        ) => svg`<path class=${each.closed ? `tone-${fabrics.indexOf(each.fabric) % TONES}` : "line"}
      vector-effect="non-scaling-stroke"
      d=${each.closed ? outlinePath(each.points) : outlinePath(each.points).slice(0, -1)} />`,
      )}
    </g>
  </svg>`;
}

/** @param {any} entry */
function choose(entry) {
  /** @type {HTMLDialogElement} */ (document.getElementById("gallery")).close();
  take(entry);
}

/** @param {any[]} entries */
const pictures = (entries) =>
  html`<div class="shapes">
    ${entries.map(
      (each) =>
        html`<button type="button" data-block=${each.name} @click=${() => choose(each)}>
          ${thumbnail(drawings.get(`${each.name} ${each.version}`))}<span>${each.title || each.name}</span>
        </button>`,
    )}
  </div>`;

/** The gallery; it stands once in a view. @param {() => void} drawn */
export function gallery(drawn) {
  redraw = drawn;
  const offered = blocks.filter(isOffered),
    own = offered.filter((each) => !each.built_in);
  return html`<dialog
    id="gallery"
    aria-labelledby="gallery-title"
    @close=${() => {
      open = false;
    }}
  >
    <header>
      <h2 id="gallery-title">${t("Choose a block")}</h2>
      <button type="button" @click=${(/** @type {any} */ event) => event.target.closest("dialog").close()}>
        ${t("Close")}
      </button>
    </header>
    ${own.length
      ? html`<h3>${t("Saved here")}</h3>
          ${pictures(own)}
          <h3>${t("Traditional blocks")}</h3>`
      : nothing}
    ${pictures(offered.filter((each) => each.built_in))}
  </dialog>`;
}

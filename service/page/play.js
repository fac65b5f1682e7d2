/** A load's tool path, played stroke by stroke from its picture. @module */
import { html } from "./lit-html.js";
import { call } from "./api.js";
import { t } from "./text.js";

/** Colours and widths stay those of the picture: only the lines drawn for strokes are revealed. */
const STROKES = 'path[fill="none"]';
const STEP_MS = 60,
  LONGEST_MS = 30000;
/** Strokes per step of the whole path, by the button that chooses it. */
const SPEEDS = [0.25, 1, 4];

/** @type {{title: string, strokes: SVGElement[], at: number, speed: number, playing: boolean}} */
const state = { title: "", strokes: [], at: 0, speed: 1, playing: false };
let timer = 0;
/** @type {() => void} */
let redraw = () => {};

/** @param {string} path the picture's address */
async function textOf(path) {
  if (!path.startsWith("data:")) return (await call("GET", path)).text();
  const [head, data] = path.split(",", 2);
  return head.endsWith(";base64")
    ? new TextDecoder().decode(Uint8Array.from(atob(data), (each) => each.charCodeAt(0)))
    : decodeURIComponent(data);
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
      line.before(one);
      strokes.push(one);
    }
    line.remove();
  }
  return strokes;
}

/** Show the path up to a stroke. @param {number} at */
function showUpTo(at) {
  const [from, to] = [state.at, Math.max(0, Math.min(at, state.strokes.length))];
  state.strokes
    .slice(Math.min(from, to), Math.max(from, to))
    .forEach((each) => each.classList.toggle("unplayed", to < from));
  state.at = to;
  redraw();
}

function step() {
  clearTimeout(timer);
  if (!state.playing) return;
  // A long path takes no longer than half a minute at the middle speed.
  const perStep = Math.max(1, (state.strokes.length * STEP_MS) / LONGEST_MS) * state.speed;
  showUpTo(Math.min(state.strokes.length, state.at + Math.max(1, Math.round(perStep))));
  if (state.at >= state.strokes.length) {
    state.playing = false;
    redraw();
    return;
  }
  timer = window.setTimeout(step, STEP_MS / Math.min(1, perStep));
}

/** @param {boolean} on */
function play(on) {
  if (on && state.at >= state.strokes.length) showUpTo(0);
  state.playing = on;
  redraw();
  step();
}

/** @param {string} name @param {string} path */
export async function playPath(name, path) {
  const parsed = new DOMParser().parseFromString(await textOf(path), "image/svg+xml");
  const picture = /** @type {SVGElement} */ (
    /** @type {unknown} */ (document.importNode(parsed.documentElement, true))
  );
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("player"));
  /** @type {HTMLElement} */ (dialog.querySelector(".played")).replaceChildren(picture);
  const strokes = strokesOf(picture);
  Object.assign(state, { title: name, strokes, at: strokes.length });
  if (!dialog.open) dialog.showModal();
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  showUpTo(still ? state.strokes.length : 0);
  play(!still);
}

/** The dialog; it stands once on the page. @param {() => void} drawn */
export function player(drawn) {
  redraw = drawn;
  const all = state.strokes.length,
    label = t("Strokes drawn");
  const names = [t("Slow"), t("Usual"), t("Fast")];
  return html`<dialog
    id="player"
    aria-labelledby="player-title"
    @close=${() => {
      state.playing = false;
      clearTimeout(timer);
    }}
  >
    <header>
      <h2 id="player-title">${t("The tool's path: {title}", { title: state.title })}</h2>
      <div class="row">
        <button type="button" id="play" class="main" @click=${() => play(!state.playing)}>
          ${state.playing ? t("Pause") : state.at >= all ? t("Play it again") : t("Go on")}
        </button>
        ${SPEEDS.map(
          (speed, index) =>
            html`<button
              type="button"
              aria-pressed=${state.speed === speed}
              @click=${() => {
                state.speed = speed;
                redraw();
              }}
            >
              ${names[index]}
            </button>`,
        )}
        <button type="button" @click=${(/** @type {any} */ event) => event.target.closest("dialog").close()}>
          ${t("Close")}
        </button>
      </div>
    </header>
    <label class="scrubber"
      >${label}
      <input
        type="range"
        min="0"
        max=${all}
        .value=${String(state.at)}
        @input=${(/** @type {any} */ event) => {
          state.playing = false;
          showUpTo(Number(event.target.value));
        }}
      /><span>${t("{n} of {all}", { n: state.at, all })}</span></label
    >
    <div class="played" tabindex="0" aria-label=${t("Picture of the tool's path")} role="img"></div>
  </dialog>`;
}

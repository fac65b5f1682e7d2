/** The page's frame: navigation, settings, and the view that the address names. @module */
import { html, nothing, render } from "./lit-html.js";
import { Problem, forgetKey, hasKey, onKeyNeeded } from "./api.js";
import { onPreview } from "./draft.js";
import { enlarged, onPicture } from "./images.js";
import { askForKey, keyDialog } from "./key.js";
import { madeNotice } from "./made.js";
import { player } from "./play.js";
import { applyTheme, remember, settings } from "./settings.js";
import { loadTexts, t } from "./text.js";
import { single, views } from "./views.js";

/** @type {import("./views.js").View | null} */
let current = null;
let path = "",
  failure = "",
  drawing = false;

/** Draw the page once before the next frame, however many changes ask for it. */
function redraw() {
  if (drawing) return;
  drawing = true;
  queueMicrotask(() => {
    drawing = false;
    draw();
  });
}

/** @param {any} event */
function chooseTheme(event) {
  remember({ theme: event.target.value });
  applyTheme();
}

/** @param {Event} event */
function skip(event) {
  event.preventDefault();
  document.getElementById("main")?.focus();
}

const themes = () => [
  ["", t("as the device")],
  ["light", t("bright")],
  ["dark", t("dark")],
];

function top() {
  return html`<header class="top">
    <span class="mark" aria-hidden="true"></span><strong>quarterseam</strong>
    <nav aria-label=${t("Ways in")}>
      ${views.map(
        (each) =>
          html`<a href="#/${each.path}" aria-current=${each.path === path ? "page" : nothing}>${each.title()}</a>`,
      )}
    </nav>
    <label class="theme"
      >${t("Colours")}
      <select @change=${chooseTheme}>
        ${themes().map(
          ([name, label]) => html`<option value=${name} ?selected=${name === settings.theme}>${label}</option>`,
        )}
      </select></label
    >
  </header>`;
}

/** A key on a shared tablet is not left behind. */
function bottom() {
  const forget = () => {
    forgetKey();
    location.reload();
  };
  return html`<footer>
    ${t("Blades, presses and lasers hurt people: the machine's own manual comes first.")}
    <a href="/docs">${t("For programmers")}</a> ${hasKey()
      ? html`<button type="button" class="quiet" id="forget-key" @click=${forget}>${t("Forget the key")}</button>`
      : nothing}
  </footer>`;
}

function problem() {
  if (!failure) return nothing;
  return html`<div class="problem" role="alert" id="failure">
    <p>${failure}</p>
    <button
      type="button"
      @click=${() => {
        failure = "";
        go();
      }}
    >
      ${t("Try again")}
    </button>
  </div>`;
}

function draw() {
  const page = /** @type {HTMLElement} */ (document.getElementById("page")),
    plain = path === "bench";
  render(
    html`<a class="skip" href="#main" @click=${skip}>${t("To the content")}</a>
      ${plain ? nothing : top()}
      <main id="main" tabindex="-1">
        ${problem()}${plain ? nothing : madeNotice(redraw)}${current ? current.view() : nothing}
      </main>
      <p id="status" class="unseen" role="status">${current?.status?.() ?? nothing}</p>
      ${plain ? nothing : bottom()} ${enlarged()}${player(redraw)}${keyDialog(go)}`,
    page,
  );
}

/** @param {unknown} error shown on the page; a key is asked for in a dialog */
function tell(error) {
  if (!(error instanceof Problem)) throw error;
  failure = error.status === 401 ? "" : error.errors.map((each) => each.detail).join(" ") || error.message;
  redraw();
}

/**
 * Show the view that the address names.
 * @param {boolean} [moved] whether somebody went there: what is read begins there then
 */
async function go(moved = false) {
  const [, name = "shape", id = ""] = location.hash.split("/");
  const found = views.find((each) => each.path === name),
    load = id ? single[name] : found?.load;
  if (!load) {
    location.hash = "#/shape";
    return;
  }
  failure = "";
  path = name;
  const asked = location.hash;
  try {
    const next = await load();
    if (asked !== location.hash) return;
    current?.leave?.();
    current = next;
    redraw();
    if (moved) {
      scrollTo(0, 0);
      document.getElementById("main")?.focus({ preventScroll: true });
    }
    await next.enter(redraw, id);
    if (asked === location.hash) document.title = `${next.title?.() ?? found?.title() ?? ""} · quarterseam`;
  } catch (error) {
    tell(error);
  }
  redraw();
}

applyTheme();
await loadTexts();
onPreview(redraw);
onPicture(redraw);
onKeyNeeded(askForKey);
addEventListener("hashchange", () => go(true));
// Whatever a button of any view asked for: what hinders it is said, never swallowed.
addEventListener("unhandledrejection", (event) => {
  if (!(event.reason instanceof Problem)) return;
  event.preventDefault();
  tell(event.reason);
});
await go();

/** The page's frame: navigation, settings, the key, and the view that the address names. @module */
import { html, nothing, render } from "./lit-html.js";
import { Problem, onKeyNeeded, setKey } from "./api.js";
import { onPreview } from "./draft.js";
import { enlarged, onPicture } from "./images.js";
import { player } from "./play.js";
import { applyTheme, remember, settings } from "./settings.js";
import { loadTexts, t } from "./text.js";
import { single, views } from "./views.js";

/** @type {import("./views.js").View | null} */
let current = null;
let path = "", failure = "", drawing = false;

/** Draw the page once before the next frame, however many changes ask for it. */
function redraw() {
  if (drawing) return;
  drawing = true;
  queueMicrotask(() => { drawing = false; draw(); });
}

/** @param {any} event */
function chooseTheme(event) { remember({ theme: event.target.value }); applyTheme(); }

/** @param {any} event */
function enterKey(event) {
  event.preventDefault();
  const input = event.target.elements.key;
  setKey(input.value);
  input.value = "";
  /** @type {HTMLDialogElement} */ (document.getElementById("key")).close();
  go();
}

function keyDialog() {
  return html`<dialog id="key" aria-labelledby="key-title"><form @submit=${enterKey}><h2 id="key-title">${t("This service asks for a key")}</h2>
    <div class="field"><label for="key-text">${t("Key")}</label><input id="key-text" name="key" type="password" autocomplete="off" required></div>
    <p>${t("It is kept until this tab is closed.")}</p><button class="main">${t("Go on")}</button></form></dialog>`;
}

function draw() {
  const page = /** @type {HTMLElement} */ (document.getElementById("page"));
  const plain = path === "bench";
  render(html`<a class="skip" href="#main" @click=${(/** @type {Event} */ event) => { event.preventDefault(); document.getElementById("main")?.focus(); }}>${t("To the content")}</a>
    ${plain ? nothing : html`<header class="top"><span class="mark" aria-hidden="true"></span><strong>quarterseam</strong>
      <nav aria-label=${t("Ways in")}>${views.map((each) => each.title ? html`<a href="#/${each.path}" aria-current=${each.path === path ? "page" : nothing}>${each.title()}</a>` : nothing)}</nav>
      <label class="theme">${t("Colours")} <select @change=${chooseTheme}>
        ${[["", t("as the device")], ["light", t("bright")], ["dark", t("dark")]].map(([name, label]) => html`<option value=${name} ?selected=${name === settings.theme}>${label}</option>`)}</select></label></header>`}
    <main id="main" tabindex="-1">${failure ? html`<p class="problem" role="alert">${failure}</p>` : nothing}${current ? current.view() : nothing}</main>
    ${plain ? nothing : html`<footer>${t("Blades, presses and lasers hurt people: the machine's own manual comes first.")} <a href="/docs">${t("For programmers")}</a></footer>`}
    ${enlarged()}${player()}${keyDialog()}`, page);
}

/** Show the view that the address names. */
async function go() {
  const [, name = "shape", id = ""] = location.hash.split("/");
  const load = id ? single[name] : views.find((each) => each.path === name)?.load;
  if (!load) { location.hash = "#/shape"; return; }
  failure = "";
  path = name;
  const asked = location.hash;
  try {
    const next = await load();
    if (asked !== location.hash) return;
    current = next;
    redraw();
    await next.enter(redraw, id);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    failure = error.message;
  }
  redraw();
}

applyTheme();
await loadTexts();
onPreview(redraw);
onPicture(redraw);
onKeyNeeded(() => {
  const dialog = /** @type {HTMLDialogElement} */ (document.getElementById("key"));
  if (dialog && !dialog.open) dialog.showModal();
});
addEventListener("hashchange", () => { go(); scrollTo(0, 0); });
await go();

/** What this browser remembers: units, theme, and the draft. @module */

const NAME = "quarterseam.settings";

/**
 * @typedef {{units: string, theme: string, draft?: any, quilt?: any, kept?: string,
 * ask?: Record<string, any>}} Settings
 * ``kept`` is the draft as it was begun or made, ``ask`` the requests of the questions.
 */

/** @returns {Settings} */
function read() {
  try {
    return { units: "in", theme: "", ...JSON.parse(localStorage.getItem(NAME) || "{}") };
  } catch {
    return { units: "in", theme: "" };
  }
}

export const settings = read();

/** Keep the settings, where the browser allows it. @param {Partial<Settings>} [changes] */
export function remember(changes = {}) {
  Object.assign(settings, changes);
  try {
    localStorage.setItem(NAME, JSON.stringify(settings));
  } catch {
    // Without storage the settings last until the page is left.
  }
}

/** Show the chosen theme; without one the browser's own. */
export function applyTheme() {
  if (settings.theme) document.documentElement.dataset.theme = settings.theme;
  else delete document.documentElement.dataset.theme;
}

/** The cutters that are saved. @module */
import { getAll } from "./api.js";
import { t } from "./text.js";

/** @type {any[]} */
export let cutters = [];

/** @param {() => void} redraw */
export async function loadCutters(redraw) {
  cutters = await getAll("/v1/cutters?limit=200", "cutters");
  redraw();
}

/** @param {unknown} name @returns {any} the cutter of that name, as it is saved */
export function cutterNamed(name) {
  return cutters.find((each) => each.name === name)?.cutter;
}

/** @param {unknown} chosen the name of a cutter, or one that is described in the request */
export function isOnRoll(chosen) {
  const cutter = typeof chosen === "object" ? chosen : cutterNamed(chosen);
  return /** @type {any} */ (cutter)?.bed?.shape === "roll";
}

/** What a cutter is called in a request, or what is described in one. @param {any} chosen @returns {string} */
export const cutterTitle = (chosen) =>
  typeof chosen === "object"
    ? chosen.title || t("described in this kit")
    : cutterNamed(chosen)?.title || String(chosen ?? "");

/** What is done at the machine, as the service states it for screen and run sheet alike. @module */
import { allFormats, formatNamed } from "./formats.js";
import { t } from "./text.js";

/** For programs, which no machine reads. */
const FOR_PROGRAMS = "plan";

/** The steps of a load each time that it is cut; a kit of an earlier release states its stops alone.
 * @param {any} load @returns {string[]} */
export const stepsOfLoad = ({ steps, stops }) => steps ?? stops.map((/** @type {any} */ each) => each.message);

/** How many steps a run takes, as the run sheet counts them. @param {any} run @returns {number} */
export const stepsOfRun = ({ loads }) =>
  loads.reduce(
    (/** @type {number} */ sum, /** @type {any} */ load) => sum + stepsOfLoad(load).length * (load.repeats || 1),
    0,
  );

/** How often a run's machine waits for somebody between two strokes of a load. @param {any} run */
export const pausesOf = ({ loads }) =>
  loads.reduce(
    (/** @type {number} */ sum, /** @type {any} */ load) =>
      sum +
      load.stops.filter((/** @type {any} */ each) => each.before_stroke > 0 && each.reason !== "snip-ties").length *
        (load.repeats || 1),
    0,
  );

/** The files with which a machine stops by itself, such as "A, B or C". */
function thatStop() {
  const all = allFormats()
    .filter((each) => each.name !== FOR_PROGRAMS && each.supports.includes("stops"))
    .map((each) => `.${formatNamed(each.name).extension}`);
  if (all.length < 2) return all.join("");
  return t("{files} or {last}", { files: all.slice(0, -1).join(", "), last: String(all.at(-1)) });
}

/** What is to be known before a load's steps, in the run sheet's words. @param {any} load @returns {string} */
export const loadNote = ({ step_notes }) => (step_notes || []).join(" ");

/** Whether somebody has to count strokes in a load. @param {any} load */
export const isCounted = ({ halt }) => halt === "by_hand" || halt === "by_format";

/** That a machine does not stop by itself, said once of a run. @param {any} run
 * @param {boolean} isDraft whether other files can still be chosen */
export function runNote({ loads }, isDraft) {
  if (!loads.some(isCounted)) return "";
  return [
    t("A file does not stop the machine where you have to work on it: you pause it, as the steps of its load say."),
    isDraft ? t("Files that stop it by themselves, where the machine reads them: {files}.", { files: thatStop() }) : "",
  ]
    .filter(Boolean)
    .join(" ");
}

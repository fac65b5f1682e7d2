/** Where somebody has to stop the machine, and whether its file does so by itself. @module */
import { allFormats, formatNamed } from "./formats.js";
import { t } from "./text.js";

/** For programs, which no machine reads. */
const FOR_PROGRAMS = "plan";

/** Stops between two strokes: what comes first or last needs nobody to halt the machine. @param {any} load */
const between = ({ stops }) =>
  stops.filter((/** @type {any} */ each) => each.before_stroke > 0 && each.reason !== "snip-ties");

/** How often a run's machine waits for somebody in the middle of a load. @param {any} run */
export const pausesOf = ({ loads }) =>
  loads.reduce(
    (/** @type {number} */ sum, /** @type {any} */ load) => sum + between(load).length * (load.repeats || 1),
    0,
  );

/**
 * The formats of a load's files with which the machine runs on where it has to be stopped, those that stop it, and
 * those with a file of its own for the pen and for each blade angle: there the machine stops where a file ends.
 * @param {any} load
 * @param {any} [asked] the run's request, where there are no files yet
 * @returns {{runsOn: string[], stopping: string[], apart: string[]}}
 */
function formatsOf(load, asked) {
  const names = /** @type {string[]} */ (
    load.files ? load.files.map((/** @type {any} */ each) => each.format) : asked?.formats || []
  );
  if (!between(load).length) return { runsOn: [], stopping: [], apart: [] };
  const known = [...new Set(names)].filter((each) => each !== FOR_PROGRAMS && formatNamed(each));
  const stops = (/** @type {string} */ each) => formatNamed(each).supports.includes("stops");
  const isApart = (/** @type {string} */ name) => {
    if (load.files) return names.filter((each) => each === name).length > 1;
    return asked?.one_file_per ? asked.one_file_per === "station" : !stops(name);
  };
  const whole = known.filter((each) => !isApart(each));
  return { runsOn: whole.filter((each) => !stops(each)), stopping: whole.filter(stops), apart: known.filter(isApart) };
}

/** "A, B or C". @param {string[]} names */
function endings(names) {
  const all = names.map((each) => `.${formatNamed(each).extension}`);
  if (all.length < 2) return all.join("");
  return t("{files} or {last}", { files: all.slice(0, -1).join(", "), last: String(all.at(-1)) });
}

/** The files with which a machine stops by itself. */
const thatStop = () =>
  endings(
    allFormats()
      .filter((each) => each.name !== FOR_PROGRAMS && each.supports.includes("stops"))
      .map((each) => each.name),
  );

/** What is to be done at each stop of a load, as the run sheet says it. @param {any} load @param {any} [asked] */
export function stopTexts(load, asked) {
  const watched = formatsOf(load, asked).runsOn.length > 0,
    inside = between(load);
  return load.stops.map((/** @type {any} */ each) =>
    watched && inside.includes(each)
      ? t("After stroke {n}: {what}", { n: each.before_stroke, what: each.message })
      : each.message,
  );
}

/** Says with which file each step of a load begins, if there is one for each. @param {any} load @param {string[]} texts */
function nameFiles(load, texts) {
  const { apart, stopping } = formatsOf(load),
    inside = between(load);
  const begins = (/** @type {number} */ at) =>
    apart
      .map((name) => load.files.filter((/** @type {any} */ each) => each.format === name)[at]?.name)
      .filter(Boolean)
      .reduce((files, last) => (files ? t("{files} or {last}", { files, last }) : last), "");
  load.stops.forEach((/** @type {any} */ each, /** @type {number} */ index) => {
    const isFirst = each.reason === "load-material",
      what = texts[index],
      files = begins(isFirst ? 0 : inside.indexOf(each) + 1);
    if (!files || (!isFirst && !inside.includes(each))) return;
    const step = isFirst
      ? stopping.length
        ? t("{what} Then start the one file that stops the machine, or {files}.", { what, files })
        : t("{what} Then start {files}.", { what, files })
      : stopping.length
        ? t("The machine stops by itself, or the file ends. {what} Then start it again, or {files}.", { what, files })
        : t("The file ends. {what} Then start {files}.", { what, files });
    const stay = t("Between two files neither the material nor the machine's zero point may be moved.");
    texts[index] = isFirst ? `${step} ${stay}` : step;
  });
}

/** Cut by hand or pressed: nothing that moves has to come to rest first. */
const STILL = ["pen", "steel_rule_die"];

/** The same at the bench, where each load ends with when hands may reach in. @param {any} run @param {any} load */
export function benchTexts(run, load) {
  const isBeam = run.tool === "laser",
    texts = stopTexts(load);
  nameFiles(load, texts);
  const at = load.stops.findIndex((/** @type {any} */ each) => each.reason === "snip-ties");
  if (at >= 0) {
    texts[at] = isBeam
      ? t("Beam off, nothing glowing, fumes drawn off: open the lid, snip the ties, then lift the pieces out.")
      : t("Machine stopped, head out of the way: snip the ties, then lift the pieces out.");
  } else if (!STILL.includes(run.tool)) {
    texts.push(
      isBeam
        ? t("Beam off, nothing glowing, fumes drawn off: open the lid, then lift the pieces out.")
        : t("Machine stopped, head clear: lift the pieces out."),
    );
  }
  return texts;
}

/** How many steps of a run are done by hand, as the run sheet counts them. @param {any} run */
export function stepsOfRun(run) {
  // Who allows a stack under a beam is asked first; a die's nicks are snipped last.
  const more = (run.tool === "laser" && run.layers > 1) || run.tool === "steel_rule_die" ? 1 : 0;
  return run.loads.reduce(
    (/** @type {number} */ sum, /** @type {any} */ load) =>
      sum + (benchTexts(run, load).length + more) * (load.repeats || 1),
    0,
  );
}

/** That the machine does not stop by itself, in the run sheet's words. @param {any} load @param {any} [asked] */
export function watchNote(load, asked) {
  const { runsOn, stopping } = formatsOf(load, asked);
  if (!runsOn.length) return "";
  return stopping.length
    ? t(
        "{stopping} stops the machine by itself. {running} does not: watch it, and pause it yourself after the strokes named below; the picture that ends in -path-picture.svg numbers them.",
        { stopping: endings(stopping), running: endings(runsOn) },
      )
    : [
        t(
          "The file does not stop the machine. Watch it, and pause it yourself after the strokes named below; the picture that ends in -path-picture.svg numbers them.",
        ),
        asked
          ? t("Files that stop it by themselves, where the machine reads them: {files}.", { files: thatStop() })
          : "",
      ]
        .filter(Boolean)
        .join(" ");
}

/** The same of a run: what is true of one of its loads. @param {any} run @param {any} [asked] */
export const runNote = (run, asked) =>
  run.loads.map((/** @type {any} */ load) => watchNote(load, asked)).find(Boolean) || "";

/** Files for the machine: the service's formats, and the settings that some of them cannot do without. @module */
import { html, nothing } from "./lit-html.js";
import { get } from "./api.js";
import { cutterNamed } from "./saved_cutters.js";
import { field, partErrors } from "./field.js";
import { plain } from "./names.js";
import { t } from "./text.js";

/** @typedef {import("./field.js").Form} Form @typedef {import("./too_large.js").Told} Told */

/** @type {any[]} */
let formats = [];

/** @param {() => void} redraw */
export async function loadFormats(redraw) {
  formats = (await get("/v1/formats")).formats;
  redraw();
}

export const allFormats = () => formats;
/** @param {string} name */
export const formatNamed = (name) => formats.find((each) => each.name === name);
/** What a format is for, in plain words. @param {string} name */
const purpose = (name) =>
  new Map([
    ["svg", t("a drawing that most machines' programs open")],
    ["dxf", t("a drawing for CAD and machines' programs")],
    ["hpgl", t("for plotters and cutters of vinyl")],
    ["gcode", t("for machines driven by G-code")],
    ["pdf", t("to print in true size and cut by hand")],
    ["plan", t("for programmers; no machine reads it")],
  ]).get(name);
/** "G-code, RS-274/NGC" is called G-code. @param {any} format @returns {string} */
const shortTitle = (format) => format.title.split(",")[0];
/** The chosen formats in a line. @param {any} run */
export const chosenFormats = (run) =>
  (run.formats || [])
    .map((/** @type {string} */ each) => shortTitle(formatNamed(each) || { title: each }))
    .join(", ") || t("none");
/** Whether a run's formats have to know something. @param {any} run */
export const hasSettings = (run) =>
  (run.formats || []).some((/** @type {string} */ each) => isDemanding(formatNamed(each)));
/** @param {any} format */
const isDemanding = (format) => format?.settings.some((/** @type {any} */ each) => each.required);

/**
 * Settings belong to the cutter: one that lacks those of a chosen format is described in the request from now on.
 * @param {any} run
 */
export function completeCutter(run) {
  // What a printer prints is a PDF.
  const { paper } = (typeof run.cutter === "object" ? run.cutter : cutterNamed(run.cutter)) || {};
  if (paper && !run.formats?.includes("pdf")) run.formats = [...(run.formats || []), "pdf"];
  for (const name of run.formats || []) {
    if (!isDemanding(formatNamed(name))) continue;
    const saved = cutterNamed(run.cutter);
    if (saved && !saved.formats?.[name]) run.cutter = structuredClone(saved);
    if (typeof run.cutter === "object") (run.cutter.formats ??= {})[name] ??= guessed(formatNamed(name), run.cutter);
  }
}

/** What follows from the cutter's tool; the rest is asked for. @param {any} format @param {any} cutter */
function guessed(format, cutter) {
  /** @type {Record<string, string>} */
  const found = {};
  for (const { name, choices } of format.settings.filter(
    (/** @type {any} */ each) => each.required && each.choices.length,
  )) {
    const choice = choices.find((/** @type {string} */ each) => cutter.tool?.kind === each);
    if (choice) found[name] = choice;
  }
  return found;
}

/** @param {any} run @param {string} name @param {boolean} on */
function setFormat(run, name, on) {
  const chosen = new Set(run.formats || []);
  if (on) chosen.add(name);
  else chosen.delete(name);
  run.formats = [...chosen];
  // A cutter may hold settings of no format that it is not asked for here.
  if (!on && typeof run.cutter === "object" && run.cutter.formats) delete run.cutter.formats[name];
  completeCutter(run);
}

/** Whether a setting can be stated beside the others. @param {any} setting @param {any} stated @param {any[]} all */
function applies(setting, stated, all) {
  const condition = setting.only_with;
  if (!condition) return true;
  const usual = all.find((each) => each.name === condition.setting)?.default;
  return (stated?.[condition.setting] ?? usual) === condition.value;
}

/** @param {Form} form @param {string} at @param {any} setting */
function settingField(form, at, { name, title, description, choices, type, default: usual }) {
  const pointer = `${at}/${name}`;
  const placeholder = usual === undefined ? "" : String(usual);
  if (type === "flag")
    return field(form, {
      pointer,
      label: title,
      hint: description,
      kind: "flag",
      options: [
        ["", t("no")],
        ["true", t("yes")],
      ],
    });
  if (choices.length) {
    const options = [
      ["", placeholder ? t("as usual: {value}", { value: plain(placeholder) }) : t("choose")],
      ...choices.map((/** @type {string} */ each) => [each, plain(each)]),
    ];
    return field(form, {
      pointer,
      label: title,
      hint: description,
      kind: type === "number" ? "number" : "text",
      options: /** @type {[string, string][]} */ (options),
    });
  }
  return field(form, {
    pointer,
    label: title,
    hint: description,
    kind: type === "number" ? "number" : "text",
    placeholder,
  });
}

const SIMPLE = ["number", "choice", "text", "flag"];

/**
 * What a demanding format of a run has to know.
 * @param {Form} form
 * @param {any} run
 * @param {string} at the run's pointer
 * @param {string} name
 */
function formatSettings(form, run, at, name) {
  const format = formatNamed(name),
    stated = run.cutter?.formats?.[name];
  if (!isDemanding(format) || !stated) return nothing;
  const own = `${at}/cutter/formats/${name}`;
  const offered = format.settings.filter(
    (/** @type {any} */ each) => SIMPLE.includes(each.type) && applies(each, stated, format.settings),
  );
  const [first, more] = [true, false].map((open) =>
    offered.filter((/** @type {any} */ each) => (each.default === undefined) === open),
  );
  return html`<fieldset class="format-settings">
    <legend>${t("{format} has to know", { format: shortTitle(format) })}</legend>
    ${partErrors(form, own)}
    <div class="fields grid">${first.map((/** @type {any} */ each) => settingField(form, own, each))}</div>
    ${more.length
      ? html`<details>
          <summary>${t("More settings")}</summary>
          <div class="fields grid">${more.map((/** @type {any} */ each) => settingField(form, own, each))}</div>
        </details>`
      : nothing}
    <p class="hint">${t("Take these from the machine's manual and from test cuts of your own.")}</p>
  </fieldset>`;
}

/** The formats of a run. @param {Form} form @param {any} run @param {string} at @param {() => void} changed */
export function formatChoice(form, run, at, changed) {
  const chosen = run.formats || [];
  const set = (/** @type {string} */ name, /** @type {boolean} */ on) => {
    setFormat(run, name, on);
    changed();
  };
  return html`<fieldset class="formats">
      <legend>${t("Files for the machine")}</legend>
      ${formats.map(
        (each) =>
          html`<label title=${each.title}
            ><input
              type="checkbox"
              .checked=${chosen.includes(each.name)}
              @change=${(/** @type {any} */ event) => set(each.name, event.target.checked)}
            />
            <span
              >${shortTitle(each)}${purpose(each.name)
                ? html`<br /><small>${purpose(each.name)}</small>`
                : nothing}</span
            ></label
          >`,
      )}
      ${partErrors(form, `${at}/formats`)}
    </fieldset>
    ${chosen.map((/** @type {string} */ name) => formatSettings(form, run, at, name))}`;
}

/**
 * The settings that an error names, each with its place and what it is.
 * @param {any} request
 * @param {Told} error
 * @returns {Told[]}
 */
function named(request, error) {
  const index = Number(/^#\/runs\/(\d+)\/cutter/.exec(error.pointer)?.[1] ?? NaN),
    run = request.runs?.[index];
  return (run?.formats || []).flatMap((/** @type {string} */ name) => {
    const format = formatNamed(name);
    if (!isDemanding(format)) return [];
    const missing = format.settings.filter(
      (/** @type {any} */ each) =>
        new RegExp(`needs ${each.name}\\b`).test(error.detail) &&
        run.cutter?.formats?.[name]?.[each.name] === undefined,
    );
    return missing.map((/** @type {any} */ each) => ({
      pointer: `#/runs/${index}/cutter/formats/${name}/${each.name}`,
      detail: t("{format} needs a value for “{setting}”.", { format: shortTitle(format), setting: each.title }),
    }));
  });
}

/**
 * Say what a format lacks at the fields where it is stated.
 * @param {any} request
 * @param {any} problem
 * @param {Told[]} errors
 * @returns {Told[]}
 */
export function settingErrors(request, problem, errors) {
  if (!String(problem?.type || "").endsWith("format-settings")) return errors;
  return errors.flatMap((each) => {
    const found = named(request, each);
    return found.length ? found : [each];
  });
}

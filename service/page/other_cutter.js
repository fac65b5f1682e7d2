/** Pieces that are too large for a run's cutter: the other cutters that hold them. @module */
import { html, nothing } from "./lit-html.js";
import { openingOf, marginsOf } from "./beds.js";
import { changeByButton } from "./cures.js";
import { cutters } from "./saved_cutters.js";
import { changed, draft } from "./draft.js";
import { completeCutter } from "./formats.js";
import { t } from "./text.js";
import { isTooLarge } from "./too_large.js";

/** What a tool may need beyond an outline at the edges of its bed, mm, on both sides together. */
const ROOM_MM = 6,
  OFFERED = 2;
/** A laser cuts these only where their safety data sheet allows it. */
const NOT_BY_LASER = ["vinyl", "other", undefined];

/** @param {any} cutter @returns {number[] | null} the shorter and the longer side of what can be cut, mm */
function roomOf(cutter) {
  const units = cutter.units || "mm",
    opening = openingOf(cutter, units);
  if (!opening || !opening.isRectangle || opening.isRoll || opening.keepOut.length) return null;
  const [left, right, top, bottom] = marginsOf(cutter, units);
  return [opening.width - left - right, opening.height - top - bottom].sort((a, b) => a - b);
}

/** @param {any} run @returns {number[][]} of each of its pieces the shorter and the longer side, mm */
function sidesOf(run) {
  const chosen = run.pieces?.map((/** @type {any} */ each) => each.id);
  return (draft.outlines?.pieces || [])
    .filter((/** @type {any} */ each) => !chosen || chosen.includes(each.id))
    .map((/** @type {any} */ each) => {
      const { width_mm: width, height_mm: height } = run.cut === "patch" ? each.patch : each.template;
      return [width, height].sort((a, b) => a - b);
    });
}

/** Cutters on which all pieces of a run lie: first those that the kit is cut on already. @param {any} run */
function holding(run) {
  const sides = sidesOf(run),
    used = draft.request.runs.map((/** @type {any} */ each) => each.cutter);
  const fits = (/** @type {any} */ { name, cutter }) => {
    const room = roomOf(cutter);
    if (!room || name === run.cutter || cutter.tool?.kind === "steel_rule_die") return false;
    if (cutter.tool?.kind === "laser" && NOT_BY_LASER.includes(run.material?.kind)) return false;
    return sides.every((each) => each[0] + ROOM_MM <= room[0] && each[1] + ROOM_MM <= room[1]);
  };
  const rank = (/** @type {any} */ { name }) => (used.includes(name) ? 0 : 1);
  return sides.length
    ? cutters
        .filter(fits)
        .sort((one, other) => rank(one) - rank(other))
        .slice(0, OFFERED)
    : [];
}

/** @param {any} run @param {any} each the other cutter */
function offer(run, { name, cutter }) {
  const stated = { cutter: cutter.title || name };
  const title =
    run.cut === "patch" ? t("Cut the patches on: {cutter}", stated) : t("Cut the templates on: {cutter}", stated);
  const use = () => {
    run.cutter = name;
    completeCutter(run);
  };
  return html`<button
    type="button"
    class="cure other-cutter"
    @click=${() => changeByButton(draft.request, title, use, changed)}
  >
    ${title}
  </button>`;
}

/** What else would help where pieces are too large for a bed: another one. @param {any} problem */
export function otherCutters(problem) {
  if (!isTooLarge(problem)) return nothing;
  const numbers = new Set(
    (problem.errors || []).map((/** @type {any} */ each) => /^#\/runs\/(\d+)$/.exec(each.pointer)?.[1]).filter(Boolean),
  );
  const offers = [...numbers].flatMap((each) => {
    const run = draft.request.runs[Number(each)];
    return run ? holding(run).map((other) => offer(run, other)) : [];
  });
  return offers.length
    ? html`<p>${t("Or keep the size, and cut on another machine:")}</p>
        <div class="row">${offers}</div>`
    : nothing;
}

/** The order in which a kit's loads are cut: one after the other, or in turn where the blade stays as it is. @module */

/** @typedef {{run: any, load: any, repeat: number}} Step */

/** The blade's angle at a load's first or last stop that sets it. @param {any} load @param {0 | -1} at */
const angle = (load, at) =>
  load.stops.filter((/** @type {any} */ each) => each.angle_deg !== undefined && each.angle_deg !== null).at(at)
    ?.angle_deg;

/** Whether a load is another's filling, cut from the angle at which the other leaves the blade. @param {any} first
 * @param {any} second */
const isInTurn = (first, second) =>
  JSON.stringify(first.placements) === JSON.stringify(second.placements) &&
  angle(second, 0) !== undefined &&
  !second.stops.some((/** @type {any} */ each) => each.reason === "change-tool");

/** Loads that follow each other and are cut in turn. @param {any[]} loads @returns {any[][]} */
function groups(loads) {
  /** @type {any[][]} */
  const found = [];
  for (const load of loads) {
    const last = found.at(-1);
    if (last && isInTurn(last[0], load)) last.push(load);
    else found.push([load]);
  }
  return found;
}

/** Each load of a group as often as it is cut; the next is the one that begins where the blade stands.
 * @param {any} run @param {any[]} group @returns {Step[]} */
function inTurn(run, group) {
  const cut = group.map(() => 0);
  /** @type {Step[]} */
  const steps = [];
  /** @type {number | undefined} */
  let blade;
  for (;;) {
    const left = group.flatMap((load, at) => (cut[at] < (load.repeats || 1) ? [at] : []));
    if (!left.length) return steps;
    const next = left.find((at) => angle(group[at], 0) === blade) ?? left[0];
    cut[next] += 1;
    blade = angle(group[next], -1);
    steps.push({ run, load: group[next], repeat: cut[next] });
  }
}

/** @param {any} kit @returns {Step[]} one for each time that material is loaded */
export const stepsOf = (kit) =>
  kit.runs.flatMap((/** @type {any} */ run) => groups(run.loads).flatMap((each) => inTurn(run, each)));

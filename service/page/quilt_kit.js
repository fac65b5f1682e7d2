/** What a plan's kit takes on its cutter, beside what is cut by hand. @module */
import { html, nothing } from "./lit-html.js";
import { post } from "./api.js";
import { cutterTitle, cutters } from "./saved_cutters.js";
import { show, showEnough } from "./lengths.js";
import { materialUse } from "./material_use.js";
import { t } from "./text.js";

const DELAY_MS = 500;
/** Where a plan names no cutter. */
const USUAL = "drag-blade-sheet";

/**
 * The plan that was asked about last, and its kit's layout; ``isFirst`` is whether a better one is searched for.
 * @type {{plan: any, layout: any, isFirst: boolean, failed: boolean}}
 */
const asked = { plan: null, layout: null, isFirst: false, failed: false };
/** @type {AbortController | undefined} */
let current;
let timer = 0;

/** The view is left, or its plan is another: nothing is waited for. */
export function forgetKit() {
  clearTimeout(timer);
  current?.abort();
}

/** Ask what a plan's kit takes, a moment after it has come. @param {any} plan @param {() => void} redraw */
export function askKit(plan, redraw) {
  forgetKit();
  Object.assign(asked, { plan, layout: null, isFirst: true, failed: false });
  if (plan?.kit) timer = window.setTimeout(() => ask(plan, redraw), DELAY_MS);
}

/** @param {any} plan @param {() => void} redraw */
async function ask(plan, redraw) {
  const own = (current = new AbortController()),
    runs = plan.kit.runs.map((/** @type {any} */ run) => ({ ...run, effort: "quick" }));
  try {
    for (const [kit, isFirst] of [
      [{ ...plan.kit, runs }, true],
      [plan.kit, false],
    ]) {
      const layout = await post("/v1/layouts", kit, own.signal);
      if (asked.plan !== plan) return;
      Object.assign(asked, { layout, isFirst });
      redraw();
    }
  } catch {
    // What hinders the kit is said where it is made.
    if (asked.plan === plan && !own.signal.aborted) asked.failed = true;
  }
  redraw();
}

/** An amount that a better layout may make smaller. @param {string} amount */
const atMost = (amount) => (asked.isFirst ? t("at most {amount}; calculating …", { amount }) : amount);

/** @param {string} fabric @param {string} units @returns {string} what is bought of it for the kit */
function ofKit(fabric, units) {
  if (asked.failed) return t("not known");
  if (!asked.layout) return t("Calculating …");
  const runs = asked.layout.runs.filter(
    (/** @type {any} */ run) => run.cut === "patch" && run.material.name === fabric,
  );
  // Borders alone are of some fabrics: they are cut by hand.
  if (!runs.length) return t("not in the kit");
  return atMost(
    runs
      .map(
        (/** @type {any} */ run) =>
          run.cloth?.buy ?? run.roll?.buy ?? (run.roll ? materialUse(run, units) : t("not known")),
      )
      .join(" + "),
  );
}

/** @param {string} units */
function templatesOfKit(units) {
  if (asked.failed) return t("not known");
  if (!asked.layout) return t("Calculating …");
  return atMost(
    asked.layout.runs
      .filter((/** @type {any} */ run) => run.cut === "template")
      .map((/** @type {any} */ run) => materialUse(run, units))
      .join("; "),
  );
}

/** How much backing to buy, and how little it takes with its seams the other way.
 * @param {any} backing @param {string} otherWay @returns {string} */
function backingToBuy({ buy, buy_mm, alternative }, otherWay) {
  if (alternative.buy_mm >= buy_mm) return buy;
  return otherWay === "crosswise"
    ? t("{buy}; {less} with its seams crosswise", { buy, less: alternative.buy })
    : t("{buy}; {less} with its seams lengthwise", { buy, less: alternative.buy });
}

/** What the whole quilt takes beside its patches: it is calculated with every plan.
 * @param {any} materials @param {string} units @param {boolean} withKit whether there is a column for the kit */
function finishing({ binding, backing, batting, finishing_for_all: all }, units, withKit) {
  if (!binding) return nothing;
  const size = { width: showEnough(batting.width_mm, units), length: showEnough(batting.length_mm, units) };
  /** @type {[string, string][]} */
  const rows = [
    [t("binding"), (all?.binding || binding).buy],
    [t("backing"), backingToBuy(all?.backing || backing, backing.alternative.seams)],
    [t("batting (wadding)"), t("{width} × {length}", size)],
  ];
  return rows.map(
    ([what, amount]) =>
      html`<tr class="finishing">
        <td>${what}</td>
        <td>${amount}</td>
        ${withKit ? html`<td>${t("not in the kit")}</td>` : nothing}
      </tr>`,
  );
}

/** What is bought, by who cuts it. @param {any} plan @param {string} units */
export function toBuy(plan, units) {
  const { fabrics = [], paper } = plan.materials || {},
    width = fabrics[0]?.usable_width_mm;
  const hands = (/** @type {any} */ each) => each.methods.rows.buy;
  return html`<table id="to-buy">
      <thead>
        <tr>
          <th>${t("To buy")}</th>
          <th>${t("Cut by hand")}</th>
          ${plan.kit
            ? html`<th>${t("Its kit, on: {cutter}", { cutter: cutterTitle(plan.kit.runs[0].cutter) })}</th>`
            : nothing}
        </tr>
      </thead>
      <tbody>
        ${fabrics.map(
          (/** @type {any} */ each) =>
            html`<tr>
              <td>${each.fabric}</td>
              <td>${hands(each)}</td>
              ${plan.kit ? html`<td>${ofKit(each.fabric, units)}</td>` : nothing}
            </tr>`,
        )}
        ${paper
          ? html`<tr>
              <td>${t("card or paper for templates")}</td>
              <td>
                ${t("{n} sheets of {width} × {height}", {
                  n: paper.sheets,
                  width: show(paper.width_mm, units),
                  height: show(paper.height_mm, units),
                })}
              </td>
              ${plan.kit ? html`<td>${templatesOfKit(units)}</td>` : nothing}
            </tr>`
          : nothing}
        ${finishing(plan.materials || {}, units, Boolean(plan.kit))}
      </tbody>
    </table>
    ${width
      ? html`<p class="hint">
          ${t(
            "Cloth {width} wide. By hand, strips are cut across it. On a bed, each load takes a piece of cloth that covers the bed, which can need more.",
            { width: show(width, units) },
          )}
          ${t(
            "Binding, backing and batting are counted for a usual finish, on cloth 40 in wide; the kit holds the patches alone.",
          )}
        </p>`
      : nothing}`;
}

/** The cutter of a plan's kit. @param {import("./field.js").Form} form */
export function kitCutter(form) {
  const chosen = form.data.cutter ?? USUAL;
  const set = (/** @type {any} */ event) => {
    form.data.cutter = event.target.value;
    form.changed();
  };
  return html`<div class="field">
    <label for="quilt-cutter">${t("Cutter of its kit")}</label>
    <select id="quilt-cutter" @change=${set}>
      ${cutters
        .filter((each) => each.cutter.tool?.kind !== "steel_rule_die")
        .map(
          (each) =>
            html`<option value=${each.name} ?selected=${each.name === chosen}>
              ${each.cutter.title || each.name}
            </option>`,
        )}
    </select>
  </div>`;
}

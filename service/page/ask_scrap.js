/** The question of what fits on a scrap, whatever its outline. @module */
import { html, nothing } from "./lit-html.js";
import { cutterPictures } from "./cutters.js";
import { cutters } from "./saved_cutters.js";
import { field } from "./field.js";
import { enlarge, image } from "./images.js";
import { show } from "./lengths.js";
import { units } from "./names.js";
import { command, failed, question } from "./question.js";
import { settings } from "./settings.js";
import { askByHand, byHand, byHandStatus } from "./scrap_by_hand.js";
import { chooseShape, shapeOf, sizeFields } from "./shapes.js";
import { t } from "./text.js";

const inches = settings.units === "in";
/** @type {() => void} */
let redraw = () => {};
const scrap = question(
  "scrap",
  "/v1/layouts",
  settings.ask?.scrap || {
    units: inches ? "in" : "mm",
    pieces: [
      {
        id: "A",
        shape: inches ? { kind: "hexagon", side: "1" } : { kind: "hexagon", side: "25" },
        quantity: "max",
        seam_allowance: inches ? "1/4" : "6",
      },
    ],
    runs: [
      {
        cut: "patch",
        cutter: "laser-bed",
        material: { name: "scrap", kind: "fabric", width: inches ? "12" : "300", height: inches ? "9" : "220" },
      },
    ],
  },
  () => redraw(),
  (data, signal) => askByHand(data, signal, () => redraw()),
);

/** @param {() => void} drawn */
export function askScrap(drawn) {
  redraw = drawn;
  scrap.ask();
}

export const scrapStatus = () =>
  scrap.failure ||
  [scrap.answer ? t("Patches that fit: {n}", { n: scrap.answer.runs[0].totals.A.made }) : "", byHandStatus()]
    .filter(Boolean)
    .join(", ");

/** @param {any} event */
function changeOutline(event) {
  const { material } = scrap.data.runs[0],
    isInches = scrap.data.units === "in";
  for (const name of ["width", "height", "stock"]) delete material[name];
  const [right, up] = isInches ? [12, 9] : scrap.data.units === "cm" ? [30, 22] : [300, 220];
  if (event.target.value)
    material.stock = [
      {
        name: "scrap",
        outline: [
          [0, 0],
          [right, 0],
          [right, up / 2],
          [0, up],
        ],
      },
    ];
  else Object.assign(material, { width: String(right), height: String(up) });
  scrap.changed();
}

/** What of a scrap cannot be cut because it reaches past the bed or its margins. @param {any} run */
function besideBed(run) {
  const { work_area: area } = run,
    sheet = run.sheet || run.loads[0]?.sheet;
  if (!sheet?.width_mm || !area) return nothing;
  const lost = (/** @type {"width_mm" | "height_mm"} */ side) =>
    sheet[side] - 2 * sheet.edge_clearance_mm - area[side] > 0.05;
  if (scrap.data.runs[0].material.stock || (!lost("width_mm") && !lost("height_mm"))) return nothing;
  const inUnits = scrap.data.units,
    size = (/** @type {any} */ each) => `${show(each.width_mm, inUnits)} × ${show(each.height_mm, inUnits)}`;
  return html`<p class="warnings" id="beside-bed">
    ${t(
      "The scrap is larger than what this cutter reaches: of {scrap}, {area} can be cut at a time. Pieces are laid on that part only.",
      { scrap: size(sheet), area: size(area) },
    )}
  </p>`;
}

/** @param {string} name */
function setCutter(name) {
  scrap.data.runs[0].cutter = name;
  scrap.changed();
}

/** The machine that the answer is for, and what it keeps free of the scrap. @param {any} run */
function assumed(run) {
  const { cutter } = scrap.data.runs[0],
    own = scrap.data.units,
    edge = run.sheet?.edge_clearance_mm ?? run.loads[0]?.sheet?.edge_clearance_mm,
    area = run.usable_area;
  const size = area && {
    width: show(area.width_mm, own),
    height: show(area.height_mm, own),
    gap: show(run.gap_mm, own),
    edge: edge === undefined ? "" : show(edge, own),
  };
  return html`<div class="field">
      <label for="scrap-machine">${t("Cut on")}</label
      ><select id="scrap-machine" @change=${(/** @type {any} */ event) => setCutter(event.target.value)}>
        ${typeof cutter === "object"
          ? html`<option value="" selected>${cutter.title || t("described in this kit")}</option>`
          : nothing}
        ${cutters.map(
          (each) =>
            html`<option value=${each.name} ?selected=${each.name === cutter}>
              ${each.cutter.title || each.name}
            </option>`,
        )}
      </select>
    </div>
    ${size && edge !== undefined && !scrap.data.runs[0].material.stock
      ? html`<p id="scrap-margin">
          ${t(
            "Of the scrap this machine reaches {width} × {height}: {edge} stays free along its edge, and {gap} between pieces.",
            size,
          )}
        </p>`
      : nothing}`;
}

function answer() {
  const run = scrap.answer?.runs[0],
    load = run?.loads[0];
  if (!load) return nothing;
  return html`${besideBed(run)}
    <dl class="figures">
      <div>
        <dt>${t("Patches that fit on this cutter")}</dt>
        <dd id="scrap-fits">${run.totals.A.made}</dd>
      </div>
    </dl>
    ${assumed(run)}
    <button
      type="button"
      class="picture"
      aria-label=${t("Enlarge the layout")}
      @click=${() => enlarge(t("What fits on this scrap?"), [["", load.picture]])}
    >
      ${image(load.picture, t("The layout on the scrap"))}
    </button>`;
}

export function scrapView() {
  const [piece] = scrap.data.pieces,
    [run] = scrap.data.runs,
    at = "#/runs/0/material",
    stock = run.material.stock;
  const take = (/** @type {any} */ shape) => {
    piece.shape = shape;
    scrap.changed();
  };
  return html`<section class="sheet">
    <h1>${t("What fits on this scrap?")}</h1>
    <div class="fields grid">
      ${field(scrap, { pointer: "#/units", label: t("Units"), options: units(), converts: "#" })}
      <div class="field">
        <label for="scrap-outline">${t("The scrap is")}</label
        ><select id="scrap-outline" @change=${changeOutline}>
          <option value="" ?selected=${!stock}>${t("a rectangle")}</option>
          <option value="outline" ?selected=${Boolean(stock)}>${t("of another outline")}</option>
        </select>
      </div>
      ${stock
        ? field(scrap, {
            pointer: `${at}/stock/0/outline`,
            label: t("Corners"),
            kind: "corners",
            hint: t("Across and up from one corner, in turn: 0, 0; 8, 0; 8, 3; 0, 6"),
          })
        : html`${field(scrap, { pointer: `${at}/width`, label: t("Scrap's width") })}${field(scrap, {
            pointer: `${at}/height`,
            label: t("Scrap's height"),
          })}`}
    </div>
    <h2>${t("Shape")}: ${shapeOf(piece.shape)?.title || ""}</h2>
    <div class="fields grid">
      <button type="button" id="scrap-shape" @click=${() => chooseShape(scrap.data.units, take, piece.shape)}>
        ${t("Choose another shape")}
      </button>
      ${sizeFields(scrap, piece.shape, "#/pieces/0/shape", scrap.data.units)}${field(scrap, {
        pointer: "#/pieces/0/seam_allowance",
        label: t("Seam allowance"),
      })}
    </div>
    ${cutterPictures("scrap-cutter", run.cutter, scrap.data.units, setCutter)}

    <div aria-busy=${scrap.busy}>${failed(scrap)}${answer()}${byHand()}</div>
    ${command(scrap)}
  </section>`;
}

/** The trade's words for what the API names. @module */
import { t } from "./text.js";

/** @returns {[string, string][]} */
export const materialKinds = () => [
  ["card", t("card")],
  ["paper", t("paper")],
  ["coated_paper", t("coated paper")],
  ["fabric", t("fabric")],
  ["stiffened_fabric", t("stiffened fabric")],
  ["vinyl", t("vinyl")],
  ["other", t("another material")],
];

/** @returns {Map<string, string>} */
const tools = () =>
  new Map([
    ["drag_blade", t("drag blade")],
    ["indexed_blade", t("blade set by hand to angles")],
    ["laser", t("laser")],
    ["steel_rule_die", t("steel rule die")],
    ["pen", t("pen, then cut by hand")],
  ]);

/** A tool that has no words here is called by its name. @param {string} kind */
export const toolName = (kind) => tools().get(kind) || plain(kind);

/** @returns {[string, string][]} */
export const units = () => [
  ["in", t("inches")],
  ["mm", t("millimetres")],
  ["cm", t("centimetres")],
];

/** The materials of the runs that list a piece. @param {any} request @param {string} id */
export const materialsOf = (request, id) =>
  (request?.runs || [])
    .filter(
      (/** @type {any} */ run) => run.cut === "patch" && run.pieces?.some((/** @type {any} */ each) => each.id === id),
    )
    .map((/** @type {any} */ run) => run.material?.name)
    .filter(Boolean)
    .join(", ");

/** @param {string} name "across_flats" becomes "across flats" */
export const plain = (name) => name.replaceAll("_", " ");

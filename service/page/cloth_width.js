/** The width of the cloth that a run's pieces of material are cut from. @module */
import { nothing } from "./lit-html.js";
import { isOnRoll } from "./saved_cutters.js";
import { field } from "./field.js";
import { isCloth } from "./material_use.js";
import { t } from "./text.js";

/** @param {any} run */
const hasWidth = (run) => isCloth(run.material) && !run.material.stock && !isOnRoll(run.cutter);

/** A width belongs to cloth that is bought by the length alone. @param {any} request */
export function alignCloth(request) {
  for (const run of request.runs) if (run.material?.fabric_width && !hasWidth(run)) delete run.material.fabric_width;
}

/** @param {import("./field.js").Form} form @param {any} run @param {string} at the pointer of its material */
export function clothWidth(form, run, at) {
  if (!hasWidth(run)) return nothing;
  return field(form, {
    pointer: `${at}/fabric_width`,
    label: t("Width of the cloth"),
    placeholder: form.data.units === "in" ? "40" : form.data.units === "cm" ? "101.6" : "1016",
    hint: t("Between the selvedges; it says how much to buy."),
  });
}

/**
 * The page's views. To add one: a module with `enter(redraw, id)`, which may fetch, and `view()`,
 * which returns what is shown, and a line here. It may also have `status()`, what a screen reader
 * says when it changes, `title()` of the window, and `leave()`. Views of one thing are reached from others.
 * @module
 */
import { t } from "./text.js";

/**
 * @typedef {{enter: (redraw: () => void, id: string) => unknown, view: () => unknown,
 *   status?: () => string, title?: () => string, leave?: () => void}} View
 */
/** @type {{path: string, title: () => string, load: () => Promise<View>}[]} */
export const views = [
  { path: "shape", title: () => t("Shapes"), load: () => import("./view_shape.js") },
  { path: "drawing", title: () => t("A drawing"), load: () => import("./view_drawing.js") },
  { path: "quilt", title: () => t("A quilt"), load: () => import("./view_quilt.js") },
  { path: "kits", title: () => t("Saved kits"), load: () => import("./view_kits.js") },
  { path: "ask", title: () => t("Questions"), load: () => import("./view_ask.js") },
];

/** @type {Record<string, () => Promise<View>>} Views of one thing: `#/kits/ID`. */
export const single = {
  kits: () => import("./view_kit.js"),
  batches: () => import("./view_batch.js"),
  bench: () => import("./view_bench.js"),
};

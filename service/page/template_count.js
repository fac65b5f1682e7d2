/** How many templates a run cuts of each piece: one to use again, or one for every patch. @module */
import { html, nothing } from "./lit-html.js";
import { changeByButton } from "./cures.js";
import { changed, draft } from "./draft.js";
import { t } from "./text.js";

/** Whether a run cuts fewer templates of some piece than there are patches. @param {any} run */
const isShared = ({ pieces }) =>
  (pieces || []).some(
    (/** @type {any} */ each) =>
      each.quantity < draft.request.pieces.find((/** @type {any} */ piece) => piece.id === each.id)?.quantity,
  );

/** The pieces of a template run, each cut once, or as often as there are patches. @param {any} run
 * @param {boolean} once */
function cutEach(run, once) {
  const cut = run.pieces?.map((/** @type {any} */ each) => each.id);
  run.pieces = draft.request.pieces
    .filter((/** @type {any} */ piece) => !cut || cut.includes(piece.id))
    .map((/** @type {any} */ piece) => ({ id: piece.id, quantity: once ? 1 : piece.quantity }));
}

/** Why a run cuts so many templates, and the button that changes it. @param {any} run @param {number} index */
export function templateCount(run, index) {
  const { pieces } = draft.request;
  const several = pieces.some((/** @type {any} */ piece) => piece.quantity > 1),
    counted = pieces.every((/** @type {any} */ piece) => Number(piece.quantity) > 0);
  if (run.cut === "patch" || !several || !counted || run.reuse > 1) return nothing;
  const shared = isShared(run),
    title = shared ? t("Cut a template for every patch") : t("Cut one template of each piece");
  return html`<p class="hint template-count">
    ${shared
      ? t(
          "A template is used again for every patch of its piece. English paper piecing needs a paper for every patch: it stays in until the neighbours are sewn.",
        )
      : t(
          "A template for every patch, as in English paper piecing, where the paper stays in until the neighbours are sewn. To trace, one of each piece is enough.",
        )}
    <button
      type="button"
      class="quiet"
      id="template-count-${index}"
      @click=${() => changeByButton(draft.request, title, () => cutEach(run, !shared), changed)}
    >
      ${title}
    </button>
  </p>`;
}

/** A question: a request that is asked while its form is typed, and the last answer to it. @module */
import { html, nothing } from "./lit-html.js";
import { Problem, curl, post } from "./api.js";
import { remember, settings } from "./settings.js";
import { t } from "./text.js";
import { details, formErrors, isTooLarge } from "./too_large.js";

const DELAY_MS = 250;

/**
 * @typedef {import("./field.js").Form & {path: string, answer: any, failure: string, details: string[], busy: boolean,
 * ask: () => Promise<void>}} Question
 */

/**
 * @param {string} name of its fields
 * @param {string} path
 * @param {any} data the request
 * @param {() => void} redraw
 * @param {(data: any, signal: AbortSignal) => unknown} [beside] asks something else of the same
 * @returns {Question}
 */
export function question(name, path, data, redraw, beside) {
  let timer = 0;
  /** @type {AbortController | undefined} */
  let current;
  /** @param {unknown} error */
  function fail(error) {
    if (!(error instanceof Problem)) return;
    const told = isTooLarge(error.body)
      ? { details: details(error.errors), failure: error.body.title }
      : { details: [], failure: error.errors[0]?.detail || error.message };
    Object.assign(asked, { answer: null, errors: formErrors(error.body, error.errors, asked.data), ...told });
  }
  /** @type {Question} */
  const asked = {
    name,
    path,
    data,
    errors: [],
    answer: null,
    failure: "",
    details: [],
    busy: true,
    changed: () => {
      current?.abort();
      clearTimeout(timer);
      asked.busy = true;
      timer = window.setTimeout(asked.ask, DELAY_MS);
      redraw();
    },
    ask: async () => {
      const own = (current = new AbortController());
      remember({ ask: { ...settings.ask, [name]: asked.data } });
      beside?.(asked.data, own.signal);
      try {
        const answer = await post(path, asked.data, own.signal);
        if (own === current) Object.assign(asked, { answer, errors: [], failure: "" });
      } catch (error) {
        if (own === current) fail(error);
      }
      if (own === current) asked.busy = false;
      redraw();
    },
  };
  return asked;
}

/** What hinders an answer; the errors stand at their fields as well. @param {Question} asked */
export function failed(asked) {
  if (!asked.failure) return nothing;
  return html`<div class="problem">
    <p>${asked.failure}</p>
    ${asked.details.length
      ? html`<details>
          <summary>${t("Details")}</summary>
          ${asked.details.map((each) => html`<p>${each}</p>`)}
        </details>`
      : nothing}
  </div>`;
}

/** @param {Question} asked */
export const command = (asked) =>
  html`<details>
    <summary>${t("For programmers: the same as a command")}</summary>
    <pre tabindex="0"><code>${curl("POST", asked.path, asked.data)}</code></pre>
  </details>`;

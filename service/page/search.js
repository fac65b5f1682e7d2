/** A search that takes minutes: a layout that is made as a job, with its progress, and can be stopped. @module */
import { Problem, call, get } from "./api.js";
import { follow } from "./jobs.js";

/** Seconds of search from which on it is a job; a word for more than a moment is best. */
const MANY_S = 5;

/** @param {any} run whether a longer search is asked for */
export const isLong = ({ effort }) => effort === "best" || Number(effort) > MANY_S;

/**
 * Return the layouts of a kit, with progress until they are found.
 * @param {any} request @param {AbortSignal} signal stops the search
 * @param {(state: import("./jobs.js").Job) => void} took called as it goes on @returns {Promise<any>}
 */
export async function searchedLayouts(request, signal, took) {
  const options = { body: request, headers: { Prefer: "respond-async" }, signal };
  const { href } = await (await call("POST", "/v1/layouts", options)).json();
  const stop = () => call("DELETE", href).catch(() => {});
  if (signal.aborted) stop();
  signal.addEventListener("abort", stop, { once: true });
  const last = await follow(href, took);
  signal.removeEventListener("abort", stop);
  if (!last.result) throw new Problem(last.problem || { detail: last.state }, 422);
  return get(last.result, signal);
}

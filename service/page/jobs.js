/** Kits made in the background: progress, cancel, and resumption after a lost connection. @module */
import { Problem, call, get } from "./api.js";

const NAME = "quarterseam.job";
const RETRY_MS = 1500;

/** @typedef {{href: string, state: string, progress: number, phase: string, lost: boolean}} Job */

/** The kit that is being made. @type {Job | null} */
export let job = null;

/** @param {string} text one event of the stream @param {(answer: any) => void} took */
function event(text, took) {
  const data = text
    .split("\n")
    .filter((line) => line.startsWith("data:"))
    .map((line) => line.slice(5))
    .join("\n");
  if (data) took(JSON.parse(data));
}

/**
 * Read server-sent events with the key in a header, which EventSource cannot send.
 * @param {string} path
 * @param {(answer: any) => void} took
 */
async function read(path, took) {
  const answer = await call("GET", path, { headers: { Accept: "text/event-stream" } });
  if (!answer.body) return;
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return;
    const parts = (rest + value).split("\n\n");
    rest = /** @type {string} */ (parts.pop());
    parts.forEach((each) => event(each, took));
  }
}

const ended = (/** @type {string} */ state) => !["queued", "running"].includes(state);

/**
 * Follow a job to its end, over restarts of the server.
 * @param {string} href
 * @param {(state: Job) => void} took called as it goes on
 * @returns {Promise<any>} the job as it ended
 */
export async function follow(href, took) {
  /** @type {any} */
  let last = { state: "queued", progress: 0, phase: "" };
  const state = (lost = false) => ({ href, state: last.state, progress: last.progress, phase: last.phase, lost });
  const take = (/** @type {any} */ each) => {
    last = each;
    took(state());
  };
  took(state());
  while (!ended(last.state)) {
    try {
      await read(`${href}/events`, take);
      if (!ended(last.state)) take(await get(href));
    } catch (error) {
      if (error instanceof Problem && error.status >= 400 && error.status < 500 && error.status !== 429) throw error;
      took(state(true));
    }
    if (!ended(last.state))
      await new Promise((done) => {
        setTimeout(done, RETRY_MS);
      });
  }
  return last;
}

/** @param {string} href @param {() => void} redraw */
async function finish(href, redraw) {
  try {
    const last = await follow(href, (state) => {
      job = state;
      redraw();
    });
    if (last.kit) return String(last.kit).split("/").at(-1);
    if (last.state === "cancelled") return null;
    throw new Problem(last.problem || last.error || { detail: last.state }, 422);
  } finally {
    job = null;
    sessionStorage.removeItem(NAME);
    redraw();
  }
}

/** Whether somebody has given up waiting for the service. */
let given = false;

/**
 * Ask for a kit until the service has answered, over restarts: the same key makes the kit once.
 * @param {any} request @param {() => void} redraw @returns {Promise<Response | null>} null when it was given up
 */
async function asked(request, redraw) {
  const key = crypto.randomUUID?.() || String(Math.random()).slice(2);
  given = false;
  try {
    for (;;) {
      try {
        return await call("POST", "/v1/kits", {
          body: request,
          headers: { Prefer: "respond-async", "Idempotency-Key": key },
        });
      } catch (error) {
        if (!(error instanceof Problem) || error.status) throw error;
        job = { href: "", state: "queued", progress: 0, phase: "", lost: true };
        redraw();
        await new Promise((done) => {
          setTimeout(done, RETRY_MS);
        });
        if (given) return null;
      }
    }
  } finally {
    job = null;
    redraw();
  }
}

/** Make a kit; returns its id, or null when it was cancelled. @param {any} request @param {() => void} redraw */
export async function makeKit(request, redraw) {
  const answer = await asked(request, redraw);
  if (!answer) return null;
  const told = await answer.json();
  if (answer.status === 201) return told.id;
  sessionStorage.setItem(NAME, told.href);
  return finish(told.href, redraw);
}

/** Follow the job that this tab was waiting for when it was reloaded. @param {() => void} redraw */
export async function resume(redraw) {
  const href = sessionStorage.getItem(NAME);
  return href ? finish(href, redraw) : null;
}

/** Cancel the job that is followed. */
export async function cancel() {
  given = true;
  if (job?.href) await call("DELETE", job.href);
}

/** Calls of the public API, with the key where one is needed, and problems as errors. @module */

const KEY = "quarterseam.key";

/** An RFC 9457 problem that the service answered. */
export class Problem extends Error {
  /** @param {any} body @param {number} status */
  constructor(body, status) {
    super(body.detail || body.title || `HTTP ${status}`);
    this.body = body;
    this.status = status;
    /** @type {{pointer: string, detail: string}[]} */
    this.errors = body.errors || [];
  }
}

/** @type {() => void} */
let askForKey = () => {};

/** @param {() => void} ask what to do when the service wants a key */
export function onKeyNeeded(ask) { askForKey = ask; }

/** @param {string} key kept until the browser's tab is closed */
export function setKey(key) { sessionStorage.setItem(KEY, key.trim()); }

/** @param {Record<string, string>} more */
function headers(more) {
  const key = sessionStorage.getItem(KEY);
  return key ? { Authorization: `Bearer ${key}`, ...more } : more;
}

/** Statuses of a service that is busy: nothing was done, and the same request may be sent again. */
const BUSY = [429, 503];
const MOST_TRIES = 60;

/** @param {number} seconds @param {AbortSignal} [signal] @returns {Promise<void>} */
function pause(seconds, signal) {
  return new Promise((done, ended) => {
    const timer = setTimeout(done, 1000 * seconds);
    signal?.addEventListener("abort", () => { clearTimeout(timer); ended(signal.reason); }, { once: true });
  });
}

/** @param {string} path @param {RequestInit} init @returns {Promise<Response>} */
async function sent(path, init) {
  for (let tries = 1; ; tries += 1) {
    const answer = await fetch(path, init);
    const wait = Number(answer.headers.get("Retry-After"));
    if (!BUSY.includes(answer.status) || !wait || tries === MOST_TRIES) return answer;
    await pause(Math.min(wait, 10), init.signal ?? undefined);
  }
}

/**
 * Call the API, again while it is busy; throws a Problem unless the answer is a success.
 * @param {string} method
 * @param {string} path
 * @param {{body?: unknown, form?: FormData, headers?: Record<string, string>, signal?: AbortSignal}} [options]
 * @returns {Promise<Response>}
 */
export async function call(method, path, options = {}) {
  const stated = { ...options.headers };
  if (options.body !== undefined) stated["Content-Type"] = "application/json";
  const body = options.body === undefined ? options.form : JSON.stringify(options.body);
  const answer = await sent(path, { method, headers: headers(stated), body, signal: options.signal });
  if (answer.ok) return answer;
  const told = await answer.json().catch(() => ({}));
  if (answer.status === 401) askForKey();
  throw new Problem(told, answer.status);
}

/** @param {string} path @param {AbortSignal} [signal] @returns {Promise<any>} */
export async function get(path, signal) {
  return (await call("GET", path, { signal })).json();
}

/** @param {string} path @param {unknown} body @param {AbortSignal} [signal] @returns {Promise<any>} */
export async function post(path, body, signal) {
  return (await call("POST", path, { body, signal })).json();
}

/** Save an answer as a file, with the key if there is one. @param {string} path @param {string} name */
export async function download(path, name, options = {}) {
  const blob = await (await call("GET", path, options)).blob();
  saveBlob(blob, name);
}

/** @param {Blob} blob @param {string} name */
export function saveBlob(blob, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

/** @param {string} path @returns {Promise<string>} the address of a picture in this page's memory */
export async function picture(path) {
  if (path.startsWith("data:")) return path;
  return URL.createObjectURL(await (await call("GET", path)).blob());
}

/** @param {string} method @param {string} path @param {unknown} [body] @param {string} [accept] */
export function curl(method, path, body, accept) {
  const quote = (/** @type {string} */ text) => `'${text.replaceAll("'", "'\\''")}'`;
  const parts = [`curl -fsS ${location.origin}${path}`];
  if (method !== "GET" && method !== "POST") parts.push(`-X ${method}`);
  if (sessionStorage.getItem(KEY)) parts.push("-H 'Authorization: Bearer KEY'");
  if (accept) parts.push(`-o kit.zip -H 'Accept: ${accept}'`);
  if (body !== undefined) parts.push("-H 'Content-Type: application/json'", `--data ${quote(JSON.stringify(body))}`);
  return parts.join(" \\\n  ");
}

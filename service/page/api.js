/** Calls of the public API, with the key where one is needed, and problems as errors. @module */
import { t } from "./text.js";

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

/** @type {(refused: boolean) => void} */
let askForKey = () => {};

/** @param {(refused: boolean) => void} ask what to do when the service wants a key, or refused the one it got */
export function onKeyNeeded(ask) {
  askForKey = ask;
}

export const hasKey = () => Boolean(sessionStorage.getItem(KEY));
export function forgetKey() {
  sessionStorage.removeItem(KEY);
}

/** @param {string} key kept until the browser's tab is closed */
export function setKey(key) {
  sessionStorage.setItem(KEY, key.trim());
}

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
    signal?.addEventListener(
      "abort",
      () => {
        clearTimeout(timer);
        ended(signal.reason);
      },
      { once: true },
    );
  });
}

/** Fetch; a service that cannot be reached is a problem of status 0. @param {string} path @param {RequestInit} init */
async function fetched(path, init) {
  try {
    return await fetch(path, init);
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    const detail = t("It may be starting again, or this device has lost its network. What you typed is kept.");
    throw new Problem({ title: t("The service cannot be reached"), detail }, 0);
  }
}

/** @param {string} path @param {RequestInit} init @returns {Promise<Response>} */
async function sent(path, init) {
  for (let tries = 1; ; tries += 1) {
    const answer = await fetched(path, init);
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
  if (answer.status === 401) askForKey(hasKey());
  throw new Problem(told, answer.status);
}

/** @param {string} path @param {AbortSignal} [signal] @returns {Promise<any>} */
export async function get(path, signal) {
  return (await call("GET", path, { signal })).json();
}

/**
 * All entries of a list, page by page.
 * @param {string} path @param {string} member of a page, with its entries
 * @returns {Promise<any[]>}
 */
export async function getAll(path, member) {
  const page = await get(path);
  return page.next ? [...page[member], ...(await getAll(page.next, member))] : page[member];
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

/**
 * Open a file of a kit in a new tab, which sends no key: by a link that opens this file alone, for some hours.
 * @param {string} path the file's address
 */
export async function openFile(path) {
  // Before anything is awaited: a browser opens tabs only while it handles a click.
  const tab = window.open("about:blank", "_blank"),
    [kit, file] = path.split("/files/");
  try {
    const { href } = await post(`${kit}/links`, { file: decodeURIComponent(file) });
    if (!tab) {
      location.assign(href);
      return;
    }
    tab.opener = null;
    tab.location.replace(href);
  } catch (error) {
    tab?.close();
    throw error;
  }
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

/** @param {string} text for a shell */
const quote = (text) => `'${text.replaceAll("'", "'\\''")}'`;

/**
 * The same call as a command.
 * @param {string} method @param {string} path @param {unknown} [body]
 * @param {{accept?: string, form?: Record<string, string>, headers?: Record<string, string>}} [more] the answer's
 *   media type; fields of a form, `@NAME` for a file; further headers
 */
export function curl(method, path, body, { accept, form, headers: stated } = {}) {
  const parts = [`curl -fsS ${quote(location.origin + path)}`];
  if (method !== "GET" && (method !== "POST" || (body === undefined && !form))) parts.push(`-X ${method}`);
  if (hasKey()) parts.push("-H 'Authorization: Bearer KEY'");
  if (accept) parts.push(`-o kit.zip -H 'Accept: ${accept}'`);
  for (const [name, value] of Object.entries(stated || {})) parts.push(`-H ${quote(`${name}: ${value}`)}`);
  for (const [name, value] of Object.entries(form || {})) parts.push(`-F ${quote(`${name}=${value}`)}`);
  if (body !== undefined) parts.push("-H 'Content-Type: application/json'", `--data ${quote(JSON.stringify(body))}`);
  return parts.join(" \\\n  ");
}

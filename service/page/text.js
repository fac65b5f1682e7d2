/** Texts from the service's catalogue: the English text is the key. @module */

/** @type {Record<string, string | string[]>} */
let texts = {};

/** Load the catalogue; without it the English texts are shown. */
export async function loadTexts() {
  const answer = await fetch("/page/texts.json");
  if (answer.ok) texts = await answer.json();
}

/**
 * @param {string} text
 * @param {Record<string, unknown>} values
 */
function fill(text, values) {
  return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? String(values[name]) : whole));
}

/**
 * Return a text in the catalogue's language, with values in place of its fields.
 * @param {string} text
 * @param {Record<string, unknown>} [values]
 */
export function t(text, values = {}) {
  const found = texts[text];
  return fill(typeof found === "string" ? found : text, values);
}

/**
 * Return the text for a number of things.
 * @param {string} one
 * @param {string} many
 * @param {number} n
 */
export function tn(one, many, n) {
  const found = texts[one];
  const [single, several] = Array.isArray(found) ? found : [one, many];
  return fill(n === 1 ? single : several, { n });
}

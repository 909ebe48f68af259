// The language of the screens: English in the code, another one in a file beside it.  What is
// stored and sent is the same in all.

const SPOKEN = ["en", "de"];

let spoken = "en";
let texts = {};
let point = ".";

/**
 * Speak a language from now on; English where there is no such file.
 *
 * @param {string} [language] the user's; without, the browser's
 * @returns {Promise<boolean>} whether it is another one than before
 */
export async function speak(language) {
  const before = spoken;
  const wanted = SPOKEN.includes(language) ? language : ofBrowser();
  const file = wanted === "en" ? null : await fileOf(wanted);
  spoken = file ? wanted : "en";
  texts = file?.texts ?? {};
  point = file?.decimal_mark ?? ".";
  document.documentElement.lang = spoken;
  return spoken !== before;
}

function ofBrowser() {
  const short = (navigator.languages ?? []).map((each) => each.slice(0, 2));
  return short.find((each) => SPOKEN.includes(each)) ?? "en";
}

async function fileOf(language) {
  const response = await fetch(new URL(`./languages/${language}.json`, import.meta.url)).catch(() => null);
  return response?.ok ? response.json() : null;
}

export const language = () => spoken;
export const decimalMark = () => point;

/** An English text in that language, with values for its names in braces. */
export function t(text, values = {}) {
  return filled(texts[text] ?? text, values);
}

/** The same for one thing or many, whose number is {count}. */
export function counted(one, many, count) {
  const forms = texts[one] ?? [one, many];
  return filled(forms[count === 1 ? 0 : 1], { count });
}

/** Mark a text that is translated where it is shown. */
export const mark = (text) => text;

/** A label as it stands within a sentence; a German noun keeps its capital. */
export function inSentence(words) {
  return spoken === "en" ? words.toLowerCase() : words;
}

function filled(text, values) {
  return text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? String(values[name]) : whole));
}

// The words of the floor, in the language this station is set to.

let words = null;
let code = "en";

// The language of whoever's badge was scanned, where it is another than the station's.
let spoken = null;
const known = new Map();

// knowAll fetches every language once, so that an answer never waits for its words.
export async function knowAll(languages) {
  await Promise.all(languages.map(async (l) => {
    const answer = await fetch("/lang/" + l).catch(() => null);
    if (answer?.ok) known.set(l, await answer.json());
  }));
}

// speak answers in a worker's language from now on; without one, or in one that
// isn't there, in the station's. It gives the language's code.
export function speak(language) {
  spoken = known.has(language) ? { words: known.get(language), code: language } : null;
  return spoken?.code ?? code;
}

function told() { return spoken?.words ?? words; }

// loadWords fetches a language; the service worker keeps them all.
export async function loadWords(language) {
  const answer = await fetch("/lang/" + language);
  if (!answer.ok) throw new Error("no words in " + language);
  words = await answer.json();
  spoken = null;
  code = language;
  document.documentElement.lang = language;
  for (const e of document.querySelectorAll("[data-say]")) e.textContent = say(e.dataset.say);
  for (const e of document.querySelectorAll("[data-label]")) e.setAttribute("aria-label", say(e.dataset.label));
  for (const e of document.querySelectorAll("[data-desk]")) e.textContent = desk(e.dataset.desk);
  for (const e of document.querySelectorAll("[data-desk-label]")) e.setAttribute("aria-label", desk(e.dataset.deskLabel));
  for (const e of document.querySelectorAll("[data-kind]")) e.textContent = kind(e.dataset.kind);
  for (const e of document.querySelectorAll("[data-unit-name]")) e.textContent = unit(e.dataset.unitName);
}

function fill(text, values) { return text.replace(/\{(\w+)\}/g, (_, name) => values?.[name] ?? ""); }

// say is a text of the page.
export function say(name, values) { return fill(words?.page[name] ?? name, values); }

// desk is a text of the stores' desk.
export function desk(name, values) { return fill(words?.desk[name] ?? name, values); }

// answer is the word and the line of an answer's code.
export function answer(name, values) {
  const a = told()?.answers[name] ?? { word: name, line: "{name}" };
  return { word: a.word, line: fill(a.line, values) };
}

// kind is what a kind of code is called.
export function kind(name) { return told()?.kinds[name] ?? name; }

// unit is the sign of a unit.
export function unit(name) { return told()?.units[name] ?? name; }

// quantity writes a payload such as 12.5MTR as people do.
export function quantity(payload, stockUnit) {
  const m = /^(\d+)(?:[.,](\d+))?([A-Z][A-Z0-9]*)?$/.exec(payload);
  if (!m) return payload;
  const digits = m[2]?.length ?? 0;
  const number = new Intl.NumberFormat(spoken?.code ?? code, { minimumFractionDigits: digits, maximumFractionDigits: digits })
    .format(Number(m[1] + "." + (m[2] ?? "0")));
  return (number + " " + unit(m[3] ?? stockUnit ?? "")).trim();
}

// clockTime is the time of day of a language.
export function clockTime(at) { return new Intl.DateTimeFormat(code, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" }).format(at); }

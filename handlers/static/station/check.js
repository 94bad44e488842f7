// What a station can tell of a payload without the server: its form, its check
// character and its kind. The server tells all of it again.

const ALPHABET = "0123456789BCDEFGHJKLNPRSTUVX";
const VALUES = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*";
const KINDS = { P: "worker", C: "crew", J: "job", L: "lot", N: "indirect", K: "wall" };

// Keyboards that a scanner's keys may come through: what arrives, and what the
// keys were. Only for where no physical key is told.
const LAYOUTS = [
  ["AZERTY", "&é\"'(-è_çà$:", "1234567890]."],
  ["AZERTY", "&é\"'(§è!çà$:", "1234567890]."],
  ["QWERTZ", "+ěščřžýáíé)", "1234567890]"],
  ["QWERTZ", "+ľščťžýáíéä", "1234567890]"],
  ["QWERTZ", "öú", "0]"],
  ["Caps Lock", "!@#$%^&*()}", "1234567890]"],
  ["Caps Lock", "!\"§$%&/()=*", "1234567890]"],
  ["Dvorak", "\"<>PYFGCRLOEUIDHTN:QJKXB", "QWERTYUIOPSDFGHJKLZXCVBN"],
];

// checkCharacter is that of ISO/IEC 7064 MOD 37-2.
export function checkCharacter(text) {
  let p = 0;
  for (const c of text) {
    const v = VALUES.indexOf(c);
    if (v < 0 || v > 35) return "";
    p = ((p + v) * 2) % 37;
  }
  return VALUES[(38 - p) % 37];
}

// isCode reports whether a payload is one of the yard's codes.
export function isCode(text) {
  if (text.length !== 8 || !KINDS[text[0]]) return false;
  for (const c of text.slice(1)) if (!ALPHABET.includes(c)) return false;
  return checkCharacter(text.slice(0, 7)) === text[7];
}

// isQuantity reports whether a payload is a number with an optional unit.
export function isQuantity(text) {
  return /^\d{1,7}([.,]\d{1,6})?([A-Z][A-Z0-9]{1,2})?$/.test(text);
}

// normalise folds case and drops spaces, controls and the AIM identifier.
export function normalise(text) {
  return text.replace(/[\s\u0000-\u001f\u007f\ufeff]/g, "").toUpperCase().replace(/^\][A-Z][A-Z0-9]/, "");
}

// What a scale prints and people type: a word for whether the pan is at rest,
// one for gross or net, a sign, a number and a unit.
const AMOUNT = /^(?:(ST|US|OL|UL)[,;: ]+)?(?:(GS|NT|TR|G|N|T)[,;: ]+)?([+-]?) {0,12}(\d{1,7}(?:[.,]\d{1,6})?) {0,4}([A-Z][A-Z0-9²]{0,3})?(?: (?:G|N|NET))?$/;
const UNITS = {
  KG: "KGM", KGM: "KGM", G: "KGM", GRM: "KGM", M: "MTR", MTR: "MTR", MM: "MTR", M2: "MTK", "M²": "MTK", MTK: "MTK", L: "LTR", LTR: "LTR", ML: "LTR",
  PCS: "C62", PC: "C62", C62: "C62",
};

// amount is what a text says of a quantity, as a read, or empty: a scale that
// hasn't settled says nothing.
export function amount(raw) {
  const m = AMOUNT.exec(raw.replace(/^[ \t\r\n\u0002\u0003]+|[ \t\r\n\u0002\u0003]+$/g, "").toUpperCase());
  if (!m || (m[1] && m[1] !== "ST") || m[2]?.startsWith("T") || m[3] === "-" || (m[5] && !UNITS[m[5]])) return "";
  let [whole, part = ""] = m[4].split(/[.,]/);
  if (["G", "GRM", "MM", "ML"].includes(m[5])) {
    whole = whole.padStart(4, "0");
    part = whole.slice(-3) + part;
    whole = whole.slice(0, -3);
  }
  part = part.replace(/0+$/, "");
  whole = whole.replace(/^0+(?=\d)/, "");
  if (part.length > 6 || /^0*$/.test(whole + part)) return "";
  return whole + (part ? "." + part : "") + (UNITS[m[5]] ?? "");
}

function undo(layout, text) {
  const [, from, to] = layout;
  return Array.from(text, (c) => { const i = from.indexOf(c); return i < 0 ? c : to[i]; }).join("");
}

// reading takes apart what came: by its keys where they are known, and by its
// characters. send is what goes to the server, which keeps what it can't read too.
export function reading(keys, characters) {
  for (const text of [normalise(keys), normalise(characters)]) {
    if (isCode(text)) return { ok: true, send: text, text, kind: KINDS[text[0]], layout: "" };
    if (isQuantity(text)) return { ok: true, send: text, text, kind: "measure", layout: "" };
  }
  for (const layout of LAYOUTS) {
    const text = normalise(undo(layout, characters));
    if (isCode(text)) return { ok: true, send: characters, text, kind: KINDS[text[0]], layout: layout[0] };
  }
  const weight = amount(characters);
  if (weight !== "") return { ok: true, send: weight, text: weight, kind: "measure", layout: "" };
  const text = normalise(characters) || normalise(keys);
  return { ok: false, send: text, text, kind: "", layout: "" };
}

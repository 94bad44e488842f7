// Quantities are whole millionths, as on the server: nothing here is a float.

const MILLION = 1000000n;
export const NOTHING = { q: 0n, unit: "" };

// parse reads a number with an optional unit code, such as 12.5MTR.
export function parse(text) {
  const m = /^(-?)(\d{1,12})(?:[.,](\d{1,6}))?([A-Z][A-Z0-9]*)?$/.exec(text ?? "");
  if (!m) return null;
  const q = BigInt(m[2]) * MILLION + BigInt((m[3] ?? "").padEnd(6, "0"));
  return { q: m[1] ? -q : q, unit: m[4] ?? "" };
}

export function number(text) { return parse(text)?.q ?? 0n; }

// text writes millionths in the shortest decimal form.
export function text(q) {
  const size = q < 0n ? -q : q;
  const part = String(size % MILLION).padStart(6, "0").replace(/0+$/, "");
  return (q < 0n ? "-" : "") + String(size / MILLION) + (part ? "." + part : "");
}

// divide rounds half away from zero.
function divide(a, b) {
  const half = b / 2n;
  return a < 0n ? -((-a + half) / b) : (a + half) / b;
}

// toStock turns a quantity into the item's stock unit by the item's data, or
// gives null where there are none. The server does it again.
export function toStock(item, { q, unit }) {
  if (unit === "" || unit === item.unit) return q;
  const by = (data) => (data ? divide(q * number(data), MILLION) : null);
  if (unit === "MTR" && item.unit === "MTK") return by(item.roll_width_m);
  if (unit === "C62" && item.unit === "MTK") return by(item.sheet_m2);
  if (unit === "LTR" && item.unit === "KGM") return by(item.kg_per_litre);
  if (unit === "KGM" && item.unit === "LTR" && item.kg_per_litre) return divide(q * MILLION, number(item.kg_per_litre));
  return null;
}

// factor is what leaves a lot beyond the quantity read, as a share of it.
function factor(item, job) { return item.net ? number(job?.factor || item.factor) : 0n; }

// gross is what leaves the lot for a quantity read, in the stock unit.
export function gross(item, job, q) { return divide(q * (MILLION + factor(item, job)), MILLION); }

// toRead is the quantity to read so that so much leaves the lot.
export function toRead(item, job, q) { return divide(q * MILLION, MILLION + factor(item, job)); }

// weight is a quantity of an item in kilograms, or null.
function weight(item, q) {
  if (item.unit === "KGM") return q;
  return item.unit === "LTR" && item.kg_per_litre ? divide(q * number(item.kg_per_litre), MILLION) : null;
}

// hardenerFor is the quantity to read of a hardener for a quantity read of its
// resin: by weight, in the hardener's own unit; null where it can't be told.
export function hardenerFor(resin, hardener, job, q) {
  const kg = weight(resin, gross(resin, job, q));
  if (kg === null || !resin.hardener_parts) return null;
  const need = divide(kg * number(resin.hardener_parts), 100n * MILLION);
  const own = toStock(hardener, { q: need, unit: "KGM" });
  return own === null ? null : toRead(hardener, job, own);
}

// weighed rounds to a gram or a tenth of a litre's hundredth: what a scale shows.
export function weighed(q) { return divide(q, 1000n) * 1000n; }

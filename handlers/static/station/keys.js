// A scanner is a keyboard that types fast. Its keys are caught wherever focus
// is, by their place on the keyboard, so that the layout doesn't matter.
import { reading } from "./check.js";

const END = 100; // ms without a key that end a code without a suffix
const JUNK = 400; // ms after which what came fast and is no code is told as misread
const FAST = 90; // ms between keys that no hand types for long
const LEAST = 6; // characters of a code

const PLACES = { Period: ".", NumpadDecimal: ".", Comma: ",", NumpadComma: ",", BracketRight: "]", Minus: "-" };

// keyOf is the character of a key on the keyboard scanners press.
export function keyOf(event) {
  const code = event.code || "";
  if (/^Key[A-Z]$/.test(code)) return code[3];
  if (/^(Digit|Numpad)\d$/.test(code)) return code.slice(-1);
  return PLACES[code] ?? (event.key.length === 1 ? event.key : "");
}

// Wedge listens to a document and hands over what was read.
export class Wedge {
  constructor(field, onRead, onTyping) {
    this.field = field;
    this.onRead = onRead;
    this.onTyping = onTyping;
    this.clear();
  }

  listen(target) {
    target.addEventListener("keydown", (e) => this.key(e), true);
    this.field.addEventListener("input", () => this.input());
    target.addEventListener("paste", (e) => this.paste(e), true);
  }

  clear() {
    this.keys = []; // {k: by place, c: by character, at}
    this.field.value = "";
    clearTimeout(this.timer);
  }

  key(e) {
    if (own(e.target)) return;
    if (e.key === "Enter" || e.key === "Tab" || e.code === "NumpadEnter") {
      if (this.keys.length === 0) return; // moves about the page, as ever
      e.preventDefault();
      e.stopPropagation();
      this.end(true);
      return;
    }
    if (e.key === "Backspace" || e.key === "Escape") {
      if (this.keys.length > 0) e.preventDefault();
      this.keys.length = e.key === "Escape" ? 0 : Math.max(0, this.keys.length - 1);
      this.show();
      return;
    }
    if (e.ctrlKey && e.code === "BracketRight") { // how scanners type the separator of suppliers' labels
      e.preventDefault();
      this.add("\x1d", "\x1d", e.timeStamp);
      return;
    }
    if (e.ctrlKey || e.metaKey || e.repeat || e.isComposing || e.key === "Unidentified" || e.key === "Process") return;
    if (e.key.length !== 1 && e.key !== "Dead") return;
    const k = keyOf(e);
    if (k === "" || (e.key === " " && this.keys.length === 0)) return;
    e.preventDefault();
    this.add(k, e.key.length === 1 ? e.key : k, e.timeStamp);
  }

  // input takes what came without keys: an on-screen keyboard, dictation.
  input() {
    const had = this.keys.map((k) => k.c).join("");
    const text = this.field.value;
    if (text.startsWith(had)) for (const c of text.slice(had.length)) this.add(c, c, performance.now());
    else { this.keys = Array.from(text, (c) => ({ k: c, c, at: performance.now() })); this.show(); }
  }

  paste(e) {
    if (own(e.target)) return;
    e.preventDefault();
    for (const c of e.clipboardData?.getData("text") ?? "") this.add(c, c, performance.now());
  }

  add(k, c, at) {
    this.keys.push({ k, c, at });
    if (this.keys.length > 200) this.keys.shift();
    this.show();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.pause(), END);
  }

  show() {
    this.field.value = this.keys.map((k) => k.c).join("").toUpperCase();
    this.onTyping(this.field.value);
  }

  // pause: a code is taken at once; what is typed by hand waits for its end.
  pause() {
    if (this.keys.length < LEAST) return;
    if (this.end(false)) return;
    const fast = this.keys.every((k, i) => i === 0 || k.at - this.keys[i - 1].at <= FAST);
    if (fast) this.timer = setTimeout(() => this.end(true), JUNK - END);
  }

  // end hands over what came. Where all of it is nothing, its end may be a code,
  // scanned after something was left in the field: after a pause, or after
  // figures, with which no code begins.
  end(whole) {
    const all = text(this.keys);
    let read = reading(all.keys, all.characters);
    const other = this.whole?.(all.characters) ?? false; // something else, to be taken whole
    if (other) read = { ok: false, send: all.characters, text: all.characters, kind: "", layout: "" };
    read.raw = all.characters;
    if (!read.ok && !other) {
      for (const part of [burst(this.keys), afterFigures(this.keys)]) {
        const last = text(part);
        const tail = reading(last.keys, last.characters);
        if (!read.ok && tail.ok && tail.kind !== "measure") read = tail;
      }
    }
    const code = read.ok && read.kind !== "measure";
    if (!whole && !code) return false;
    this.clear();
    this.onTyping("");
    if (read.send !== "") this.onRead(read);
    return true;
  }
}

function text(keys) {
  return { keys: keys.map((k) => k.k).join(""), characters: keys.map((k) => k.c).join("") };
}

// burst is what came since the last pause.
function burst(keys) {
  let i = keys.length - 1;
  while (i > 0 && keys[i].at - keys[i - 1].at <= END) i--;
  return keys.slice(Math.max(0, i));
}

// afterFigures is what follows a number that was typed.
function afterFigures(keys) {
  const i = keys.findIndex(({ k }) => !/[\d.,]/.test(k));
  return i < 0 ? [] : keys.slice(i);
}

// own reports fields that take their keys themselves.
function own(target) { return target instanceof Element && target.closest("[data-typing]") !== null && target.closest("button") === null; }

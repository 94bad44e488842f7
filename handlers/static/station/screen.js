// What the screen says: one call at a time, over everything else, in a word, a
// picture, a colour and a shape.
import { say, answer, kind, speak } from "./words.js";

const $ = (id) => document.getElementById(id);
const STAYS = { done: 8000, refused: 9000, ignored: 3000, kept: 8000, warn: 15000 }; // ms; waiting lasts as long as its context

// Signs of answers that are not told by their outcome.
const SIGNS = {
  worker: "job", crew: "job", job: "lot", lot: "measure", return: "return", waste: "waste", scrap: "scrap", sign: "sign",
  clocked_off: "off", undone: "undo", cancelled: "cancel",
  check: "measure", check_minutes: "measure", check_by: "measure", problem: "problem", problem_by: "problem",
};

// Screen shows calls. idle is what it says between them.
export class Screen {
  constructor() {
    this.ready = "ready_clock";
    this.context = null; // {until, gap}
    this.call = null;
    setInterval(() => this.tick(), 200);
    addEventListener("resize", () => fit($("call").querySelector(".told")));
  }

  // show puts up a call: state, code, who, name, about, needs.
  show(call) {
    const text = answer(call.code, { name: call.name });
    this.call = { ...call, ends: call.state === "waiting" ? Infinity : Date.now() + (STAYS[call.state] ?? 2000) };
    if (call.state === "waiting") this.waiting = call;
    if (call.state === "done" || call.state === "warn") this.waiting = null;
    this.paint({
      ...call, word: call.word ?? text.word, line: call.told ?? (text.line === call.who ? "" : text.line),
      sign: call.sign ?? SIGNS[call.code] ?? call.state,
    });
    this.tick();
  }

  // hold starts the countdown of a context anew; 0 ends it.
  hold(seconds, held) {
    this.context = seconds > 0 ? { until: Date.now() + 1000 * seconds, gap: 1000 * seconds } : null;
    $("held").textContent = held;
    if (!this.context) this.waiting = null;
  }

  idle() {
    this.call = null;
    if (!this.context) $("call").lang = speak(""); // the next badge may be anybody's
    this.paint({ state: "idle", word: say(this.ready), sign: this.ready === "ready_clock" ? "badge" : "job" });
  }

  paint(c) {
    const call = $("call");
    call.dataset.state = c.state;
    document.body.dataset.calling = c.state === "idle" ? "no" : "yes";
    call.classList.remove("fresh");
    void call.offsetWidth; // lets the same call twice be seen as two
    call.classList.add("fresh");
    $("sign").setAttribute("href", "#sign-" + c.sign);
    for (const id of ["who", "word", "line", "about"]) {
      $(id).textContent = c[id] ?? "";
      $(id).hidden = !c[id];
    }
    const needs = c.state === "idle" ? [] : c.needs ?? [];
    $("next").hidden = needs.length === 0;
    $("needs").replaceChildren(...needs.map((k) => need(k)));
    fit(call.querySelector(".told"));
  }

  // tick ends what is over and lets the tide fall.
  tick() {
    const now = Date.now();
    if (this.context && now >= this.context.until) {
      this.context = null;
      this.waiting = null;
      this.over?.();
      if (this.call?.state === "waiting" || !this.call) this.idle();
    }
    if (this.call && now >= this.call.ends) {
      if (this.waiting && this.context) this.show(this.waiting);
      else this.idle();
    }
    const tide = $("tide");
    tide.hidden = !this.context;
    if (!this.context) return;
    const left = this.context.until - now;
    $("seconds").textContent = Math.ceil(left / 1000);
    tide.style.setProperty("--left", String(left / this.context.gap));
    tide.classList.toggle("low", left < 8000);
  }
}

// fit makes long words and names smaller until all of a call is on the screen.
function fit(told) {
  const tall = told.parentElement.dataset.state !== "idle"; // between calls the room is not bounded
  const over = () => (tall && told.scrollHeight > told.clientHeight + 1) || told.scrollWidth > told.clientWidth + 1;
  for (let size = 10; size >= 4; size--) {
    told.style.setProperty("--fit", String(size / 10));
    if (!over()) return;
  }
}

function need(name) {
  const li = document.createElement("li");
  li.append(sign(name === "worker" ? "badge" : name), kind(name));
  return li;
}

// sign is a picture of the page.
export function sign(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("aria-hidden", "true");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  use.setAttribute("href", "#sign-" + name);
  svg.append(use);
  return svg;
}

// notice puts a line at the bottom, or takes it away.
export function notice(id, text) {
  let line = $("notice-" + id);
  if (!text) { line?.remove(); return; }
  if (!line) {
    line = document.createElement("li");
    line.id = "notice-" + id;
    $("notices").append(line);
  }
  if (line.textContent !== text) line.textContent = text;
}

// lamp sets a lamp of the rail.
export function lamp(id, on, signName, text) {
  const e = $(id);
  e.hidden = !on;
  e.querySelector("use").setAttribute("href", "#sign-" + signName);
  e.querySelector("span").textContent = text;
}

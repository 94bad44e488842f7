// The desk takes what was read, keeps it, and says what became of it.
import { newID } from "./queue.js";
import { kind, quantity, say, speak } from "./words.js";
import { asks, holdLine } from "./notes.js";
import { notice } from "./screen.js";

const TUNE = { done: "done", waiting: "waiting", refused: "refused", kept: "kept" };
const CHECK_UNITS = { vacuum: "MBR", leak: "C62", temperature: "CEL", humidity: "P1" };
const SLOW = 1500; // ms without an answer after which a read is told as kept
const ENDS = ["cancelled", "signed", "may_not_sign", "problem_noted"]; // answers that leave no context
const $ = (id) => document.getElementById(id);

// Desk remembers whom and what the station is about.
export class Desk {
  constructor(queue, screen, sound, station) {
    this.queue = queue;
    this.screen = screen;
    this.sound = sound;
    this.station = station;
    this.state = "connected";
    this.last = null; // the read on screen
    this.forget();
    screen.over = () => this.forget();
  }

  forget() { this.who = ""; this.job = ""; this.unit = ""; this.keypad?.stockUnit(""); asks(this.station, []); }

  typing(text) { $("typed").textContent = text === "" ? "" : quantity(text, this.unit); }

  // read keeps what was read; nothing is said of it before it is safe.
  async read(read) {
    const begun = performance.now();
    const record = { id: newID(), at: new Date(Date.now()).toISOString(), payload: read.send };
    this.last = { ...record, read };
    const kept = this.queue.add(record);
    notice("keyboard", read.layout ? say("keyboard", { name: read.layout }) : "");
    try {
      await kept;
    } catch {
      this.sound.play("refused");
      this.screen.show({ state: "refused", code: "misread", name: say("full") });
      return;
    }
    if (this.last.id !== record.id) return;
    const seen = read.kind === "measure" ? null : await this.queue.seen(read.text).catch(() => null);
    if (this.last.id !== record.id || this.last.answered) return;
    this.heard(read, seen);
    document.body.dataset.took = Math.round(performance.now() - begun);
  }

  // heard is the first word, at once; the server's answer comes over it.
  heard(read, seen) {
    const heard = { kind: seen?.kind ?? read.kind, name: this.called(read, seen), about: seen?.about, language: seen?.language };
    if (!read.ok) {
      this.sound.play("refused");
      this.screen.show({ state: "refused", code: "misread", name: read.text });
      return;
    }
    this.note(heard, seen?.unit);
    const call = { who: this.who, name: heard.name, about: heard.about, sign: signOf(heard.kind) };
    if (this.state !== "connected") return this.keptHere(call, heard.kind);
    this.screen.show({ ...call, state: "heard", code: "heard", word: kind(heard.kind) });
    const last = this.last;
    setTimeout(() => { if (this.last === last && !last.answered) this.keptHere(call, heard.kind); }, SLOW);
  }

  keptHere(call, of) {
    this.sound.play("kept");
    this.screen.hold(this.station.scan_gap, this.held());
    this.screen.show({ ...call, state: "kept", code: "kept", name: call.name || kind(of) });
  }

  called(read, seen) {
    if (read.kind === "measure") return quantity(read.text, this.unit);
    return seen ? seen.name || kind(word(seen)) : read.text;
  }

  // note remembers whom and what the sentence is about.
  note(heard, unit) {
    if (heard.kind === "worker" || heard.kind === "crew") {
      this.forget();
      this.who = heard.name;
      $("call").lang = speak(heard.language);
    }
    if (heard.kind === "job") { this.job = heard.name; this.unit = ""; }
    if (heard.kind === "lot") { this.unit = unit ?? ""; this.keypad?.stockUnit(this.unit); }
  }

  held() { return [this.who, this.job].filter(Boolean).join(" · "); }

  // answered shows the answer to the read on screen; older ones only count.
  answered(answers) {
    for (const a of answers) {
      if (a.id !== this.last?.id) continue;
      this.last.answered = true;
      this.tell(a);
    }
  }

  tell(a) {
    if ((a.code === "unknown_code" || a.code === "bad_quantity") && !this.last.read.ok) return; // said at once already
    const h = a.heard;
    const name = h.kind === "measure" ? quantity(h.name, this.unit) : h.name || kind(word(h));
    const signer = a.code === "signed" || a.code === "may_not_sign";
    if (a.code.endsWith("_by")) this.who = name; // who notes it; the job stays
    else if (a.outcome !== "refused" && !signer) this.note({ kind: h.kind, name, language: h.language }, h.unit);
    if (a.outcome === "waiting" && h.kind === "check") this.unit = CHECK_UNITS[h.key] ?? "";
    if (a.code === "check_minutes") this.unit = "MIN";
    asks(this.station, a.needs);
    this.sound.play(a.hold ? "warn" : TUNE[a.outcome]);
    if (ENDS.includes(a.code)) this.forget();
    this.screen.hold(ENDS.includes(a.code) ? 0 : this.station.scan_gap, this.held());
    this.screen.show({
      state: a.outcome, code: a.code, who: signer ? "" : this.who, name,
      about: [h.about, h.kind === "measure" ? this.job : ""].filter(Boolean).join(" · "), needs: a.needs,
      ...(a.hold ? { state: "warn", sign: "wait", word: say("must_wait"), told: holdLine(a.hold), about: say("hold_decides") } : {}),
    });
    document.body.dataset.answered = a.id;
  }
}

// word is the name under which a language has what was heard.
function word(h) { return h.key ? h.kind + "_" + h.key : h.kind; }

function signOf(name) {
  if (name === "worker") return "badge";
  return name === "done" || name === "progress" ? "sign" : name;
}

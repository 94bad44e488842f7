// The stores' desk: the station's desk, with the work in hand beside it.
import { Desk } from "../station/desk.js";
import { newID } from "../station/queue.js";
import { notice } from "../station/screen.js";
import { reading } from "../station/check.js";
import { desk as say } from "../station/words.js";
import { gross, hardenerFor, number, parse, text, toStock, weighed } from "./amount.js";
import { Sentence } from "./sentence.js";

const IDLE = 300; // s without a read after which the work in hand is put down

// StoresDesk takes reads, puts what they lack before them, and keeps the panels right.
export class StoresDesk extends Desk {
  constructor(queue, screen, sound, station, { shelf, outbox, work, changed }) {
    super(queue, screen, sound, { ...station, scan_gap: IDLE });
    Object.assign(this, { shelf, outbox, work, changed });
    this.sentence = new Sentence(1000 * station.scan_gap - 1500); // on the safe side of the server's
    this.chain = Promise.resolve();
    this.hand = { job: null, lot: null, item: null, mode: "", hardener: null, reason: "", unsaid: null };
    work.desk = this;
  }

  forget() {
    super.forget();
    if (!this.sentence) return; // the base class begins with it
    this.sentence.forget();
    this.hand = { job: null, lot: null, item: null, mode: "", hardener: null, reason: "", unsaid: null };
    this.work.show();
  }

  // note remembers names only: what is in hand follows the reads themselves.
  note(heard, unit) {
    if (heard.kind === "worker" || heard.kind === "crew") this.who = heard.name;
    if (heard.kind === "job") this.job = heard.name;
    if (heard.kind === "lot" && unit) this.unit = unit;
  }

  // kindOf tells the wall cards apart.
  kindOf(read) { return read.kind === "wall" ? this.shelf.kinds.get(read.text) ?? "wall" : read.kind; }

  // read keeps a read in its turn, after whatever has to be said again before it.
  read(read) {
    this.chain = this.chain.then(() => this.take(read)).catch((e) => console.error(e));
    return this.chain;
  }

  async take(read) {
    const kind = this.kindOf(read);
    if (this.looks) return this.look(kind, read);
    if (read.ok) await this.sayAgain(kind);
    const before = { ...this.hand };
    await super.read(read);
    if (!read.ok) return;
    this.sentence.sent(kind, read.text, Date.now());
    await this.follow(kind, read, before);
    this.changed();
    return undefined;
  }

  // look shows what was scanned and records nothing.
  async look(kind, read) {
    this.last = { at: new Date(Date.now()).toISOString(), read };
    if (read.ok && (kind === "job" || kind === "lot")) await this.follow(kind, read, this.hand);
  }

  async sayAgain(kind) {
    for (const payload of this.sentence.missing(kind, Date.now(), this.shelf.shelf.cards)) {
      const at = Date.now();
      await this.queue.add({ id: newID(), at: new Date(at).toISOString(), payload });
      const known = reading(payload, payload);
      this.sentence.again(this.kindOf(known), payload, at);
    }
  }

  // card is a press on a key that stands for a card.
  card(kind) {
    const payload = this.shelf.shelf.cards[kind];
    if (payload) return this.read(reading(payload, payload));
    return undefined;
  }

  scan(payload) { return this.read(reading(payload, payload)); }

  async follow(kind, read, before) {
    const h = this.hand;
    const at = this.last.at;
    if (kind === "worker" || kind === "crew") this.hand = { ...h, job: null, lot: null, item: null, mode: "", reason: "", hardener: null };
    if (kind === "job") {
      Object.assign(h, { job: { payload: read.text, lines: [] }, lot: null, item: null, mode: "", reason: "", hardener: null });
      this.work.show();
      const job = await this.shelf.job(read.text);
      if (job && this.hand.job?.payload === read.text) { this.hand.job = job; this.job = job.job; }
    }
    if (kind === "return" || kind === "waste") Object.assign(h, { mode: kind, lot: null, item: null, reason: "", hardener: null });
    if (kind === "scrap") Object.assign(h, { job: null, mode: kind, lot: null, item: null, reason: "", hardener: null });
    if (kind === "lot") await this.takeLot(read.text);
    if (kind === "measure" && before.lot) await this.did(read, before, at);
    if (kind === "undo") { h.unsaid = null; await this.refresh(); }
    this.work.show();
  }

  async takeLot(payload) {
    Object.assign(this.hand, { reason: "", unsaid: null });
    const lot = await this.shelf.lot(payload);
    Object.assign(this.hand, { lot, item: lot ? this.shelf.items.get(lot.item) : null });
    if (!lot) return;
    this.unit = this.hand.item.unit;
    this.keypad.offer(this.hand.item.units);
    this.keypad.stockUnit(this.unit);
    const h = this.hand.hardener;
    if (h && h.item === lot.item && this.hand.mode === "") this.keypad.set(text(h.q) + this.unit);
  }

  // did follows a quantity: what is left, the reason, the hardener to come.
  async did(read, hand, at) {
    const { lot, item, job, mode } = hand;
    const measure = parse(read.text.replace(",", "."));
    const q = measure && toStock(item, measure);
    if (q === null || q === undefined) return;
    const kind = this.reasonKind(hand);
    if (kind && hand.reason) await this.outbox.add("/api/desk/reasons", { at, lot: lot.payload, kind, reason: hand.reason, who: this.who });
    this.hand.unsaid = kind && !hand.reason ? { at, lot: lot.payload, kind } : null;
    const drawn = mode === "return" ? -q : mode === "waste" ? 0n : mode === "scrap" ? q : gross(item, job, q);
    lot.remaining = text(number(lot.remaining) - drawn);
    const line = job?.lines?.find((l) => l.item === item.item);
    if (line && mode !== "waste") {
      line.issued = text(number(line.issued) + drawn);
      line.left = text(number(line.left) - drawn);
    }
    this.hand.hardener = null;
    const hardener = mode === "" && item.hardener ? this.shelf.items.get(item.hardener) : null;
    const need = hardener && hardenerFor(item, hardener, job, q);
    if (need) this.hand.hardener = { item: item.hardener, q: weighed(need) };
  }

  // reasonKind is the kind of reason that a quantity needs, if any.
  reasonKind({ lot, mode }) {
    if (mode === "scrap") return "scrap";
    return mode === "" && lot && this.shelf.expired(lot) ? "expired" : "";
  }

  // because takes a reason: for the quantity to come, or for the one that had none.
  async because(reason) {
    const open = this.hand.unsaid;
    if (open) {
      this.hand.unsaid = null;
      await this.outbox.add("/api/desk/reasons", { ...open, reason, who: this.who });
      this.changed();
    } else this.hand.reason = reason;
    this.work.show();
  }

  async refresh() {
    const { job, lot } = this.hand;
    if (job) {
      const told = await this.shelf.job(job.payload);
      if (told && this.hand.job?.payload === job.payload) this.hand.job = told;
    }
    if (lot) {
      const told = await this.shelf.lot(lot.payload, true);
      if (told && this.hand.lot?.payload === lot.payload) this.hand.lot = told;
    }
    this.work.show();
  }

  // answered takes the names of all answers, also where scans outran them.
  answered(answers) {
    for (const { heard, outcome } of answers) {
      if (outcome === "refused" || !heard.name) continue;
      if (heard.kind === "worker" || heard.kind === "crew") this.who = heard.name;
      if (heard.kind === "job") this.job = heard.name;
    }
    super.answered(answers);
  }

  tell(a) {
    super.tell(a);
    notice("refused-card", "");
    if (a.outcome === "refused" && ["job", "lot"].includes(this.last.read.kind) && a.code === "unknown_code") {
      if (this.last.read.kind === "job") this.sentence.want.job = "";
      this.sentence.want.lot = "";
      this.hand[this.last.read.kind] = null;
      this.work.show();
    }
    if (a.code.startsWith("did_") || a.code === "undone") this.refresh();
    this.changed();
  }

  typing(typed) {
    super.typing(typed);
    this.work.warn(typed);
  }

  title() { return say("mode_" + (this.hand.mode || "issue")); }
}

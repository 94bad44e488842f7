// What the stores hold, as the server last told it; kept for when the network
// is away. Lots of an item stand in the order they should be used.
import { number } from "./amount.js";

const EVERY = 60000; // ms

// Shelf knows items, lots and jobs.
export class Shelf {
  constructor(queue, ask) {
    this.queue = queue;
    this.ask = ask;
    this.take({ day: "", items: [], lots: [], cards: {} });
  }

  async start(told) {
    this.told = told;
    const kept = await this.queue.get("desk-shelf");
    if (kept) this.take(kept);
    await this.load();
    setInterval(() => this.load(), EVERY);
  }

  take(shelf) {
    this.shelf = shelf;
    this.items = new Map(shelf.items.map((i) => [i.item, i]));
    this.lots = new Map(shelf.lots.map((l) => [l.payload, l]));
    this.kinds = new Map(Object.entries(shelf.cards).map(([kind, payload]) => [payload, kind]));
  }

  async load() {
    try {
      const shelf = await this.ask.get("/api/desk/shelf");
      if (!shelf) return false;
      this.take(shelf);
      await this.queue.set("desk-shelf", shelf);
      this.told?.();
      return true;
    } catch { return false; }
  }

  // today is the yard's day; once the desk has been left alone overnight, this machine's.
  today() {
    const own = new Date(Date.now()).toLocaleDateString("sv");
    return own > this.shelf.day ? own : this.shelf.day;
  }

  expired(lot) { return Boolean(lot.expires) && lot.expires < this.today(); }

  daysLeft(lot) { return Math.round((Date.parse(lot.expires) - Date.parse(this.today())) / 86400000); }

  // lot is a lot by its payload; one that the shelf doesn't hold is asked for.
  async lot(payload, fresh) {
    const kept = this.lots.get(payload);
    if (kept && !fresh) return kept;
    try {
      const answer = await this.ask.get("/api/desk/lot/" + encodeURIComponent(payload));
      if (!answer) return null;
      this.items.set(answer.item.item, answer.item);
      const lot = { ...answer.lot, payload };
      this.lots.set(payload, lot);
      return lot;
    } catch { return kept ?? null; }
  }

  // of lists the lots of an item with something left, the first to use first.
  of(item) {
    const late = (l) => (l.expires || "9999") + " " + l.received;
    return [...this.lots.values()].filter((l) => l.item === item && number(l.remaining) > 0 && l.payload)
      .sort((a, b) => (late(a) < late(b) ? -1 : late(a) > late(b) ? 1 : 0));
  }

  // first is the lot of an item to use next: the first to expire that is still good.
  first(item) {
    const lots = this.of(item);
    return lots.find((l) => !this.expired(l)) ?? lots[0];
  }

  // earlier is a lot of the same item that should go before this one.
  earlier(lot) {
    const first = this.first(lot.item);
    if (!first || first.lot === lot.lot || this.expired(first)) return null;
    return (first.expires || "9999") < (lot.expires || "9999") || this.expired(lot) ? first : null;
  }

  // job is what a job expects; the last that was told serves without the network.
  async job(payload) {
    const name = "desk-job-" + payload;
    try {
      const job = await this.ask.get("/api/desk/job/" + encodeURIComponent(payload));
      if (job) await this.queue.set(name, job);
      return job;
    } catch { return (await this.queue.get(name)) ?? null; }
  }

  find(words) { return this.ask.get("/api/desk/find?words=" + encodeURIComponent(words)); }
}

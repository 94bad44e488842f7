// A count by walking with a scanner: the place, then lot and quantity, lot and
// quantity. What the book says is shown nowhere here.
import { desk as say } from "../station/words.js";
import { sign } from "../station/screen.js";
import { parse, text, toStock } from "./amount.js";
import { amount, part } from "./work.js";

const $ = (id) => document.getElementById(id);
const SIGNS = { kept: "kept", counted: "done", again: "refused", wrong: "refused" };

// Count is the walk. It outlives a reload: the queue keeps it.
export class Count {
  constructor(queue, shelf, outbox, desk, sound) {
    Object.assign(this, { queue, shelf, outbox, desk, sound });
    this.walk = { place: "", rows: [] };
    this.lot = null;
    $("count-place").addEventListener("change", () => this.at($("count-place").value.trim()));
    $("count-here").addEventListener("click", (e) => this.pressed(e));
    $("count-list").addEventListener("click", (e) => this.pressed(e));
    $("count-new").addEventListener("click", () => { this.walk = { place: "", rows: [] }; this.lot = null; this.keep(); });
  }

  async start() {
    this.walk = (await this.queue.get("desk-walk")) ?? this.walk;
    this.show();
  }

  pressed(e) {
    const b = e.target.closest("button");
    if (b?.dataset.lot) this.take(b.dataset.lot);
    if (b?.dataset.place) this.at(b.dataset.place);
  }

  at(place) {
    this.walk.place = place;
    this.lot = null;
    return this.keep();
  }

  async keep() {
    await this.queue.set("desk-walk", this.walk);
    this.show();
  }

  // read takes a scan of the walk; what is no code of ours names a place.
  async read(read) {
    if (read.ok && read.kind === "lot") return this.take(read.text);
    if (read.ok && read.kind === "measure") return this.counted(read.text);
    if (read.ok) return this.tell("refused", say("count_lot"));
    const place = (read.raw ?? read.text).trim();
    if (place.length >= 2 && place.length <= 60) return this.at(place);
    return this.tell("refused", say("count_lot"));
  }

  async take(payload) {
    const lot = await this.shelf.lot(payload);
    if (!lot) return this.tell("refused", say("count_unknown"));
    this.lot = lot;
    const item = this.shelf.items.get(lot.item);
    this.desk.keypad.offer(item.units);
    this.desk.keypad.stockUnit(item.unit);
    this.desk.unit = item.unit;
    this.sound.play("waiting");
    this.show();
    return undefined;
  }

  async counted(quantity) {
    if (!this.lot) return this.tell("refused", say("count_lot"));
    const item = this.shelf.items.get(this.lot.item);
    const measure = parse(quantity.replace(",", "."));
    if (!measure || toStock(item, measure) === null) return this.tell("refused", say("unfit", { name: item.name }));
    const before = this.walk.rows.find((r) => r.payload === this.lot.payload && r.state === "again");
    const at = new Date(Date.now()).toISOString();
    const body = { at, payload: this.lot.payload, quantity: text(measure.q) + measure.unit, place: this.walk.place, who: this.desk.who };
    if (before) body.first = before.quantity;
    this.walk.rows = this.walk.rows.filter((r) => r !== before);
    this.walk.rows.unshift({ at, payload: this.lot.payload, lot: this.lot.lot, name: item.name, quantity: body.quantity, unit: item.unit, state: "kept" });
    await this.outbox.add("/api/desk/counts", body);
    this.lot = null;
    this.sound.play("done");
    await this.keep();
    return undefined;
  }

  // answered follows what the server made of a count.
  answered(note, answer) {
    if (note.path !== "/api/desk/counts") return;
    const row = this.walk.rows.find((r) => r.at === note.body.at && r.payload === note.body.payload);
    if (!row) return;
    row.state = !answer.ok ? "wrong" : answer.data.again ? "again" : "counted";
    row.why = answer.ok ? "" : answer.data.detail;
    if (row.state !== "counted") this.sound.play("refused");
    this.keep();
  }

  tell(tune, words) {
    this.sound.play(tune);
    $("count-say").textContent = words;
    return undefined;
  }

  show() {
    const { place, rows } = this.walk;
    const item = this.lot && this.shelf.items.get(this.lot.item);
    $("count-place").value = place;
    $("count-say").textContent = this.lot ? say("count_how", { name: item.name, lot: this.lot.lot }) : say(place ? "count_lot" : "count_place");
    $("count-list").replaceChildren(...rows.map((r) => this.row(r)));
    const done = new Set(rows.filter((r) => r.state !== "again").map((r) => r.payload));
    const here = place ? [...this.shelf.lots.values()].filter((l) => l.place === place && l.payload && !done.has(l.payload)) : [];
    const places = place ? [] : [...new Set([...this.shelf.lots.values()].map((l) => l.place).filter(Boolean))].sort();
    $("count-here-title").textContent = say(place ? "count_still" : "count_places", { n: here.length });
    $("count-here").replaceChildren(
      ...places.map((p) => this.button({ place: p }, p)),
      ...here.map((l) => this.button({ lot: l.payload }, (this.shelf.items.get(l.item)?.name ?? l.item) + " · " + l.lot)));
  }

  button(data, words) {
    const li = part("li", "");
    const b = part("button", "", words);
    b.type = "button";
    Object.assign(b.dataset, data);
    li.append(b);
    return li;
  }

  row(r) {
    const li = part("li", r.state);
    const badge = part("span", "state");
    badge.append(sign(SIGNS[r.state]), say("count_" + r.state));
    li.append(part("b", "what", r.name), part("span", "about", [r.lot, amount(r.quantity, r.unit), r.why].filter(Boolean).join(" · ")), badge);
    if (r.state === "again") {
      const b = part("button", "", say("count_take"));
      b.type = "button";
      b.dataset.lot = r.payload;
      li.append(b);
    }
    return li;
  }
}

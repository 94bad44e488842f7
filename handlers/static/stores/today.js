// What was done at this desk today, with its state: kept here, sent, refused.
import { answer, clockTime, desk as say, kind } from "../station/words.js";
import { reading } from "../station/check.js";
import { sign } from "../station/screen.js";
import { amount, part } from "./work.js";

const $ = (id) => document.getElementById(id);
const SIGNS = { kept: "kept", sent: "done", refused: "refused", undone: "undo", asked: "refused" };

// Today is the list.
export class Today {
  constructor(queue, ask, desk) {
    Object.assign(this, { queue, ask, desk });
    this.rows = [];
    $("today-list").addEventListener("click", (e) => {
      const b = e.target.closest("button");
      const row = b && this.rows.find((r) => r.id === b.dataset.why);
      if (!row) return;
      desk.hand.unsaid = { at: row.at, lot: row.lot, kind: row.unsaid };
      desk.work.show();
      $("why").scrollIntoView({ block: "nearest" });
    });
  }

  async load() {
    try {
      const told = await this.ask.get("/api/desk/today");
      if (told) this.rows = told.rows;
    } catch { /* the list grows old; what is kept here is still told */ }
    await this.paint();
  }

  // soon loads once, however much has changed at the moment.
  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.load(), 400);
  }

  async paint() {
    const kept = await this.queue.next(200);
    const known = new Set(this.rows.map((r) => r.id));
    const waiting = kept.filter((r) => !known.has(r.id)).reverse();
    $("today-none").hidden = waiting.length + this.rows.length > 0;
    $("today-list").replaceChildren(...waiting.map((r) => this.kept(r)), ...this.rows.map((r) => this.line(r)));
  }

  kept(r) {
    const read = reading(r.payload, r.payload);
    const what = read.kind === "measure" ? amount(read.text, "") : kind(this.desk.kindOf(read)) + " " + r.payload;
    return this.row("kept", r.at, what, "");
  }

  line(r) {
    if (r.outcome === "refused") return this.row("refused", r.at, r.payload, answer(r.code, { name: r.payload }).word);
    const what = [say("did_" + r.kind), amount(r.quantity, r.unit), r.name].join(" ");
    const about = [r.job && "→ " + r.job, r.lot, r.reason].filter(Boolean).join(" · ");
    const li = this.row(r.undone ? "undone" : r.unsaid ? "asked" : "sent", r.at, what, about);
    if (r.unsaid && !r.undone) {
      const b = part("button", "", say("say_why"));
      b.type = "button";
      b.dataset.why = r.id;
      li.append(b);
    }
    return li;
  }

  row(state, at, what, about) {
    const li = part("li", state);
    const badge = part("span", "state");
    badge.append(sign(SIGNS[state]), say("state_" + state));
    li.append(part("time", "", clockTime(Date.parse(at))), part("b", "what", what), part("span", "about", about), badge);
    return li;
  }
}

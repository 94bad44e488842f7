// Goods in at the hatch: one lot, from a supplier's label or by the form.
import { desk as say, unit as unitSign } from "../station/words.js";
import { part } from "./work.js";

const $ = (id) => document.getElementById(id);

// suppliers reports text that bears the marks of a supplier's label.
export function suppliers(text) {
  return /^(\][Ce][01]|\]d2|\]Q3|\]J1|\()/.test(text) || text.includes("\x1d") || /^0[12]\d{14}/.test(text);
}

// Goods is the form.
export class Goods {
  constructor(shelf, ask, desk) {
    Object.assign(this, { shelf, ask, desk, gtin: "", at: "" });
    $("goods-form").addEventListener("submit", (e) => { e.preventDefault(); this.enter(); });
    $("goods-form").addEventListener("input", (e) => this.input(e));
    $("goods-clear").addEventListener("click", () => this.clear());
    $("goods-item").addEventListener("change", () => this.units());
    $("goods-done").addEventListener("click", (e) => {
      const lot = e.target.closest("button")?.dataset.print;
      if (lot) this.print(lot);
    });
  }

  show() {
    const chosen = $("goods-item").value;
    const options = this.shelf.shelf.items.map((i) => new Option(i.name + " (" + i.item + ")", i.item));
    $("goods-item").replaceChildren(new Option("–", ""), ...options);
    $("goods-item").value = chosen;
    $("places").replaceChildren(...this.places().map((p) => new Option(p)));
    this.units();
  }

  places() { return [...new Set([...this.shelf.lots.values()].map((l) => l.place).filter(Boolean))].sort(); }

  units() {
    const item = this.shelf.items.get($("goods-item").value);
    const had = $("goods-unit").value;
    $("goods-unit").replaceChildren(...(item?.units ?? []).map((u) => new Option(unitSign(u), u)));
    if (item?.units.includes(had)) $("goods-unit").value = had;
  }

  // input: a label that was scanned into a field is a label nevertheless.
  input(e) {
    this.at = ""; // another lot than the one that was sent
    if (e.target.matches("input") && suppliers(e.target.value) && e.target.value.length > 15) {
      const label = e.target.value;
      e.target.value = "";
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.label(label), 250);
    }
  }

  // label asks what a supplier's label says and fills the form.
  async label(text) {
    this.say("", "");
    try {
      const answer = await this.ask.post("/api/desk/supplier", { text });
      if (!answer.ok) return this.say("wrong", answer.data.detail ?? say("goods_away"));
      const a = answer.data;
      this.gtin = a.gtin;
      this.at = "";
      $("goods-text").textContent = a.text;
      if (a.item) $("goods-item").value = a.item;
      else if (a.gtin) $("goods-item").value = "";
      this.units();
      if (a.batch) $("goods-batch").value = a.batch;
      if (a.expires) $("goods-expires").value = a.expires;
      const m = /^([\d.]+)(.*)$/.exec(a.quantity);
      if (m) {
        $("goods-quantity").value = m[1];
        if ([...$("goods-unit").options].some((o) => o.value === m[2])) $("goods-unit").value = m[2];
        this.unit = m[2];
      }
      this.say("told", a.item ? say("goods_known") : a.gtin ? say("goods_unknown", { name: a.gtin }) : say("goods_read"));
      (a.item ? $("goods-quantity") : $("goods-item")).focus();
    } catch { this.say("wrong", say("goods_away")); }
    return undefined;
  }

  async enter() {
    this.at ||= new Date(Date.now()).toISOString(); // the same again is the same lot
    const body = {
      at: this.at, item: $("goods-item").value, quantity: $("goods-quantity").value.trim().replace(",", ".") + $("goods-unit").value,
      expires: $("goods-expires").value, batch: $("goods-batch").value, gtin: this.gtin, place: $("goods-place").value, who: this.desk.who,
    };
    try {
      const answer = await this.ask.post("/api/desk/goods", body);
      if (!answer.ok) return this.say("wrong", answer.data.detail ?? say("goods_away"));
      this.done(body, answer.data);
    } catch { this.say("wrong", say("goods_away")); }
    return undefined;
  }

  done(body, lot) {
    const li = part("li", "");
    const b = part("button", "", say("print"));
    b.type = "button";
    b.dataset.print = lot.lot;
    li.append(part("b", "", lot.lot), part("span", "about", [this.shelf.items.get(body.item)?.name, body.quantity, lot.payload].join(" · ")), b);
    $("goods-done").prepend(li);
    this.clear();
    this.say("done", say("goods_done", { lot: lot.lot }));
    document.body.dataset.goods = lot.lot;
    this.shelf.load();
    $("field").focus(); // for the next label
    this.print(lot.lot);
  }

  // print fetches the label and hands it to the browser.
  async print(lot) {
    const pdf = await this.ask.file("/api/desk/label", { lot, size: $("goods-size").value }).catch(() => null);
    if (!pdf) return this.say("wrong", say("print_not"));
    const link = part("a", "");
    link.href = URL.createObjectURL(pdf);
    link.download = "lot-" + lot.replace(/[^\w-]/g, "_") + ".pdf";
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    document.body.dataset.printed = lot;
    return undefined;
  }

  clear() {
    const place = $("goods-place").value;
    $("goods-form").reset();
    $("goods-place").value = place;
    $("goods-text").textContent = "";
    this.gtin = this.at = "";
    this.units();
    this.say("", "");
  }

  say(state, words) {
    $("goods-say").textContent = words;
    $("goods-say").dataset.state = state;
  }
}

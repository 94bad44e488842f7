// The panels of the work in hand: the job with what it expects, the lot with
// what is left of it, the warnings and the reasons.
import { desk as say, kind, quantity } from "../station/words.js";
import { sign } from "../station/screen.js";
import { gross, number, parse, text, toStock } from "./amount.js";

const $ = (id) => document.getElementById(id);
const REASONS = { expired: ["retested", "maker_longer", "not_laminate", "none_left"], scrap: ["cured", "damaged", "contaminated", "too_old"] };

export function part(tag, name, words) {
  const e = document.createElement(tag);
  if (name) e.className = name;
  if (words !== undefined) e.textContent = words;
  return e;
}

export function amount(q, unit) {
  const words = quantity((typeof q === "bigint" ? text(q < 0n ? -q : q) : q.replace("-", "")), unit);
  return (typeof q === "bigint" ? q < 0n : q.startsWith("-")) ? "−" + words : words;
}

// Work shows what the desk has in hand.
export class Work {
  constructor(shelf) {
    this.shelf = shelf;
    $("work").addEventListener("click", (e) => {
      const b = e.target.closest("button");
      if (b?.dataset.lot) this.desk.scan(b.dataset.lot);
      if (b?.dataset.reason) this.desk.because(b.dataset.reason);
    });
    $("because").addEventListener("submit", (e) => {
      e.preventDefault();
      const words = $("because-words").value.trim();
      if (words) this.desk.because(words);
      $("because-words").value = "";
      $("field").focus();
    });
  }

  show() {
    const { job, lot, item, mode } = this.desk.hand;
    for (const b of $("cards").querySelectorAll("[data-card]")) b.setAttribute("aria-pressed", String(b.dataset.card === mode));
    $("mode").textContent = this.desk.title();
    this.showJob(job);
    this.showLot(lot, item);
    this.showReasons();
    this.showHardener();
    this.warn($("field").value);
  }

  showJob(job) {
    $("job").hidden = !job;
    $("no-job").hidden = Boolean(job) || this.desk.hand.mode === "scrap";
    if (!job) return;
    $("job-name").textContent = job.job ?? "…";
    $("job-about").textContent = [job.hulls, job.about].filter(Boolean).join(" · ");
    $("job-away").hidden = Boolean(job.job);
    $("lines").hidden = job.lines.length === 0;
    $("lines-none").hidden = !job.job || job.lines.length > 0;
    $("lines").querySelector("tbody").replaceChildren(...job.lines.map((l) => this.line(l)));
  }

  line(l) {
    const row = document.createElement("tr");
    const head = part("th", "");
    head.scope = "row";
    const lot = this.shelf.first(l.item);
    if (lot && l.planned) {
      const b = part("button", "take", l.name);
      b.type = "button";
      b.dataset.lot = lot.payload;
      b.setAttribute("aria-label", say("take", { name: l.name, lot: lot.lot }));
      b.append(part("span", "from", lot.lot + (lot.place ? " · " + lot.place : "")));
      head.append(b);
    } else head.append(part("span", "what", l.name));
    const cell = (q, label) => { const td = part("td", "n", amount(q, l.unit)); td.dataset.label = label; return td; };
    row.append(head, l.planned ? cell(l.expected, say("expected")) : Object.assign(part("td", "off", say("unplanned")), {}), cell(l.issued, say("issued")));
    const left = cell(l.left, say("left"));
    if (l.planned && number(l.left) < 0n) { left.classList.add("over"); left.prepend(sign("over"), part("span", "unseen", say("over"))); }
    row.append(l.planned ? left : part("td", "n", "–"));
    if (this.desk.hand.item?.item === l.item) row.className = "here";
    return row;
  }

  showLot(lot, item) {
    $("lot").hidden = !lot;
    if (!lot) return;
    $("lot-name").textContent = item.name;
    $("lot-key").textContent = [lot.lot, lot.batch && say("batch", { name: lot.batch })].filter(Boolean).join(" · ");
    $("lot-left").textContent = amount(lot.remaining, item.unit);
    $("lot-place").textContent = lot.place || "–";
    $("lot-expires").textContent = lot.expires || "–";
    $("lot-net").hidden = !item.net;
    const expired = this.shelf.expired(lot);
    const days = lot.expires ? this.shelf.daysLeft(lot) : Infinity;
    this.alarm("expired", expired ? say("is_expired", { date: lot.expires }) : "");
    this.alarm("soon", !expired && days <= 14 ? say("soon", { n: days }) : "");
    const first = this.desk.hand.mode === "" ? this.shelf.earlier(lot) : null;
    this.alarm("fefo", first ? say("first", { lot: first.lot, date: first.expires || "–", place: first.place || "–" }) : "");
    $("fefo-take").hidden = !first;
    if (first) { $("fefo-take").dataset.lot = first.payload; $("fefo-take").textContent = say("take_first", { lot: first.lot }); }
  }

  showReasons() {
    const { unsaid, reason } = this.desk.hand;
    const wants = unsaid?.kind ?? this.desk.reasonKind(this.desk.hand);
    $("why").hidden = !wants;
    if (!wants) return;
    $("why-title").textContent = say(unsaid ? "why_after" : wants === "scrap" ? "why_scrap" : "why_expired");
    $("why-sheet").hidden = wants !== "expired";
    $("reasons").replaceChildren(...REASONS[wants].map((name) => {
      const b = part("button", "", say("because_" + name));
      b.type = "button";
      b.dataset.reason = b.textContent;
      b.setAttribute("aria-pressed", String(reason === b.textContent));
      return b;
    }));
    $("why-own").textContent = reason && !REASONS[wants].some((n) => say("because_" + n) === reason) ? reason : "";
  }

  showHardener() {
    const h = this.desk.hand.hardener;
    $("hardener").hidden = !h;
    if (!h) return;
    const item = this.shelf.items.get(h.item);
    const lot = this.shelf.first(h.item);
    $("hardener-line").textContent = say("hardener", { name: item.name, q: amount(h.q, item.unit) });
    $("hardener-take").hidden = !lot;
    if (lot) { $("hardener-take").dataset.lot = lot.payload; $("hardener-take").textContent = say("take_lot", { lot: lot.lot, place: lot.place || "–" }); }
  }

  // warn says, as a quantity is typed, what it would be too much for.
  warn(typed) {
    const { lot, item, job, mode } = this.desk.hand;
    const measure = lot && parse((typed ?? "").replace(",", "."));
    const q = measure ? toStock(item, measure) : 0n;
    this.alarm("unfit", measure && q === null ? say("unfit", { name: item.name }) : "");
    const out = q && (mode === "" ? gross(item, job, q) : mode === "scrap" ? q : 0n);
    const left = number(lot?.remaining);
    this.alarm("overlot", (out && out > left) || left < 0n ? say("over_lot", { q: amount(left, item.unit) }) : "");
    const line = mode === "" ? job?.lines?.find((l) => l.item === item?.item) : null;
    const may = line?.planned ? number(line.left) : null;
    this.alarm("overjob", out && may !== null && out > may ? say("over_job", { q: amount(out - may, item.unit) }) : "");
    this.alarm("offplan", lot && job?.job && mode === "" && !line?.planned ? say("off_plan", { job: job.job }) : "");
  }

  alarm(name, words) {
    const e = $("alarm-" + name);
    e.hidden = words === "";
    if (e.lastElementChild.textContent !== words) e.lastElementChild.textContent = words;
  }

  find() { return kind("job"); }
}

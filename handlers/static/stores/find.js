// Jobs and lots by words, for hands without a scanner.
import { desk as say } from "../station/words.js";
import { sign } from "../station/screen.js";
import { part } from "./work.js";

const $ = (id) => document.getElementById(id);

// Finder lists what answers to the words and hands over what is pressed.
export class Finder {
  constructor(shelf, take) {
    this.shelf = shelf;
    $("find-words").addEventListener("input", () => { clearTimeout(this.timer); this.timer = setTimeout(() => this.look(), 250); });
    $("find").addEventListener("toggle", () => { if ($("find").open) { $("find-words").focus(); this.look(); } });
    $("find-list").addEventListener("click", (e) => {
      const payload = e.target.closest("button")?.dataset.payload;
      if (!payload) return;
      $("find").open = false;
      $("find-words").value = "";
      take(payload);
      $("field").focus();
    });
  }

  async look() {
    let rows = [];
    try {
      rows = (await this.shelf.find($("find-words").value))?.rows ?? [];
      $("find-none").textContent = rows.length ? "" : say("find_none");
    } catch { $("find-none").textContent = say("goods_away"); }
    $("find-list").replaceChildren(...rows.map((r) => {
      const li = part("li", "");
      const b = part("button", "");
      b.type = "button";
      b.dataset.payload = r.payload;
      b.append(sign(r.kind), part("b", "", r.key), part("span", "about", r.about));
      li.append(b);
      return li;
    }));
  }
}

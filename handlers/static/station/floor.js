// Who is on what, the longest first, for somebody who walks past.
import { say } from "./words.js";
import { sign } from "./screen.js";

const EVERY = 20000; // ms
const $ = (id) => document.getElementById(id);

// Floor keeps the list as the server last told it.
export class Floor {
  constructor(key, network) {
    this.key = key;
    this.network = network; // told whether the server answers, also while nothing is scanned
    this.rows = [];
    this.ahead = 0; // ms of this clock before the server's
  }

  start() {
    this.load();
    setInterval(() => this.load(), EVERY);
    addEventListener("resize", () => this.paint());
  }

  async load() {
    try {
      const answer = await fetch("/api/station/floor", {
        headers: { Authorization: "Bearer " + this.key }, cache: "no-store", signal: AbortSignal.timeout(8000),
      });
      if (!answer.ok) return this.network(answer.status === 401 ? "revoked" : "offline");
      const told = await answer.json();
      this.rows = told.rows;
      this.ahead = Date.now() - Date.parse(told.at);
      this.network("connected");
    } catch { this.network("offline"); } // the list grows old; its times still run
    this.paint();
  }

  paint() {
    const now = Date.now() - this.ahead;
    const list = $("people");
    list.replaceChildren(...this.rows.map((r) => line(r, now)));
    $("nobody").hidden = this.rows.length > 0;
    const more = $("more");
    more.hidden = true;
    let shown = list.children.length;
    while (shown > 1 && list.clientHeight > 40 && list.scrollHeight > list.clientHeight + 1) {
      list.children[--shown].remove();
      more.hidden = false; // it takes room of its own
    }
    more.textContent = say("more", { n: this.rows.length - shown });
  }
}

function line(r, now) {
  const li = document.createElement("li");
  const part = (name, text) => { const e = document.createElement("span"); e.className = name; e.textContent = text; return e; };
  const second = part("second", "");
  second.append(part("doing", r.kind === "job" ? r.key : r.doing), part("stage", r.kind === "job" ? r.doing : ""));
  li.append(sign(r.kind === "job" ? "job" : "indirect"), part("name", r.name), part("for", lasted(now - Date.parse(r.since))), second);
  return li;
}

// lasted is hours and minutes, such as 1:05.
function lasted(ms) {
  const minutes = Math.max(0, Math.floor(ms / 60000));
  return Math.floor(minutes / 60) + ":" + String(minutes % 60).padStart(2, "0");
}

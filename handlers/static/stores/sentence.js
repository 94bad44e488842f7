// What the server's context at this station is, reckoned from the reads sent,
// and what has to be sent again when it has run out. A desk's work in hand
// outlives the thirty seconds of a sentence: what is on the screen holds.

const EMPTY = { worker: "", job: "", mode: "", lot: "" };

// Sentence follows a station's reads. gap is in milliseconds.
export class Sentence {
  constructor(gap) {
    this.gap = gap;
    this.at = -Infinity;
    this.held = { ...EMPTY };
    this.want = { ...EMPTY };
  }

  // now is what the server holds at an instant.
  now(at) { return at - this.at >= this.gap ? { ...EMPTY } : this.held; }

  // missing lists the payloads to send before a read of a kind, so that it
  // means what the screen says. cards are payloads of wall cards by mode.
  missing(kind, at, cards) {
    const held = { ...this.now(at) };
    const want = this.want;
    const list = [];
    if (!["job", "lot", "measure", "return", "waste"].includes(kind)) return list;
    if (want.worker && held.worker !== want.worker) {
      list.push(want.worker);
      Object.assign(held, EMPTY, { worker: want.worker });
    }
    if (kind === "job") return list;
    if (want.job && (held.job !== want.job || (held.mode !== want.mode && want.mode === "" && kind !== "return" && kind !== "waste"))) {
      list.push(want.job);
      Object.assign(held, { job: want.job, mode: "", lot: "" });
    }
    if (kind === "return" || kind === "waste") return list;
    if (want.mode && held.mode !== want.mode && cards[want.mode]) {
      list.push(cards[want.mode]);
      Object.assign(held, { mode: want.mode, lot: "" });
    }
    if (kind === "measure" && want.lot && held.lot !== want.lot) list.push(want.lot);
    return list;
  }

  // sent follows one read: both what the server holds and what the screen wants.
  sent(kind, payload, at) {
    this.held = { ...this.now(at) };
    this.at = at;
    for (const c of [this.held, this.want]) follow(c, kind, payload);
  }

  // silently follows a read that only says again what the screen shows.
  again(kind, payload, at) {
    this.held = { ...this.now(at) };
    this.at = at;
    follow(this.held, kind, payload);
  }

  forget() { Object.assign(this.want, EMPTY); }
}

function follow(c, kind, payload) {
  switch (kind) {
    case "worker": case "crew": Object.assign(c, EMPTY, { worker: payload }); break;
    case "job": Object.assign(c, { job: payload, mode: "", lot: "" }); break;
    case "lot": if (c.job || c.mode === "scrap") c.lot = payload; break;
    case "return": case "waste": if (c.job) Object.assign(c, { mode: kind, lot: "" }); break;
    case "scrap": Object.assign(c, { job: "", mode: "scrap", lot: "" }); break;
    case "cancel": Object.assign(c, EMPTY); break;
  }
}

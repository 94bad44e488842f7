// The sender brings the queue to the server, in order. Of several tabs only the
// one that holds the lock sends.

const BATCH = 200;
const LOCK = "hulltally-station-sender";
const SLOWEST = 15000; // ms between tries while the network is away
const PATIENCE = 10000; // ms for an answer

// Sender calls hooks: answered(answers), state(state), skew(ms), tabs(sends, several).
export class Sender {
  constructor(queue, key, hooks) {
    this.queue = queue;
    this.key = key;
    this.hooks = hooks;
    this.wait = 0;
    this.holds = false;
    this.stopped = false;
    this.channel = new BroadcastChannel("hulltally-station");
    this.channel.onmessage = (e) => {
      if (e.data.news) this.poke();
      if (e.data.answers) this.hooks.answered(e.data.answers);
      if (e.data.state) this.hooks.state(e.data.state);
    };
  }

  start() {
    addEventListener("online", () => { this.wait = 0; this.poke(); });
    if (!navigator.locks) { this.holds = true; this.run(); return; }
    navigator.locks.request(LOCK, () => {
      this.holds = true;
      this.run();
      return new Promise(() => {}); // until the tab goes
    });
    this.watchTabs();
    setInterval(() => this.watchTabs(), 2000);
  }

  async watchTabs() {
    const all = await navigator.locks.query();
    const several = all.pending.some((l) => l.name === LOCK);
    this.hooks.tabs(this.holds, several);
  }

  // news says that a read was queued, here or in another tab.
  news() {
    if (this.holds) this.poke();
    else this.channel.postMessage({ news: true });
  }

  poke() { this.wake?.(); }

  async run() {
    while (!this.stopped) {
      let reads = [];
      let delay = SLOWEST;
      try {
        reads = await this.queue.next(BATCH);
        if (reads.length > 0) {
          await this.send(reads);
          this.wait = 0;
          continue;
        }
        this.wait = 0;
      } catch (fault) {
        this.tell(fault.state ?? "offline");
        if (fault.state === "revoked") this.stopped = true;
        this.wait = Math.min(SLOWEST, Math.max(500, this.wait * 2));
        delay = Math.max(this.wait, fault.after ?? 0);
      }
      await new Promise((done) => { this.wake = done; setTimeout(done, delay); });
      this.wake = null;
    }
  }

  async send(reads) {
    const body = JSON.stringify(reads.map(({ id, n, at, payload }) => ({ id, n, at, payload })));
    const begun = Date.now();
    const answer = await fetch("/api/reads", {
      method: "POST",
      body,
      cache: "no-store",
      signal: AbortSignal.timeout(PATIENCE),
      headers: {
        "Content-Type": "application/json",
        Authorization: "Bearer " + this.key,
        "Hulltally-Sent": new Date(begun).toISOString(),
      },
    });
    this.measure(answer, begun);
    if (!answer.ok) return this.refused(answer, reads);
    const answers = await answer.json();
    const seen = answers.flatMap((a, i) => (a.heard.kind === "" || a.heard.kind === "measure" ? []
      : [{ payload: reads[i].payload, ...a.heard }]));
    await this.queue.sent(reads, seen);
    this.tell("connected");
    this.hooks.answered(answers);
    this.channel.postMessage({ answers });
  }

  // refused: a read that is not well formed is set aside, so that the others get through.
  async refused(answer, reads) {
    const problem = await answer.json().catch(() => ({}));
    if (answer.status === 401 || answer.status === 403) throw { state: "revoked" };
    if (answer.status === 422 && reads[problem.index] !== undefined) {
      await this.queue.setAside(reads[problem.index], problem.detail);
      this.tell("connected");
      return;
    }
    throw { state: "offline", after: 1000 * Number(answer.headers.get("Retry-After") ?? 0) };
  }

  // measure compares the clocks: the answer's time belongs to the middle of the way.
  measure(answer, begun) {
    const theirs = Date.parse(answer.headers.get("Hulltally-Time") ?? "");
    const took = Date.now() - begun;
    if (Number.isFinite(theirs) && took < 2000) this.hooks.skew(Math.round(begun + took / 2 - theirs));
  }

  tell(state) {
    this.hooks.state(state);
    this.channel.postMessage({ state });
  }
}

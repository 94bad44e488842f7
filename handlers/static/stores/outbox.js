// Reasons, counts and places on their way to the server: kept in the browser
// until they were answered, and sent in order by one tab.

const LOCK = "hulltally-desk-outbox";
const SLOWEST = 15000; // ms between tries while the network is away

// Outbox calls answered(note, answer) for each that the server took or refused.
export class Outbox {
  constructor(queue, ask, answered) {
    this.queue = queue;
    this.ask = ask;
    this.answered = answered;
    this.wait = 0;
  }

  start() {
    addEventListener("online", () => { this.wait = 0; this.wake?.(); });
    if (!navigator.locks) { this.run(); return; }
    navigator.locks.request(LOCK, () => { this.run(); return new Promise(() => {}); });
  }

  // add keeps a fact; the promise resolves once it is on the disk.
  async add(path, body) {
    await this.queue.addNote({ path, body });
    this.wake?.();
  }

  async run() {
    for (;;) {
      try {
        const [note] = await this.queue.notes(1);
        if (note) {
          const answer = await this.ask.post(note.path, note.body);
          if (answer.status === 401 || answer.status === 403) throw new Error("no key");
          await this.queue.dropNote(note.n);
          this.wait = 0;
          this.answered(note, answer);
          continue;
        }
        this.wait = SLOWEST;
      } catch { this.wait = Math.min(SLOWEST, Math.max(500, this.wait * 2)); }
      await new Promise((done) => { this.wake = done; setTimeout(done, this.wait); });
    }
  }
}

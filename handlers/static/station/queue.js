// The durable queue of a station: reads stay in the browser until the server
// has them. A promise of add resolves once the read would survive a power cut.

const VERSION = 2;

function open() {
  return new Promise((resolve, reject) => {
    const ask = indexedDB.open("hulltally-station", VERSION);
    ask.onupgradeneeded = () => {
      const make = (name, options) => { if (!ask.result.objectStoreNames.contains(name)) ask.result.createObjectStore(name, options); };
      make("reads", { keyPath: "n", autoIncrement: true }); // n runs on for good
      make("aside", { keyPath: "n" }); // what the server would not take
      make("seen", { keyPath: "payload" }); // names of codes, for without the network
      make("kept"); // the key and the settings
      make("notes", { keyPath: "n", autoIncrement: true }); // what a desk records besides reads
    };
    ask.onsuccess = () => resolve(ask.result);
    ask.onerror = () => reject(ask.error);
  });
}

// Queue is the station's database.
export class Queue {
  static async open() {
    const q = new Queue();
    q.db = await open();
    q.db.onversionchange = () => q.db.close();
    return q;
  }

  // run does one thing in one transaction and waits until it is on the disk.
  run(stores, mode, work) {
    return new Promise((resolve, reject) => {
      const tx = this.db.transaction(stores, mode, { durability: "strict" });
      const ask = work(tx);
      tx.oncomplete = () => resolve(ask?.result);
      tx.onabort = tx.onerror = () => reject(tx.error ?? new Error("the browser kept nothing"));
    });
  }

  // add keeps a read and gives it its n.
  async add(read) {
    const n = await this.run(["reads"], "readwrite", (tx) => tx.objectStore("reads").add(read));
    return { ...read, n };
  }

  // next is the oldest reads, in order.
  next(most) { return this.run(["reads"], "readonly", (tx) => tx.objectStore("reads").getAll(null, most)); }

  count(store = "reads") { return this.run([store], "readonly", (tx) => tx.objectStore(store).count()); }

  // sent forgets reads that the server has, and remembers what they were.
  sent(reads, seen) {
    return this.run(["reads", "seen"], "readwrite", (tx) => {
      for (const r of reads) tx.objectStore("reads").delete(r.n);
      for (const s of seen) tx.objectStore("seen").put(s);
    });
  }

  // setAside keeps a read that the server would not take out of the way of the rest.
  setAside(read, why) {
    return this.run(["reads", "aside"], "readwrite", (tx) => {
      tx.objectStore("reads").delete(read.n);
      tx.objectStore("aside").put({ ...read, why });
    });
  }

  // seen is what is known of a payload from before.
  seen(payload) { return this.run(["seen"], "readonly", (tx) => tx.objectStore("seen").get(payload)); }

  // addNote keeps something else to send; notes are the oldest, in order.
  addNote(note) { return this.run(["notes"], "readwrite", (tx) => tx.objectStore("notes").add(note)); }
  notes(most) { return this.run(["notes"], "readonly", (tx) => tx.objectStore("notes").getAll(null, most)); }
  dropNote(n) { return this.run(["notes"], "readwrite", (tx) => tx.objectStore("notes").delete(n)); }

  get(name) { return this.run(["kept"], "readonly", (tx) => tx.objectStore("kept").get(name)); }
  set(name, value) { return this.run(["kept"], "readwrite", (tx) => tx.objectStore("kept").put(value, name)); }
}

// newID makes a UUID, also where the page is not secure and the browser's own is missing.
export function newID() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const b = crypto.getRandomValues(new Uint8Array(16));
  b[6] = (b[6] & 0x0f) | 0x40;
  b[8] = (b[8] & 0x3f) | 0x80;
  const hex = Array.from(b, (v) => v.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

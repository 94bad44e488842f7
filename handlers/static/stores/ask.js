// Asking the server: with the station's key, or as whoever is signed in.

const PATIENCE = 8000; // ms for an answer

// Ask is how the desk asks. Without a key it only looks.
export class Ask {
  constructor(key) { this.key = key; }

  headers(more) { return this.key ? { ...more, Authorization: "Bearer " + this.key } : { ...more }; }

  // get gives the answer, or null where the server says no. It throws while the
  // network is away.
  async get(path) {
    const answer = await fetch(path, { headers: this.headers({ Accept: "application/json" }), cache: "no-store", signal: AbortSignal.timeout(PATIENCE) });
    if (answer.status >= 500 || answer.status === 429) throw new Error("busy");
    return answer.ok ? answer.json() : null;
  }

  // post sends a fact: {ok, status, data}; data is what was wrong where it isn't ok.
  async post(path, body) {
    const answer = await fetch(path, {
      method: "POST", body: JSON.stringify(body), cache: "no-store", signal: AbortSignal.timeout(PATIENCE),
      headers: this.headers({ "Content-Type": "application/json", Accept: "application/json" }),
    });
    if (answer.status >= 500 || answer.status === 429) throw new Error("busy");
    return { ok: answer.ok, status: answer.status, data: await answer.json().catch(() => ({})) };
  }

  // file fetches a file made of a body.
  async file(path, body) {
    const answer = await fetch(path, {
      method: "POST", body: JSON.stringify(body), cache: "no-store", signal: AbortSignal.timeout(4 * PATIENCE),
      headers: this.headers({ "Content-Type": "application/json" }),
    });
    return answer.ok ? answer.blob() : null;
  }
}

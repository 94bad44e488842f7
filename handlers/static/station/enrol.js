// Enrolment: a short-lived code is turned into this station's key, once.
import { say } from "./words.js";

const $ = (id) => document.getElementById(id);

// askKey waits until somebody gave a good code, and keeps the key.
export function askKey(queue) {
  document.body.dataset.view = "enrol";
  const form = $("enrol");
  form.hidden = false;
  $("code").focus();
  return new Promise((done) => {
    form.addEventListener("submit", async (e) => {
      e.preventDefault();
      $("enrol-wrong").hidden = true;
      try {
        const answer = await fetch("/api/enrol", {
          method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ code: $("code").value }),
        });
        if (!answer.ok) return wrong(answer.status < 500 && answer.status !== 429 ? "enrol_bad" : "enrol_net");
        const { station, key } = await answer.json();
        await queue.set("key", key);
        form.hidden = true;
        done({ key, station: { station, name: station, kind: "clock", scan_gap: 30 } });
      } catch { wrong("enrol_net"); }
    });
  });
}

function wrong(text) {
  $("enrol-wrong").textContent = say(text);
  $("enrol-wrong").hidden = false;
  $("code").select();
}

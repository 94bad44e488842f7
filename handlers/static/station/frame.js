// What every page of a station has around its work: the settings, the lamps,
// the clock, the focus that always comes back to the field.
import { Queue } from "./queue.js";
import { lamp, notice } from "./screen.js";
import { Sound } from "./sound.js";
import { clockTime, knowAll, loadWords, say } from "./words.js";

const $ = (id) => document.getElementById(id);
const CLOCK_ERROR = 60000; // ms; the server flags reads beyond it

let relabel = () => {};
export const sound = new Sound();

// begin opens the station's database and starts what works without a key.
export async function begin(scope) {
  const queue = await Queue.open();
  navigator.storage?.persist?.();
  await settings(queue);
  if (window.isSecureContext) worker(scope);
  else notice("insecure", say("insecure"));
  return queue;
}

// whenRelabelled runs what puts the words up again, now and in another language.
export function whenRelabelled(put) { relabel = put; put(); }

// clockAlarm says that the station's clock is wrong.
export function clockAlarm(ms) {
  notice("clock", Math.abs(ms) > CLOCK_ERROR ? say("clock", { n: Math.round(Math.abs(ms) / 1000) }) : "");
}

// tabsAlarm says that the station is open twice.
export function tabsAlarm(sends, several) {
  notice("tabs", several || !sends ? say(sends ? "tab_sends" : "tab_waits") : "");
}

// tickTime keeps the time of day on the rail, and does what has to be done with it.
export function tickTime(more) {
  const tick = () => { $("time").textContent = clockTime(Date.now()); };
  tick();
  setInterval(() => { tick(); more?.(); }, 5000);
}

// about asks who this station is; without the network it is as it was.
export async function about(key) {
  try {
    const answer = await fetch("/api/station", { headers: { Authorization: "Bearer " + key }, cache: "no-store", signal: AbortSignal.timeout(4000) });
    return answer.ok ? await answer.json() : null;
  } catch { return null; }
}

async function settings(queue) {
  const wanted = (await queue.get("language")) ?? navigator.language.slice(0, 2);
  const choice = $("language");
  choice.value = wanted;
  if (choice.selectedIndex < 0) choice.value = "en";
  await loadWords(choice.value).catch(() => loadWords("en"));
  knowAll([...choice.options].map((o) => o.value)); // not waited for: the station's own is there
  choice.addEventListener("change", async () => {
    await loadWords(choice.value);
    await queue.set("language", choice.value);
    soundLamp();
    relabel();
    $("field").focus();
  });
  sound.muted = (await queue.get("muted")) ?? false;
  soundLamp();
  $("sound").addEventListener("click", async () => {
    sound.muted = !sound.muted;
    soundLamp();
    sound.play("done");
    await queue.set("muted", sound.muted);
  });
}

function soundLamp() {
  lamp("sound", true, sound.muted ? "mute" : "sound", say(sound.muted ? "sound_off" : "sound_on"));
  $("sound").setAttribute("aria-pressed", String(!sound.muted));
}

export async function tellState(state, desk, queue) {
  desk.state = state;
  document.body.dataset.net = state;
  lamp("net", true, state === "connected" ? "net" : "cut", say(state === "connected" ? "connected" : "offline"));
  await keptLamp(queue);
  notice("revoked", state === "revoked" ? say("revoked", { n: await queue.count() }) : "");
  if (state === "revoked") {
    await queue.set("key", "");
    setTimeout(() => location.reload(), 8000); // to ask for a new one; the reads stay
  }
}

export async function keptLamp(queue) {
  const [n, aside] = await Promise.all([queue.count(), queue.count("aside")]);
  const away = document.body.dataset.net !== "connected";
  lamp("kept", n > 1 || (n > 0 && away), "kept", say("kept", { n }));
  notice("aside", aside > 0 ? say("aside", { n: aside }) : "");
}

// keepFocus brings focus back to the one field once hands are off the rest.
export function keepFocus(wedge) {
  const back = () => { if (!document.querySelector("select:focus, [data-typing] :focus")) $("field").focus({ preventScroll: true }); };
  let idle = 0;
  addEventListener("pointerup", (e) => { if (!e.target.closest("select,button,summary,[data-typing]")) back(); });
  addEventListener("focus", back);
  addEventListener("keydown", () => { clearTimeout(idle); idle = setTimeout(back, 10000); });
  setInterval(() => { if (document.activeElement === document.body && wedge.keys.length === 0) back(); }, 1000);
  back();
}

function worker(scope) {
  const workers = navigator.serviceWorker;
  const had = workers.controller !== null;
  workers.register("/station-worker.js", { scope }).then((r) => setInterval(() => r.update().catch(() => {}), 3600000));
  workers.addEventListener("controllerchange", () => { // a new version: take it in a quiet moment
    if (had) setInterval(() => { if (document.body.dataset.calling === "no") location.reload(); }, 5000);
  });
}

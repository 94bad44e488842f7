// The page of a station: it puts the parts together.
import { Wedge } from "./keys.js";
import { Queue } from "./queue.js";
import { Sender } from "./sender.js";
import { Screen, lamp, notice } from "./screen.js";
import { Sound } from "./sound.js";
import { Floor } from "./floor.js";
import { Keypad } from "./keypad.js";
import { Desk } from "./desk.js";
import { askKey } from "./enrol.js";
import { clockTime, loadWords, say } from "./words.js";

const $ = (id) => document.getElementById(id);
const CLOCK_ERROR = 60000; // ms; the server flags reads beyond it

async function start() {
  const queue = await Queue.open();
  navigator.storage?.persist?.();
  await settings(queue);
  if (window.isSecureContext) worker();
  else notice("insecure", say("insecure"));
  let station = await queue.get("station");
  let key = await queue.get("key");
  if (!key) ({ key, station } = await askKey(queue));
  station = (await about(key)) ?? station;
  await queue.set("station", station);
  open(queue, key, station);
}

// about asks who this station is; without the network it is as it was.
async function about(key) {
  try {
    const answer = await fetch("/api/station", { headers: { Authorization: "Bearer " + key }, cache: "no-store", signal: AbortSignal.timeout(4000) });
    return answer.ok ? await answer.json() : null;
  } catch { return null; }
}

function open(queue, key, station) {
  const stores = station.kind === "stores";
  document.body.dataset.view = stores ? "stores" : "clock";
  $("place").textContent = station.name;
  document.title = station.name;
  $("pad").hidden = !stores;
  $("floor").hidden = stores;

  const screen = new Screen();
  screen.ready = stores ? "ready_stores" : "ready_clock";
  const floor = new Floor(key, (state) => { if (state !== desk.state) tellState(state, desk, queue); });
  const desk = new Desk(queue, screen, sound, station);
  const sender = new Sender(queue, key, {
    answered: (answers) => { desk.answered(answers); if (!stores) floor.load(); keptLamp(queue); },
    state: (state) => tellState(state, desk, queue),
    skew: (ms) => notice("clock", Math.abs(ms) > CLOCK_ERROR ? say("clock", { n: Math.round(Math.abs(ms) / 1000) }) : ""),
    tabs: (sends, several) => notice("tabs", several || !sends ? say(sends ? "tab_sends" : "tab_waits") : ""),
  });
  const wedge = new Wedge($("field"), (read) => desk.read(read).then(() => { keptLamp(queue); sender.news(); }), (text) => desk.typing(text));
  desk.keypad = new Keypad(wedge);
  wedge.listen(document);
  keepFocus(wedge);
  screen.idle();
  sender.start();
  floor.start();
  relabel = () => { if (!screen.call) screen.idle(); floor.paint(); tellState(desk.state, desk, queue); };
  relabel();
  setInterval(() => { floor.paint(); $("time").textContent = clockTime(Date.now()); }, 5000);
  $("time").textContent = clockTime(Date.now());
  document.body.dataset.ready = "yes";
}

let relabel = () => {};
const sound = new Sound();

async function settings(queue) {
  const wanted = (await queue.get("language")) ?? navigator.language.slice(0, 2);
  const choice = $("language");
  choice.value = wanted;
  if (choice.selectedIndex < 0) choice.value = "en";
  await loadWords(choice.value).catch(() => loadWords("en"));
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

async function tellState(state, desk, queue) {
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

async function keptLamp(queue) {
  const [n, aside] = await Promise.all([queue.count(), queue.count("aside")]);
  const away = document.body.dataset.net !== "connected";
  lamp("kept", n > 1 || (n > 0 && away), "kept", say("kept", { n }));
  notice("aside", aside > 0 ? say("aside", { n: aside }) : "");
}

// keepFocus brings focus back to the one field once hands are off the rest.
function keepFocus(wedge) {
  const back = () => { if (!document.querySelector("select:focus")) $("field").focus({ preventScroll: true }); };
  let idle = 0;
  addEventListener("pointerup", (e) => { if (!e.target.closest("select,button")) back(); });
  addEventListener("focus", back);
  addEventListener("keydown", () => { clearTimeout(idle); idle = setTimeout(back, 10000); });
  setInterval(() => { if (document.activeElement === document.body && wedge.keys.length === 0) back(); }, 1000);
  back();
}

function worker() {
  const workers = navigator.serviceWorker;
  const had = workers.controller !== null;
  workers.register("/station-worker.js", { scope: "/station" }).then((r) => setInterval(() => r.update().catch(() => {}), 3600000));
  workers.addEventListener("controllerchange", () => { // a new version: take it in a quiet moment
    if (had) setInterval(() => { if (document.body.dataset.calling === "no") location.reload(); }, 5000);
  });
}

start();

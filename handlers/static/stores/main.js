// The page of the stores' desk: it puts the parts together.
import { Wedge } from "../station/keys.js";
import { Sender } from "../station/sender.js";
import { Screen, notice } from "../station/screen.js";
import { Keypad } from "../station/keypad.js";
import { askKey } from "../station/enrol.js";
import { about, begin, clockAlarm, keepFocus, keptLamp, sound, tabsAlarm, tellState, tickTime, whenRelabelled } from "../station/frame.js";
import { desk as say } from "../station/words.js";
import { Ask } from "./ask.js";
import { Count } from "./count.js";
import { StoresDesk } from "./desk.js";
import { Finder } from "./find.js";
import { Goods, suppliers } from "./goods.js";
import { Outbox } from "./outbox.js";
import { Shelf } from "./shelf.js";
import { Today } from "./today.js";
import { Work } from "./work.js";

const $ = (id) => document.getElementById(id);

async function start() {
  const queue = await begin("/stores");
  let station = await queue.get("station");
  let key = await queue.get("key");
  if (!key) ({ key, station } = await enter(queue));
  if (key) {
    station = (await about(key)) ?? station;
    await queue.set("station", station);
  }
  if (station.kind === "clock") { location.replace("/station"); return; }
  await open(queue, key, station);
}

// enter waits for a code that enrols the station; who is signed in and may see
// the stores can look without one.
async function enter(queue) {
  const asked = askKey(queue);
  const may = await new Ask("").get("/api/desk/shelf").catch(() => null);
  if (!may) return asked;
  $("look").hidden = false;
  return Promise.race([asked, new Promise((done) => {
    $("look").addEventListener("click", () => {
      $("enrol").hidden = true;
      done({ key: "", station: { station: "", name: say("looking"), kind: "stores", scan_gap: 30 } });
    });
  })]);
}

async function open(queue, key, station) {
  document.body.dataset.view = "desk";
  $("place").textContent = station.name;
  document.title = station.name;
  const ask = new Ask(key);
  const shelf = new Shelf(queue, ask);
  const screen = new Screen();
  screen.ready = "ready_stores";
  const outbox = new Outbox(queue, ask, (note, answer) => { count.answered(note, answer); noted(note, answer); });
  const work = new Work(shelf);
  const desk = new StoresDesk(queue, screen, sound, station, { shelf, outbox, work, changed: () => today.soon() });
  const today = new Today(queue, ask, desk);
  const goods = new Goods(shelf, ask, desk);
  const count = new Count(queue, shelf, outbox, desk, sound);
  const sender = new Sender(queue, key, {
    answered: (answers) => { desk.answered(answers); keptLamp(queue); today.soon(); },
    state: (state) => tellState(state, desk, queue),
    skew: clockAlarm, tabs: tabsAlarm,
  });
  const take = (read) => {
    const view = document.body.dataset.tab;
    if (view === "goods" && !(read.ok && read.kind !== "measure")) return goods.label(read.raw);
    if (view === "count") return count.read(read);
    return desk.read(read).then(() => { keptLamp(queue); sender.news(); });
  };
  const wedge = new Wedge($("field"), take, (text) => desk.typing(text));
  wedge.whole = (text) => document.body.dataset.tab === "goods" && suppliers(text);
  desk.keypad = new Keypad(wedge);
  desk.poke = () => sender.news();
  new Finder(shelf, (payload) => (document.body.dataset.tab === "count" ? count.take(payload) : desk.scan(payload)).then?.(() => sender.news()));
  $("cards").addEventListener("click", (e) => {
    const card = e.target.closest("button")?.dataset.card;
    if (card) desk.card(card)?.then(() => { keptLamp(queue); sender.news(); });
    $("field").focus({ preventScroll: true });
  });
  $("work").addEventListener("click", () => { sender.news(); $("field").focus({ preventScroll: true }); });
  tabs({ goods, count });
  wedge.listen(document);
  keepFocus(wedge);
  screen.idle();
  await shelf.start(() => { goods.show(); count.show(); work.show(); });
  await count.start();
  goods.show();
  desk.looks = !key;
  document.body.dataset.looks = key ? "no" : "yes";
  if (key) { outbox.start(); sender.start(); }
  work.show();
  today.load();
  setInterval(() => watch(ask, desk, queue), 20000);
  whenRelabelled(() => { if (!screen.call) screen.idle(); work.show(); today.paint(); count.show(); goods.units(); tellState(desk.state, desk, queue); });
  tickTime();
  document.body.dataset.ready = "yes";
}

// watch finds out whether the server answers, also while nothing is scanned.
async function watch(ask, desk, queue) {
  const state = await ask.get("/api/station").then((a) => (a ? "connected" : desk.state), () => "offline");
  if (state !== desk.state) tellState(state, desk, queue);
}

// noted says what the server would not take of a reason or a place.
function noted(note, answer) {
  document.body.dataset.noted = note.body.at;
  if (!answer.ok && note.path !== "/api/desk/counts") notice("note", answer.data.detail ?? say("note_refused"));
}

function tabs(views) {
  const show = (name) => {
    document.body.dataset.tab = name;
    for (const b of $("tabs").querySelectorAll("button")) b.setAttribute("aria-pressed", String(b.dataset.tab === name));
    for (const id of ["issue", "goods", "count"]) $("view-" + id).hidden = id !== name;
    views[name]?.show();
    $("field").focus({ preventScroll: true });
  };
  $("tabs").addEventListener("click", (e) => { const b = e.target.closest("button"); if (b) show(b.dataset.tab); });
  show("issue");
}

start();

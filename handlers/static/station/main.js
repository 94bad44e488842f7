// The page of a station: it puts the parts together.
import { Wedge } from "./keys.js";
import { Sender } from "./sender.js";
import { Screen } from "./screen.js";
import { Floor } from "./floor.js";
import { Keypad } from "./keypad.js";
import { pictures } from "./notes.js";
import { Desk } from "./desk.js";
import { askKey } from "./enrol.js";
import { about, begin, clockAlarm, keepFocus, keptLamp, sound, tabsAlarm, tellState, tickTime, whenRelabelled } from "./frame.js";

const $ = (id) => document.getElementById(id);

async function start() {
  const queue = await begin("/station");
  let station = await queue.get("station");
  let key = await queue.get("key");
  if (!key) ({ key, station } = await askKey(queue));
  station = (await about(key)) ?? station;
  await queue.set("station", station);
  open(queue, key, station);
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
    skew: clockAlarm, tabs: tabsAlarm,
  });
  const wedge = new Wedge($("field"), (read) => desk.read(read).then(() => { keptLamp(queue); sender.news(); }), (text) => desk.typing(text));
  desk.keypad = new Keypad(wedge);
  wedge.listen(document);
  pictures(station, (read) => wedge.onRead(read));
  keepFocus(wedge);
  screen.idle();
  sender.start();
  floor.start();
  whenRelabelled(() => { if (!screen.call) screen.idle(); floor.paint(); tellState(desk.state, desk, queue); });
  tickTime(() => floor.paint());
  document.body.dataset.ready = "yes";
}

start();

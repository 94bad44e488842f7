// What a check and a problem ask of the floor: a number, or a picture.
import { clockTime, say } from "./words.js";
import { reading } from "./check.js";

const $ = (id) => document.getElementById(id);

// asks shows the keypad while a value is wanted, also where people clock, and
// the pictures while a problem waits for one.
export function asks(station, needs) {
  if ($("pictures")) $("pictures").hidden = !needs.includes("problem") || !station.cards;
  if (station.kind === "stores" || $("pad") === null) return;
  const value = needs.includes("measure");
  document.body.dataset.view = value ? "stores" : "clock";
  document.body.dataset.check = value ? "yes" : "no";
  $("pad").hidden = !value;
  $("floor").hidden = value;
}

// pictures makes a press on a picture what a scan of its card would be.
export function pictures(station, read) {
  $("pictures").addEventListener("click", (e) => {
    const key = e.target.closest("button")?.dataset.problem;
    const card = station.cards?.find((c) => c.kind === "problem" && c.key === key);
    if (card) read(reading(card.payload, card.payload));
  });
}

// holdLine says what a job should have waited for, and how long yet.
export function holdLine(hold) {
  if (!hold.begun) return say("hold_open", { name: hold.job });
  const minutes = Math.ceil(hold.left / 60);
  return say("hold_left", {
    name: hold.job, left: Math.floor(minutes / 60) + ":" + String(minutes % 60).padStart(2, "0"), until: until(Date.parse(hold.until)),
  });
}

// until is a time of day, with the day of the week where it is not today.
function until(at) {
  const day = new Date(at);
  const today = day.toDateString() === new Date().toDateString();
  return (today ? "" : new Intl.DateTimeFormat(document.documentElement.lang, { weekday: "long" }).format(day) + " ") + clockTime(at);
}

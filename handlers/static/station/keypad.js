// The keypad of a stores station: quantities by touch, with gloves on.

const $ = (id) => document.getElementById(id);

// Keypad types into the wedge as hands would.
export class Keypad {
  constructor(wedge) {
    this.wedge = wedge;
    $("pad").addEventListener("click", (e) => {
      const b = e.target.closest("button");
      if (!b) return;
      if (b.dataset.key) this.type(b.dataset.key);
      if (b.dataset.unit) this.unit(b.dataset.unit);
      if (b.dataset.do === "delete") this.type("");
      if (b.dataset.do === "enter" && this.text() !== "") this.wedge.end(true);
      $("field").focus({ preventScroll: true });
    });
  }

  text() { return this.wedge.keys.map((k) => k.c).join(""); }

  // number is what stands before a unit.
  number() { return /^[\d.,]*/.exec(this.text())[0]; }

  type(c) {
    const unit = this.text().slice(this.number().length);
    let number = this.number();
    if (c === "") number = unit ? number : number.slice(0, -1);
    else if (c !== "." || !number.includes(".")) number += c;
    this.set(number + (c === "" ? "" : unit));
  }

  unit(u) {
    const number = this.number();
    if (number === "") return;
    this.set(this.text() === number + u ? number : number + u);
  }

  // set writes the text as keys an age apart, so that nothing takes it for a scan.
  set(text) {
    this.wedge.clear();
    this.wedge.keys = Array.from(text, (c, i) => ({ k: c, c, at: i * 10000 }));
    this.wedge.show();
  }

  // offer shows the keys of the units that something can be given in.
  offer(units) {
    for (const b of $("pad").querySelectorAll("[data-unit]")) b.hidden = !units.includes(b.dataset.unit);
  }

  // stockUnit marks the key of the unit that a number without one is in.
  stockUnit(u) {
    for (const b of $("pad").querySelectorAll("[data-unit]")) b.classList.toggle("own", b.dataset.unit === u);
  }
}

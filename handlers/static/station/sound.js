// Sounds for ears that are far from the screen: up for done, one note for
// waiting, low and rough for refused. They differ in rhythm too.

const TUNES = {
  done: [[660, 0, 0.09, "triangle"], [990, 0.1, 0.16, "triangle"]],
  waiting: [[520, 0, 0.08, "sine"]],
  refused: [[190, 0, 0.14, "square"], [150, 0.18, 0.14, "square"], [150, 0.36, 0.2, "square"]],
  warn: [[740, 0, 0.12, "square"], [740, 0.24, 0.12, "square"], [520, 0.48, 0.3, "square"]],
  kept: [[440, 0, 0.08, "triangle"], [440, 0.14, 0.08, "triangle"]],
};

// Sound plays tunes; the browser lets it once somebody has touched a key.
export class Sound {
  constructor() { this.muted = false; this.played = ""; }

  play(name) {
    this.played = this.muted ? "" : name;
    if (this.muted || !TUNES[name]) return;
    try {
      this.context ??= new AudioContext();
      if (this.context.state === "suspended") this.context.resume();
      for (const [pitch, after, lasts, wave] of TUNES[name]) this.note(pitch, after, lasts, wave);
    } catch { /* a station without a speaker */ }
  }

  note(pitch, after, lasts, wave) {
    const begin = this.context.currentTime + after;
    const tone = this.context.createOscillator();
    const level = this.context.createGain();
    tone.type = wave;
    tone.frequency.value = pitch;
    level.gain.setValueAtTime(0.0001, begin);
    level.gain.exponentialRampToValueAtTime(wave === "square" ? 0.2 : 0.5, begin + 0.01);
    level.gain.exponentialRampToValueAtTime(0.0001, begin + lasts);
    tone.connect(level).connect(this.context.destination);
    tone.start(begin);
    tone.stop(begin + lasts + 0.02);
  }
}

// The clock of a block on the page: it runs by the wall clock, so that a reload or a closed page stops nothing.

import { breaksLine, clockText, face, restFace } from "./my_clock.js";
import { tally } from "./my_rules.js";
import { isDone, plannedRest, rowsOf, setInterval_, setRest, setsOf } from "./my_rows.js";

export class BlockClock {
  // state: {startedAt, stoppedAt, restSince} in ms or null, kept with the log; changed: called when it is another.
  constructor(block, rules, state, changed) {
    this.block = block;
    this.rules = rules;
    this.state = state ?? { startedAt: null, stoppedAt: null, restSince: null };
    this.changed = changed;
    this.box = block.querySelector(".clock");
    this.said = "";
    this.box.hidden = false;
    this.on(".start", () => this.start());
    this.on(".stop", () => this.stop(Date.now()));
    this.on(".back", () => this.back());
    this.on(".go", () => this.go());
    this.tick();
  }

  on(name, act) {
    this.box.querySelector(name).addEventListener("click", act);
  }

  get runs() {
    return this.state.startedAt !== null && this.state.stoppedAt === null;
  }

  get elapsed() {
    if (this.state.startedAt === null) return 0;
    return ((this.state.stoppedAt ?? Date.now()) - this.state.startedAt) / 1000;
  }

  start() {
    this.state = { startedAt: Date.now(), stoppedAt: null, restSince: null };
    this.changed({ begun: this.state.startedAt });
    this.tick();
  }

  stop(at) {
    this.state = { ...this.state, stoppedAt: at, restSince: null };
    const field = this.block.querySelector(`[name="${this.block.dataset.block}-elapsed"]`);
    field.value = clockText(this.elapsed);
    this.changed({});
    this.tick();
  }

  back() {
    this.state = { startedAt: null, stoppedAt: null, restSince: null };
    this.changed({});
    this.tick();
  }

  // The next set begins: what was rested is known now.
  go() {
    const next = rowsOf(this.block).find((row) => !isDone(row));
    if (next && this.state.restSince !== null) setRest(next, (Date.now() - this.state.restSince) / 1000);
    this.state = { ...this.state, restSince: null };
    this.changed({});
    this.tick();
  }

  // A set was ticked, or the tick taken away.
  ticked(row) {
    if (isDone(row) && this.runs) {
      const now = face(this.rules, this.elapsed);
      if (now.interval !== null) setInterval_(row, now.interval);
      this.state = { ...this.state, restSince: Date.now() };
    } else {
      this.state = { ...this.state, restSince: null };
    }
    this.tick();
  }

  tick() {
    const now = face(this.rules, this.elapsed);
    const started = this.state.startedAt !== null;
    if (this.runs && now.over) {
      const ends = this.rules.limit_s ?? this.rules.repeats * this.rules.every_s;
      this.stop(this.state.startedAt + Math.min(this.elapsed, ends) * 1000);
      return;
    }
    const told = tally(this.rules, setsOf(this.block), this.runs ? now.interval : null);
    this.text(".main", started ? now.main : clockText(0));
    this.text(".line", started ? now.line : "not started");
    this.text(".broken", breaksLine(this.rules, told));
    this.rest(told);
    this.show(".start", !started);
    this.show(".stop", this.runs);
    this.show(".back", started && !this.runs);
    if (this.runs || now.over) this.say(now.said);
  }

  rest(told) {
    const resting = this.runs && this.state.restSince !== null;
    this.show(".go", resting);
    if (!resting) {
      this.text(".resting", "");
      return;
    }
    const next = rowsOf(this.block).find((row) => !isDone(row));
    const shown = restFace((Date.now() - this.state.restSince) / 1000, plannedRest(next), told.owedRest);
    this.text(".resting", shown.line);
    if (shown.over) this.say("Rest is over.");
  }

  // Read out once when it changes; figures that run are not.
  say(text) {
    if (!text || text === this.said) return;
    this.said = text;
    this.text(".said", text);
    navigator.vibrate?.(200);
  }

  text(name, text) {
    const place = this.box.querySelector(name);
    if (place.textContent !== text) place.textContent = text;
  }

  show(name, shown) {
    this.box.querySelector(name).hidden = !shown;
  }
}

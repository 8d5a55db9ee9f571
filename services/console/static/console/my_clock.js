// What a clock that knows the rules of a block shows at a moment. Pure: seconds in, words out.

export function clockText(seconds) {
  const whole = Math.max(0, Math.floor(seconds + 1e-6));
  const rest = String(whole % 60).padStart(2, "0");
  return `${Math.floor(whole / 60)}:${rest}`;
}

// As a count down: it shows 0:00 when the time has come, not a second before.
export function leftText(seconds) {
  return clockText(Math.ceil(seconds - 1e-6));
}

// rules: as `my_clock_rules.py` writes them; elapsed: seconds since the start.
// {main, line, over, interval, said}: the large figures, a line below, whether the block is over by the clock, the
// interval from 0 or null, and what is read out when it changes.
export function face(rules, elapsed) {
  const limit = rules.limit_s;
  if (limit !== null && elapsed >= limit) {
    const why = rules.end === "fixed_time" ? "Time is up." : "The time cap is reached.";
    return { main: clockText(limit), line: `${why} Stop, and note what you have.`, over: true, interval: null, said: why };
  }
  if (rules.every_s !== null) return intervalFace(rules, elapsed, limit);
  if (rules.end === "fixed_time") {
    return { main: leftText(limit - elapsed), line: `left of ${clockText(limit)}`, over: false, interval: null, said: "" };
  }
  const line = limit === null ? "on the clock" : `on the clock; ${leftText(limit - elapsed)} to the cap`;
  return { main: clockText(elapsed), line, over: false, interval: null, said: "" };
}

function intervalFace(rules, elapsed, limit) {
  const number = Math.floor(elapsed / rules.every_s + 1e-9);
  if (rules.repeats !== null && number >= rules.repeats) {
    const all = rules.repeats * rules.every_s;
    return { main: clockText(all), line: "The last interval is over.", over: true, interval: null, said: "The last interval is over." };
  }
  const inside = elapsed - number * rules.every_s;
  const named = rules.repeats === null ? `Interval ${number + 1}` : `Interval ${number + 1} of ${rules.repeats}`;
  const start = (number + 1) * rules.every_s;
  const last = (rules.repeats !== null && number + 1 >= rules.repeats) || (limit !== null && start >= limit);
  const end = limit === null ? start : Math.min(start, limit);
  const next = last ? `it ends at ${clockText(end)}` : `the next starts at ${clockText(start)}`;
  const whose = rules.in_turn ? `, ${rules.work[number % rules.items].name}` : "";
  if (rules.work_s !== null && inside < rules.work_s) {
    return { main: leftText(rules.work_s - inside), line: `${named}${whose}: work; ${next}`, over: false, interval: number, said: `${named}${whose}: work` };
  }
  const resting = rules.work_s === null ? "" : ": rest";
  return { main: leftText(end - elapsed), line: `${named}${whose}${resting}; ${next}`, over: false, interval: number, said: `${named}${whose}${resting}` };
}

// passed: seconds since the last set ended; planned: of the next set, or null; owed: rest that a break costs.
export function restFace(passed, planned, owed) {
  const asked = Math.max(planned ?? 0, owed);
  if (!asked) return { line: `Rest: ${clockText(passed)}`, over: false };
  const what = owed > (planned ?? 0) ? "Rest for the break" : "Rest";
  if (passed < asked) return { line: `${what}: ${leftText(asked - passed)} left of ${clockText(asked)}`, over: false };
  return { line: `${what} is over: ${clockText(passed - asked)} ago. Go.`, over: true };
}

// What breaks have cost so far, by `tally` of my_rules.js; "" where there are none.
export function breaksLine(rules, told) {
  if (rules.counts === "none" || (!told.breaks && !told.owedWork)) return "";
  const many = told.breaks === 1 ? "1 break" : `${told.breaks} breaks`;
  if (told.owedWork) return `${many}. Before you go on: ${told.owedWork.amount} of ${told.owedWork.name}.`;
  if (told.addedSeconds) return `${many}: ${clockText(told.addedSeconds)} is added to the clock.`;
  if (told.lostRepetitions) return `${many}: ${told.lostRepetitions} off the score.`;
  return `${many} so far.`;
}

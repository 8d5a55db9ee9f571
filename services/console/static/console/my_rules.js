// The rules of a block played forward over the sets that are ticked: breaks, misses, penalties, and whose turn it is.
// What `programming/calc/stepper.py` does with a log, as far as an athlete wants to know it in the middle of one. The
// official score is the service's; tests hold both against each other.

const LEAST = 1e-9;

function rung(rules, round) {
  const last = rules.rungs.length - 1;
  return rules.rungs[Math.min(round, last)] + rules.then_step * Math.max(round - last, 0);
}

function portion(rules, round, item) {
  if (item >= rules.items) return 0;
  if (rules.in_turn && round % rules.items !== item) return 0;
  const amount = rules.work[item].amount;
  return (amount === null ? Infinity : amount) * rung(rules, round);
}

class Play {
  constructor(rules) {
    this.rules = rules;
    this.penaltyItem = rules.work.length > rules.items ? rules.items : -1;
    this.breaks = 0;
    this.misses = 0;
    this.resume = -1;
    this.broke = false;
    this.round = 0;
    this.fill();
  }

  // What the round asks for, and the item that it begins with.
  fill() {
    this.left = this.rules.work.map((_, item) => portion(this.rules, this.round, item));
    this.item = this.left.findIndex((one) => one > 0);
  }

  nextRound() {
    if (this.rules.repeats !== null && this.round + 1 >= this.rules.repeats) {
      this.left = this.left.map(() => 0);
      this.item = -1;
      return;
    }
    this.round += 1;
    this.fill();
  }

  // An interval that is over with work left is missed; open work cannot be.
  expire() {
    const missed = this.left.slice(0, this.rules.items).some((one) => one > 0 && one < Infinity);
    if (missed) {
      this.misses += 1;
      if (this.rules.counts === "missed_interval") this.breaks += 1;
      if (this.rules.end === "first_miss") { this.item = -1; return; }
    }
    this.nextRound();
  }

  reachInterval(wanted) {
    while (this.round < wanted && this.item !== -1) this.expire();
    return wanted >= this.round;
  }

  isBreak(set) {
    const { counts } = this.rules;
    if (this.item === this.penaltyItem) return false;
    if (counts === "no_rep") return set.ended === "no_rep";
    if (counts === "rest_longer_than") {
      const begun = this.left[this.item] < portion(this.rules, this.round, this.item);
      return begun && set.rest !== null && set.rest > this.rules.rest_over_s;
    }
    if (counts === "set_ended_early") return set.ended !== "clock" && this.left[this.item] - set.amount > LEAST;
    return false;
  }

  // The item after a set in the same round; -1 when the round is done.
  following(broke) {
    const unfinished = this.left[this.item] > 0;
    if (unfinished && !(this.rules.order === "swap_on_break" && broke)) return this.item;
    for (let offset = 1; offset < this.rules.items; offset += 1) {
      const other = (this.item + offset) % this.rules.items;
      if (this.left[other] > 0) return other;
    }
    return unfinished ? this.item : -1;
  }

  take(set) {
    const item = this.rules.work.findIndex((one) => one.key === set.work);
    if (item === -1) return;
    if (this.rules.order === "intervals" && !this.reachInterval((set.interval ?? this.round + 1) - 1)) return;
    if (this.item === this.penaltyItem && this.item !== -1 && item !== this.item) {
      this.left[this.penaltyItem] = 0;
      this.item = this.resume;
    }
    this.broke = false;
    if (this.item === -1 || !(this.left[item] > 0)) return;
    this.item = item;
    let left = set.amount;
    const carries = ["rounds", "ladder"].includes(this.rules.order) && !this.rules.rest_between_s;
    for (;;) {
      const round = this.round;
      left = this.step({ ...set, amount: left });
      if (left <= LEAST || this.broke || !carries || this.round === round || this.item !== item) break;
    }
  }

  // One set on the item whose turn it is; what is left of its amount.
  step(set) {
    const { rules, item } = this;
    const broke = this.isBreak(set);
    const counted = Math.min(set.amount, this.left[item]);
    this.left[item] -= counted;
    if (this.left[item] < LEAST) this.left[item] = 0;
    if (item === this.penaltyItem) {
      if (!(this.left[item] > 0)) this.item = this.resume;
      return set.amount - counted;
    }
    const next = rules.order === "attempts" ? -1 : this.following(broke);
    if (next === -1) this.nextRound(); else this.item = next;
    if (broke) {
      this.breaks += 1;
      this.broke = true;
      if (rules.penalty === "served_work" && this.penaltyItem !== -1) {
        this.left[this.penaltyItem] = rules.work[this.penaltyItem].amount;
        this.resume = this.item;
        this.item = this.penaltyItem;
      }
    }
    return set.amount - counted;
  }
}

// sets: {work, amount, rest (s or null), ended, interval (from 1, or null)} in their order.
// upTo: the interval, from 0, that the clock is in; those before it are over.
export function tally(rules, sets, upTo = null) {
  const play = new Play(rules);
  sets.forEach((set) => play.take(set));
  if (upTo !== null && rules.order === "intervals") play.reachInterval(upTo);
  const added = rules.penalty === "added";
  return {
    breaks: play.breaks,
    misses: play.misses,
    round: play.round,
    turn: play.item === -1 ? null : rules.work[play.item].key,
    over: play.item === -1,
    addedSeconds: added ? rules.penalty_s * play.breaks : 0,
    lostRepetitions: added ? rules.penalty_repetitions * play.breaks : 0,
    owedRest: play.broke && rules.penalty === "served_rest" ? rules.penalty_s : 0,
    owedWork: play.item !== -1 && play.item === play.penaltyItem
      ? { name: rules.work[play.item].name, amount: play.left[play.item] } : null,
  };
}

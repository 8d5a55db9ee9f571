"""What the service knows of a stranger after each session, by its own steps, without a database.

Sights come from the logged sets as from any result (`scoring.observed`), with the work that makes sore; the prior is
the catalogue's for a person whose body mass nobody has said; a movement that was never seen borrows; how quickly
somebody tires is learned from the logs (`scoring.tiring`).
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from functools import cache
from uuid import NAMESPACE_OID, uuid5

import numpy as np
from scipy.special import ndtr

from athletes.calc.borrowing import Told, Traits, borrowed, told_by
from athletes.calc.capacity import Capacity, Observation, Work, estimate_capacity, repetitions_at
from athletes.calc.curve import drop, slope
from athletes.calc.multiplier import Able, Multiplier, SetsDone, learn
from athletes.calc.observation import day_noise
from athletes.calc.tempo import LEAST_UNITS, Tempos, TimedSet
from athletes.calc.tempo import learn as learn_tempo
from athletes.calc.tired import spent_of_people
from athletes.capacities import Inputs, catalogue_prior, compute, on_day
from athletes.moments import Moment
from programming.catalogue.shipped import shipped_catalogue
from programming.plans import MovementEntry, VariationEntry
from scoring.actions.tempo import MOST_OF_A_SESSION, MOST_SETS, TELLING
from scoring.actions.tiring import MOST_SESSIONS
from scoring.calc.attempt import SetEntry
from scoring.observed import Logged, observations_of
from scoring.person import median_of
from scoring.tiring import session_of
from tests.oracles.strangers.populations import (
    BENCH_PRESS,
    FAILURE,
    LAT_PULL,
    LEG_PRESS,
    SHOULDER_PRESS,
    Session,
)

SEXES = {"m": "male", "w": "female"}
KEYS = {
    BENCH_PRESS: "bench_press_barbell",
    SHOULDER_PRESS: "shoulder_press_machine",
    LEG_PRESS: "leg_press_machine",
    LAT_PULL: "lat_pulldown",
}
"""The strangers' movements, by the variation of the shipped catalogue that each of them is."""


@cache
def version(movement: str) -> VariationEntry:
    """The catalogue's variation of a stranger's movement."""
    for one in shipped_catalogue():
        for variation in one.variations:
            if variation.key == KEYS[movement]:
                entry = MovementEntry(
                    uuid5(NAMESPACE_OID, one.key),
                    one.key,
                    one.name,
                    one.pattern,
                    one.capacity_kind,
                    one.prior,
                )
                id_ = uuid5(NAMESPACE_OID, variation.key)
                return VariationEntry(id_, id_, 1, variation.name, "", entry, variation.entry.variation)
    raise KeyError(movement)


@cache
def prior_document(movement: str) -> dict[str, object]:
    (found,) = [one for one in shipped_catalogue() if one.key == version(movement).movement.key]
    return dict(found.prior_document)


def entry(done) -> SetEntry:
    """A logged set as a client sends it: without how many were left, which strangers do not say."""
    return SetEntry(
        done.movement, float(done.repetitions), "failure" if done.ended_by == FAILURE else "planned",
        done.rest_s, done.seconds, load_kg=done.load_kg,
    )  # fmt: skip


class Known:
    """Of one stranger, session after session; `before` what is seen of a session that is not yet done."""

    def __init__(self, sex: str, prior=None) -> None:
        self.sex = SEXES[sex]
        self.prior = prior or (lambda movement, sex: catalogue_prior(prior_document(movement), 75.0))
        self.seen: dict[str, list[Observation]] = defaultdict(list)
        self.work: dict[str, list[Work]] = defaultdict(list)
        self.logs: list[tuple[dt.date, list[Logged]]] = []
        self._kept: dict[str, Capacity] = {}
        self._learned: Multiplier | None = None

    def note(self, session: Session) -> None:
        """Take a session in."""
        hour = session.began.hour + session.began.minute / 60.0
        at = Moment(session.began.date(), round(hour, 6))
        logged = [Logged(entry(one), version(one.movement)) for one in session.log.sets]
        names = {version(name).movement.id: name for name in KEYS}
        for row in observations_of(logged, at):
            name = names[row.movement_id]
            spent, spent_sd = self._spent(row)
            told = Observation(
                at.day.toordinal(), row.load_kg or 0.0, row.repetitions, row.kind, row.rir,
                variation=KEYS[name], hour=row.hour, spent=spent, spent_sd=spent_sd,
            )  # fmt: skip
            self.seen[name].append(told)
        for name in {one.movement for one in session.log.sets}:
            own = [one for one in session.log.sets if one.movement == name]
            done = float(sum(one.repetitions for one in own))
            failed = float(sum(one.repetitions for one in own if one.ended_by == FAILURE))
            if done:
                self.work[name].append(Work(at.day.toordinal(), done, failed, at.hour))
            self._kept.pop(name, None)
        self.logs.append((at.day, logged))
        self._learned = None

    def _spent(self, row) -> tuple[float, float]:
        if row.spent_usual is None:
            return 0.0, 0.0
        return spent_of_people((row.spent_least, row.spent_usual, row.spent_most), median_of(self.sex))

    def forget_estimates(self) -> None:
        """Of a prior that has moved."""
        self._kept.clear()
        self._learned = None

    def capacity(self, movement: str, at: dt.datetime) -> Capacity:
        """On the day of a session, soreness included."""
        day, hour = at.date(), at.hour + at.minute / 60.0
        if not self.seen[movement]:
            prior = borrowed(self.prior(movement, self.sex), traits(movement), self._lent(movement))
            return estimate_capacity(prior, (), day=day.toordinal())
        return on_day(self.last(movement), day, hour)

    def last(self, movement: str) -> Capacity:
        """As of the last sight, as a row is stored."""
        if movement not in self._kept:
            seen = self.seen[movement]
            prior = self.prior(movement, self.sex)
            inputs = Inputs(
                prior, tuple(seen), max(one.day for one in seen), 1, (), tuple(self.work[movement]),
                expected=prior.log_l10,
            )  # fmt: skip
            self._kept[movement] = compute(inputs)
        return self._kept[movement]

    def _lent(self, movement: str) -> list[tuple[Traits, Told]]:
        told = [
            (traits(one), told_by(self.last(one))) for one in self.seen if self.seen[one] and one != movement
        ]
        return [(of, by) for of, by in told if by is not None]

    def multiplier(self) -> Multiplier:
        """Of slow fatigue, learned from the newest logs that tell something."""
        if self._learned is None:
            found = [one for _, logged in reversed(self.logs) if (one := self._session(logged)) is not None]
            self._learned = learn(found[:MOST_SESSIONS], median=median_of(self.sex))
        return self._learned

    def tempo(self) -> Tempos:
        """How quickly they work, from the newest sets whose seconds were noted."""
        newest = [
            TimedSet(
                str(one.done.movement.id), day.toordinal(), one.entry.amount, one.entry.duration_s,
                one.done.variation.repetition_s, one.entry.ended_by == FAILURE,
            )
            for day, logged in reversed(self.logs)
            for one in logged[:MOST_OF_A_SESSION]
            if one.entry.amount >= LEAST_UNITS and one.entry.duration_s and one.entry.ended_by in TELLING
        ]  # fmt: skip
        return learn_tempo(newest[:MOST_SETS]).rounded()

    def _session(self, logged: list[Logged]) -> tuple[SetsDone, Able] | None:
        states = {version(name).movement.id: self.last(name) for name in self.seen if self.seen[name]}
        return session_of(logged, states, None)


def traits(movement: str) -> Traits:
    found = version(movement)
    return Traits(found.movement.pattern, dict(found.variation.muscle_groups))


class Counts:
    """The distribution of a fresh count: P(count <= c) for c = 0, 1, …"""

    def __init__(self, capacity: Capacity, load_kg: float) -> None:
        mixture, edges = repetitions_at(capacity, load_kg).mixture, np.arange(1.0, 301.0)
        k, a = mixture.k_nodes, mixture.asymptote_share
        ahead = mixture.ahead + np.array([drop(one, a, 10.0) for one in k])
        fallen = np.array([[drop(one, a, edge) for one in k] for edge in edges])
        noise = np.array([[slope(one, a, edge) for one in k] for edge in edges]) * day_noise(edges)[:, None]
        self._upto = ndtr((fallen - ahead) / np.hypot(mixture.spread, noise)) @ mixture.weight

    def rank(self, count: int, u: float) -> float:
        """Randomised within the step of the count, uniform if the distribution is right."""
        low = self._upto[count - 1] if count else 0.0
        return float(low + u * (self._upto[count] - low))

    @property
    def middle(self) -> int:
        """The median."""
        return int(np.searchsorted(self._upto, 0.5))

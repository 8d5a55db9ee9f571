"""Logged sets as the calculation of slow fatigue takes them. No database.

A session tells something where two sets of one movement or of shared muscles were logged with the rests between them,
and one of the later ones ended by failure or by the athlete's choice. Where a rest is missing the session is left
out: what was recovered is not guessed. A set without a duration takes its usual time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from uuid import UUID

import numpy as np

from athletes.calc.capacity import Capacity
from athletes.calc.fatigue import MULTIPLIER_LOG_SD, MULTIPLIER_MEDIAN
from athletes.calc.hold import HoldCapacity
from athletes.calc.multiplier import CHOICE, FAILURE, OTHERWISE, Able, SetsDone
from athletes.performed import Settings, effective_kg
from athletes.states import CapacityState
from programming.calc.arrays import FloatArray
from scoring.calc.muscles import groups_of, weights_of
from scoring.capacity_kind import kind_in
from scoring.drawn import drawn, limits_a_set
from scoring.observed import Logged
from scoring.person import common_draws
from scoring.set_time import seconds_of

PEOPLE: Final = 128
"""A power of two, as the sequence wants it. Against 1024 the median of m moves by 0.2 of the SD of ln m (rms)."""
FEWEST_PEOPLE: Final = 16
MOST_SETS: Final = 200
"""Of one session: later ones tell no more, and a log may be endless (ours)."""
FORM_LOG_SD: Final = 0.10
"""Of a day's form, and of what has changed since (ours)."""
_ENDED: Final = {"failure": FAILURE, "planned": CHOICE}


@dataclass(frozen=True)
class _Piece:
    """One way to work: the movement, the version of it, the effective load, and the capacity that limits it."""

    movement: UUID
    variation: str
    load_kg: float
    state: Capacity | HoldCapacity


def session_of(
    logged: Sequence[Logged], states: Mapping[UUID, CapacityState], body_mass_kg: float | None
) -> tuple[SetsDone, Able] | None:
    """None where the session tells nothing, or a rest is missing."""
    placed = placed_session(logged, states, body_mass_kg)
    if placed is None:
        return None
    _, done, able = placed
    told = list(zip(done.piece.tolist(), done.ended.tolist(), strict=True))
    return (done, able) if _tells(told, able.weights) else None


def placed_session(
    logged: Sequence[Logged], states: Mapping[UUID, CapacityState], body_mass_kg: float | None
) -> tuple[list[int], SetsDone, Able] | None:
    """The sets of which a capacity is known, with their places in the log; None where there are none, a rest is
    missing, or hardly anybody of the capacity could have done them.
    """
    counted = [(place, item) for place, item in enumerate(logged) if item.entry.amount > 0.0][:MOST_SETS]
    clock = _clock([item for _, item in counted])
    if clock is None:
        return None
    pieces: dict[_Piece, Logged] = {}
    rows: list[tuple[int, _Piece, float, float, float, int]] = []
    for (place, item), (start, seconds) in zip(counted, clock, strict=True):
        piece = _piece(item, states, body_mass_kg)
        if piece is None:
            continue
        pieces.setdefault(piece, item)
        ended = _ENDED.get(item.entry.ended_by, OTHERWISE)
        rows.append((place, piece, start, seconds, float(item.entry.amount), ended))
    names = list(pieces)
    able = _able(names, pieces) if names else None
    if able is None:
        return None
    places, number, start_, seconds_, amount, ended_ = zip(*rows, strict=True)
    done = SetsDone(
        np.array([names.index(piece) for piece in number], np.int64),
        np.array(start_, float),
        np.array(seconds_, float),
        np.array(amount, float),
        np.array(ended_, np.int64),
    )
    return list(places), done, able


def _clock(logged: Sequence[Logged]) -> list[tuple[float, float]] | None:
    """(start, seconds) of each set, from the start of the first; None where a rest is missing."""
    found, now = [], 0.0
    for number, item in enumerate(logged):
        rest = item.entry.rest_before_s
        if number and rest is None:
            return None
        now += (rest or 0.0) if number else 0.0
        seconds = seconds_of(item.entry, item.done)
        found.append((now, seconds))
        now += seconds
    return found


def _piece(item: Logged, states: Mapping[UUID, CapacityState], body_mass_kg: float | None) -> _Piece | None:
    """None for work of which no capacity in its unit is known."""
    entry, movement = item.entry, item.done.movement.id
    state = states.get(movement)
    if not limits_a_set(state, kind_in(item.done, entry.unit)):
        return None
    settings = Settings(entry.load_kg, entry.assistance_kg, entry.height_cm)
    load_kg = effective_kg(item.done.variation, settings, body_mass_kg)
    return None if load_kg is None else _Piece(movement, item.done.variation.key, load_kg, state)


def _able(names: Sequence[_Piece], pieces: Mapping[_Piece, Logged]) -> Able | None:
    """None where hardly anybody of the capacity could have done it, so that it tells of something else."""
    movements = list(dict.fromkeys(piece.movement for piece in names))
    draws = common_draws(len(movements), PEOPLE)
    form = np.exp(FORM_LOG_SD * np.log(draws.multiplier / MULTIPLIER_MEDIAN) / MULTIPLIER_LOG_SD)
    fresh, per_unit = np.empty((PEOPLE, len(names))), np.empty((PEOPLE, len(names)))
    for index, piece in enumerate(names):
        u = draws.movements[movements.index(piece.movement)]
        units, takes = drawn(piece.state, piece.variation, piece.load_kg, u)
        fresh[:, index], per_unit[:, index] = units * form, takes / form
    groups = [groups_of(str(piece.movement), pieces[piece].done.variation.muscle_groups) for piece in names]
    # Who of the capacity's people could not do one unit of it fresh is not the one who has done it.
    could = (fresh >= 1.0).all(axis=1)
    return Able(fresh[could], per_unit[could], weights_of(groups)) if could.sum() >= FEWEST_PEOPLE else None


def _tells(sets: Sequence[tuple[int, int]], weights: FloatArray) -> bool:
    """Whether a set that did not end otherwise comes after one that shares muscles with it."""
    shares = weights @ weights.T > 0.0
    return any(
        ended != OTHERWISE and any(shares[piece, before] for before, _ in sets[:place])
        for place, (piece, ended) in enumerate(sets)
    )

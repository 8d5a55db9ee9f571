"""What a stranger is asked to do, and what comes of it."""

from dataclasses import dataclass

PLANNED, FAILURE = "planned", "failure"


@dataclass(frozen=True)
class SetPlan:
    """One set: at most `repetitions`, or to failure (None), after `rest_s` seconds; the first set rests none."""

    movement: str
    load_kg: float
    repetitions: int | None = None
    rest_s: float = 0.0


@dataclass(frozen=True)
class Straight:
    """Sets in the order written, each once. It has no score."""

    sets: tuple[SetPlan, ...]


@dataclass(frozen=True)
class Amount:
    """Repetitions to be done of a movement, however they are split; a set is stopped at `largest_set`."""

    movement: str
    load_kg: float
    repetitions: int
    largest_set: int | None = None


@dataclass(frozen=True)
class Swap:
    """Two amounts. Whoever ends a set before its amount is full takes a break: `penalty_s` is added to the time, and
    the next set is of the other movement, as long as that has anything left. Score: time and penalties, seconds."""

    amounts: tuple[Amount, Amount]
    rest_s: float
    penalty_s: float = 60.0


@dataclass(frozen=True)
class Rounds:
    """All amounts one after the other, `rounds` times. Score: the time, seconds."""

    rounds: int
    amounts: tuple[Amount, ...]
    rest_s: float


Plan = Straight | Swap | Rounds


@dataclass(frozen=True)
class SetLog:
    """A set as noted down.

    `rest_s` is the pause since the set before, of whichever movement; None for the first set of a session.
    `planned` is the count at which the set was to stop, None for a set to failure. `ended_by` is `planned` when that
    count was reached and `failure` when not. A set to failure may have 0 repetitions.
    """

    movement: str
    load_kg: float
    repetitions: int
    planned: int | None
    rest_s: float | None
    ended_by: str
    seconds: float


@dataclass(frozen=True)
class SessionLog:
    """A session as noted down. `score_s` is None where the plan has none, or the amounts were not finished."""

    sets: tuple[SetLog, ...]
    elapsed_s: float
    score_s: float | None
    breaks: int = 0
    finished: bool = True


def to_failure(movement, load_kg, rests):
    """Straight sets to failure, one more than there are rests."""
    return Straight(tuple(SetPlan(movement, load_kg, None, rest) for rest in (0.0, *rests)))


def as_planned(movement, load_kg, counts, rests):
    """Straight sets stopped at the counts; as many rests as there are gaps between the sets."""
    pairs = zip(counts, (0.0, *rests), strict=True)
    return Straight(tuple(SetPlan(movement, load_kg, count, rest) for count, rest in pairs))

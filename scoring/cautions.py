"""What a prescription warns of: each caution with a code, the text, and where it comes from. Advisory only.

The figures of lifting in a return (athletes.calc.absence: days, rest, sets times repetitions times the share of the
maximum) are told here with the movements under a load. No load and no amount is chosen by them: what is cut is the
volume (scoring.restraint).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from athletes.guidance import texts
from athletes.queries import AthleteInputs
from athletes.safety import Safety
from programming.calc.plain import as_plain
from programming.calc.revision import REPETITIONS
from scoring.working_out import Worked

GENERAL_CAUTION: Final = (
    "Stop at pain, dizziness, chest discomfort or unusual breathlessness and tell a coach; see a physician when "
    "in doubt. This plan does not replace medical advice or the local rules of the gym."
)
FIRST_TIME_CAUTION: Final = "This version is new to you: do a few easy repetitions of it first."
OURS: Final = "Common practice, no source"
STOP_SIGNS, ALONE, FIRST_TIME = "stop_signs", "training_alone", "first_time"
UNACCUSTOMED, RHABDOMYOLYSIS, RETURNING = "unaccustomed_work", "rhabdomyolysis_signs", "return_after_absence"
LIFTING: Final = "lifting_after_absence"
OVERRIDDEN: Final = "prescribed_by_a_person"
NOTE: Final = "note"
RECORDED: Final = "What is recorded of the athlete"


@dataclass(frozen=True)
class CautionTold:
    """movements: the ones that it is about, empty for the session as a whole."""

    code: str
    text: str
    source: str
    movements: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        return {**as_plain(self), "movements": list(self.movements)}


def cautions_of(inputs: AthleteInputs, worked: Worked, *, overridden: bool) -> list[CautionTold]:
    """The general one first; a guidance text keeps its own source."""
    return list(_cautions(inputs, worked, overridden))


def _cautions(inputs: AthleteInputs, worked: Worked, overridden: bool) -> Iterator[CautionTold]:
    yield CautionTold(STOP_SIGNS, GENERAL_CAUTION, _guidance(STOP_SIGNS)[1])
    if inputs.trains_alone:
        yield CautionTold(ALONE, *_guidance(ALONE))
    if worked.hold is None:
        new = any(one.is_novel for result in worked.results.values() for one in result.chosen)
        if new:
            yield CautionTold(FIRST_TIME, FIRST_TIME_CAUTION, OURS)
        movements = tuple(worked.restraint.unaccustomed)
        if movements:
            yield CautionTold(UNACCUSTOMED, *_guidance(UNACCUSTOMED), movements)
            yield CautionTold(RHABDOMYOLYSIS, *_guidance(RHABDOMYOLYSIS), movements)
    if inputs.safety.returning_week is not None:
        yield CautionTold(RETURNING, *_guidance(RETURNING))
        yield from _lifting(inputs.safety, worked)
    if overridden:
        text = (
            "A person prescribed this instead of what was worked out; what speaks against it stands beside it. No"
            " check set is asked for, and it stays until that person changes it: ask them where it does not fit."
        )
        yield CautionTold(OVERRIDDEN, text, OURS)
    known = {entry.text: entry for entry in texts()}
    for note in inputs.safety.notes:
        entry = known.get(note)
        if entry is None:
            yield CautionTold(NOTE, note, RECORDED)
        else:
            yield CautionTold(entry.key, note, _guidance(entry.key)[1])


def _lifting(safety: Safety, worked: Worked) -> Iterator[CautionTold]:
    """What the week of a return asks of work under a load, in the weeks for which there are figures."""
    week = safety.return_week
    loaded = tuple(dict.fromkeys(_loaded(worked)))
    if week is None or week.max_sessions is None or week.work_rest is None or not loaded:
        return
    text = (
        f"Week {safety.returning_week} of your return: lift on at most {week.max_sessions} days, rest at least"
        f" {week.work_rest:g} times as long as you work, and keep sets times repetitions times the share of your"
        f" maximum (4 sets of 10 with half of it: 20) within {week.irv_low:g} to {week.irv_high:g} for each exercise."
        " This is not worked into the loads and amounts here: a coach looks at it with you."
    )
    yield CautionTold(LIFTING, text, _guidance(LIFTING)[1], loaded)


def _loaded(worked: Worked) -> Iterator[str]:
    """The movements of repetitions with a load in the hand or on the bar."""
    for result in worked.results.values():
        for one in result.chosen:
            if one.unit == REPETITIONS and one.option.load_kg:
                yield worked.restraint.movements[one.work]


def _guidance(key: str) -> tuple[str, str]:
    entry = next(entry for entry in texts() if entry.key == key)
    return entry.text, f"{entry.source} ({entry.certainty})"

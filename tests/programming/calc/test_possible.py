"""Numbers that nobody measures in a gym are refused where they are written, each at its place."""

from __future__ import annotations

import copy
import math
import re
from collections.abc import Callable, Mapping
from typing import Any

import pytest

from programming.calc.catalogue import parse_prior, parse_variation
from programming.calc.kit import parse_kit
from programming.calc.possible import (
    KIT,
    VARIATION,
    Span,
    Spans,
    impossible_kit,
    impossible_prior,
    impossible_variation,
    prior_spans,
)
from programming.calc.reader import Problem
from programming.catalogue.shipped import shipped_catalogue
from tests.programming.calc.test_movement_prior import LIFT, PLANK, ROWER, RUN

Check = Callable[[Any], list[Problem]]

ERG: dict[str, Any] = {
    "key": "erg", "movement": "erg", "rung": 1, "fraction_source": "estimate", "standard": "One pull.",
    "body_mass_fraction": 0.5, "height_fractions": [[-30, 0.7], [0, 0.6], [60, 0.4]], "external_share": 0.8,
    "repetition_s": 2, "eccentric": 0.5, "muscle_groups": {"chest": 1}, "work_j_per_kcal": 1000,
    "power_per_cubed_speed": 2.8,
}  # fmt: skip
BAND = {
    "from_cm": 10, "to_cm": 60,
    "tensions": [{"stretch_cm": 0, "tension_kg": 0}, {"stretch_cm": 100, "tension_kg": 30}],
}  # fmt: skip
PLACE: dict[str, Any] = {
    "items": {
        "barbell": {"loads_kg": [20, 40]},
        "counterweight": {"assistances_kg": [5]},
        "box": {"heights_cm": [30]},
        "band": {"measured": [BAND]},
        "wall": {},
    }
}


def of_kind(kind: str) -> Check:
    return lambda document: impossible_prior(document, kind)


WHOLE: dict[str, tuple[dict[str, Any], Spans, Check]] = {
    "variation": (ERG, VARIATION, impossible_variation),
    "kit": (PLACE, KIT, impossible_kit),
    "lift": (LIFT | {"l10_per_body_mass": 1, "asymptote_share": 0.1}, prior_spans(LIFT, "load_repetition"),
             of_kind("load_repetition")),
    "hold": (PLANK | {"l60_kg": 50}, prior_spans(PLANK, "hold"), of_kind("hold")),
    "power": (ROWER | {"critical": 200, "reserve": 15_000}, prior_spans(ROWER, "cyclical"), of_kind("cyclical")),
    "speed": (RUN, prior_spans(RUN, "cyclical"), of_kind("cyclical")),
}  # fmt: skip


def numbers(value: Any, pointer: str = "") -> list[str]:
    """Pointers of every number of a document."""
    members: Any = ()
    if isinstance(value, Mapping):
        members = value.items()
    elif isinstance(value, list):
        members = enumerate(value)
    own = [pointer] if isinstance(value, (int, float)) else []
    return own + [found for key, one in members for found in numbers(one, f"{pointer}/{key}")]


def changed(document: Any, pointer: str, value: float) -> Any:
    found = copy.deepcopy(document)
    place = found
    *steps, last = (int(step) if step.isdigit() else step for step in pointer.split("/")[1:])
    for step in steps:
        place = place[step]
    place[last] = value
    return found


def outside(problems: list[Problem]) -> list[str]:
    return [one.pointer for one in problems if one.code == "out_of_range"]


# A rung is a whole number by its reader's own rule.
CASES = [
    (name, pointer)
    for name, (whole, _, _) in WHOLE.items()
    for pointer in numbers(whole)
    if pointer != "/rung"
]


@pytest.mark.parametrize(("name", "pointer"), CASES)
def test_every_number_is_bounded_at_its_place(name: str, pointer: str) -> None:
    """A number next to nothing, a zero with a sign, and a little over either end; the ends are let through."""
    document, spans, check = WHOLE[name]
    (span,) = (
        span for pattern, span in spans.items() if re.fullmatch(pattern.replace("*", "[^/]+"), pointer)
    )
    for value in (1e-300, -0.0, span.least * 0.99, span.most * 1.01, -span.most * 1.01, 1e300):
        assert outside(check(changed(document, pointer, value))) == [pointer], value
    for value in (span.least, span.most, *([0.0] if span.zero else [])):
        assert outside(check(changed(document, pointer, value))) == [], value


def test_the_documents_have_every_number_that_their_readers_know() -> None:
    """Else the walk above would pass over a field that only the reader has."""
    assert parse_variation(ERG) and parse_kit(PLACE)
    for kind, document in (
        ("load_repetition", LIFT),
        ("hold", PLANK),
        ("cyclical", ROWER),
        ("cyclical", RUN),
    ):
        assert parse_prior(document, kind)
    every = {f"/{name}" for name in ERG} - {"/key", "/movement", "/rung", "/fraction_source", "/standard"}
    assert {"/" + pattern.split("/")[1] for pattern in VARIATION} == every


def test_a_band_is_stretched_over_some_way() -> None:
    """Work over no way is no work: a millionth of a centimetre is refused, a centimetre is not."""
    for to_cm, codes in ((10.000001, ["too_short"]), (11, [])):
        kit = {"items": {"band": {"measured": [BAND | {"to_cm": to_cm}]}}}
        found = impossible_kit(kit)
        assert [one.code for one in found] == codes
        assert all(one.pointer == "/items/band/measured/0" for one in found)


def test_a_bound_is_told() -> None:
    """Whoever sent it reads what would be right."""
    (problem,) = impossible_variation(ERG | {"body_mass_fraction": 1e-300})
    assert problem.detail == "Send 0, or a number from 0.01 to 1.2: nothing else is met in a gym."
    assert not Span(1.0, 2.0).holds(math.nan)


def test_what_is_shipped_is_possible() -> None:
    """Every variation and every prior of the catalogue lies inside the spans."""
    for entry in shipped_catalogue():
        for variation in entry.variations:
            assert impossible_variation(variation.document) == [], variation.key
        if entry.prior_document:
            assert impossible_prior(entry.prior_document, entry.capacity_kind) == [], entry.key

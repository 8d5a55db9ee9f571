"""Priors by kind of capacity: what is read, what is refused, and what they say at a body mass."""

from math import exp, isclose, log, sqrt
from typing import Any

import pytest

from programming.calc.catalogue import (
    CAPACITY_KINDS,
    CyclicalPrior,
    HoldPrior,
    MovementPrior,
    parse_prior,
    prior_or_none,
)
from programming.calc.reader import DocumentError

LIFT: dict[str, Any] = {"l10_kg": 30, "l10_sd": 0.4, "k": 0.024, "k_cv": 0.2, "source": "estimate"}
PLANK: dict[str, Any] = {
    "kind": "hold", "l60_per_body_mass": 0.7, "l60_sd": 0.3, "exponent": 0.5, "exponent_cv": 0.2,
    "source": "estimate",
}  # fmt: skip
ROWER: dict[str, Any] = {
    "kind": "cyclical", "measure": "power", "critical_per_body_mass": 2.5, "critical_sd": 0.3,
    "reserve_per_body_mass": 180, "reserve_sd": 0.4, "source": "estimate",
}  # fmt: skip
RUN: dict[str, Any] = {
    "kind": "cyclical", "measure": "speed", "critical": 3.2, "critical_sd": 0.2, "reserve": 150,
    "reserve_sd": 0.4, "source": "estimate",
}  # fmt: skip


def without(document: dict[str, Any], name: str) -> dict[str, Any]:
    return {key: value for key, value in document.items() if key != name}


def test_each_kind_has_its_own_prior() -> None:
    """The class follows the kind; `none` has no prior; a load-repetition document may say its kind."""
    assert isinstance(parse_prior(LIFT), MovementPrior)
    assert parse_prior({**LIFT, "kind": "load_repetition"}) == parse_prior(LIFT, "load_repetition")
    assert isinstance(parse_prior(PLANK, "hold"), HoldPrior)
    assert isinstance(parse_prior(ROWER, "cyclical"), CyclicalPrior)
    assert prior_or_none({}, "none") is None
    assert {kind for kind in CAPACITY_KINDS if kind != "none"} == {"load_repetition", "hold", "cyclical"}
    with pytest.raises(ValueError, match="no prior"):
        parse_prior({}, "none")


def test_a_hold_at_a_body_mass() -> None:
    """ln(0.7 * 80) = 4.0254; the exponent 0.5 with 20 % spread: ln 0.5 and sqrt(ln 1.04) = 0.1980."""
    start = parse_prior(PLANK, "hold").at(80.0)
    assert start.log_l60 == pytest.approx(4.0254, abs=1e-4)
    assert start.log_l60_sd == 0.3
    assert start.log_exponent == pytest.approx(-0.6931, abs=1e-4)
    assert start.log_exponent_sd == pytest.approx(0.1980, abs=1e-4)


def test_the_general_exponent_of_published_holds() -> None:
    """Frey-Law & Avin 2010 (read in secondary texts): t = 21.92 TL^-1.98 s; twice the load, 2^-1.98 of the time.

    At e = 1/1.98 the power law of this prior gives the same ratio of times as the published one, at any load.
    """
    exponent = 1 / 1.98
    for light, heavy in ((0.3, 0.5), (0.3, 0.7), (0.5, 0.7)):
        published = (21.92 * heavy**-1.98) / (21.92 * light**-1.98)
        assert isclose(published, exp((log(light) - log(heavy)) / exponent), rel_tol=1e-12)


def test_cyclical_priors_at_a_body_mass() -> None:
    """Power scales with the body mass where it is given per kg; a speed does not."""
    rower = parse_prior(ROWER, "cyclical")
    assert exp(rower.at(80.0).log_critical) == pytest.approx(200.0)
    assert exp(rower.at(80.0).log_reserve) == pytest.approx(14_400.0)
    run = parse_prior(RUN, "cyclical")
    assert run.at(60.0) == run.at(90.0)
    assert (run.measure, exp(run.at(60.0).log_critical)) == ("speed", pytest.approx(3.2))


@pytest.mark.parametrize("mass", [0.0, -1.0, float("nan")])
@pytest.mark.parametrize(("doc", "kind"), [(LIFT, "load_repetition"), (PLANK, "hold"), (RUN, "cyclical")])
def test_a_body_mass_that_is_none_is_refused(doc: dict[str, Any], kind: str, mass: float) -> None:
    """Also where the prior does not scale with it: a caller's mistake is not passed over."""
    with pytest.raises(ValueError, match="body_mass_kg"):
        parse_prior(doc, kind).at(mass)


@pytest.mark.parametrize(
    ("doc", "kind", "pointer", "code"),
    [
        (PLANK, "load_repetition", "/kind", "wrong_kind"),
        (LIFT, "hold", "/kind", "missing_field"),
        (without(PLANK, "kind"), "hold", "/kind", "missing_field"),
        (PLANK, "cyclical", "/kind", "wrong_kind"),
        ({**PLANK, "kind": ["hold"]}, "hold", "/kind", "wrong_kind"),
        ({**PLANK, "l60_kg": 50}, "hold", "", "one_of_two"),
        (without(PLANK, "l60_per_body_mass"), "hold", "", "one_of_two"),
        ({**PLANK, "exponent": 0}, "hold", "/exponent", "out_of_range"),
        ({**PLANK, "l60_sd": float("nan")}, "hold", "/l60_sd", "out_of_range"),
        ({**ROWER, "measure": "cadence"}, "cyclical", "/measure", "unknown_choice"),
        ({**ROWER, "reserve": 12_000}, "cyclical", "", "one_of_two"),
        (without(ROWER, "critical_per_body_mass"), "cyclical", "", "one_of_two"),
        ({**without(RUN, "critical"), "critical_per_body_mass": 0.05}, "cyclical", "/critical_per_body_mass",
         "unknown_field"),
        ({**RUN, "source": ""}, "cyclical", "/source", "wrong_length"),
        ({**RUN, "colour": "red"}, "cyclical", "/colour", "unknown_field"),
        ([], "hold", "", "not_an_object"),
        (None, "cyclical", "", "not_an_object"),
    ],
)  # fmt: skip
def test_a_wrong_prior_is_refused_at_its_place(doc: object, kind: str, pointer: str, code: str) -> None:
    """Each fault has the pointer of its place and a stable code."""
    with pytest.raises(DocumentError) as caught:
        parse_prior(doc, kind)
    assert (pointer, code) in {(problem.pointer, problem.code) for problem in caught.value.problems}


def test_spread_of_the_logarithm() -> None:
    """A coefficient of variation is that of the number, not of its logarithm (lognormal: sqrt(ln(1 + cv^2)))."""
    start = parse_prior(LIFT).at(80.0)
    assert start.log_k_sd == pytest.approx(sqrt(log(1.04)))

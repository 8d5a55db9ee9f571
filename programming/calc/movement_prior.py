"""What is taken of people in general in a movement, by the kind of capacity that is kept for it.

load_repetition: the load for ten repetitions and the fall-off per repetition (programming.calc.prior).
hold: seconds to failure fall with the load by a power law, t = 60 (L60 / L)^(1/e): Frey-Law & Avin 2010
    (Ergonomics 53:109-129; t = b0 TL^b1, so e = -1/b1; b1 = -1.98 over all joints, read in secondary texts).
cyclical: a critical power [W] with a reserve W' [J], or a critical speed [m/s] with a reserve D' [m].
none: nothing is known; jumps, skills, Olympic lifts.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import log, log1p, sqrt
from typing import Final, Literal, TypeAlias, overload

from programming.calc.prior import Prior
from programming.calc.reader import MISSING, Reader

LOAD_REPETITION: Final = "load_repetition"
HOLD: Final = "hold"
CYCLICAL: Final = "cyclical"
NO_CAPACITY: Final = "none"
CAPACITY_KINDS: Final = (LOAD_REPETITION, HOLD, CYCLICAL, NO_CAPACITY)
POWER: Final = "power"
SPEED: Final = "speed"
MEASURES: Final = frozenset({POWER, SPEED})

MAX_SOURCE: Final = 500


@dataclass(frozen=True, kw_only=True)
class MovementPrior:
    """Load and repetitions: the typical load for ten repetitions, its spread, the fall-off.

    Exactly one of l10_per_body_mass [kg per kg] and l10_kg is given; it is the effective load itself,
    asymptote included. l10_sd is the SD of its natural logarithm between people; k the median fall-off per
    repetition, k_cv its coefficient of variation; `source` says where the numbers come from.
    """

    l10_per_body_mass: float | None
    l10_kg: float | None
    l10_sd: float
    k: float
    k_cv: float
    asymptote_share: float
    source: str

    def at(self, body_mass_kg: float) -> Prior:
        """The normal priors for a person of this body mass. Raises ValueError unless it is positive."""
        l10_kg = _scaled(self.l10_per_body_mass, self.l10_kg, body_mass_kg)
        return Prior(log(l10_kg), self.l10_sd, log(self.k), _log_sd(self.k_cv), self.asymptote_share)


@dataclass(frozen=True)
class HoldStart:
    """Normal priors of ln L60 (L60 in kg, the effective load that is held for 60 s) and ln e, independent."""

    log_l60: float
    log_l60_sd: float
    log_exponent: float
    log_exponent_sd: float


@dataclass(frozen=True, kw_only=True)
class HoldPrior:
    """Holds: the typical load that is held for sixty seconds, its spread, the exponent of the power law.

    Exactly one of l60_per_body_mass [kg per kg] and l60_kg is given. l60_sd is the SD of ln L60 between
    people; exponent e in ln t = ln 60 + (ln L60 - ln L) / e, exponent_cv its coefficient of variation.
    """

    l60_per_body_mass: float | None
    l60_kg: float | None
    l60_sd: float
    exponent: float
    exponent_cv: float
    source: str

    def at(self, body_mass_kg: float) -> HoldStart:
        """The normal priors for a person of this body mass. Raises ValueError unless it is positive."""
        l60_kg = _scaled(self.l60_per_body_mass, self.l60_kg, body_mass_kg)
        return HoldStart(log(l60_kg), self.l60_sd, log(self.exponent), _log_sd(self.exponent_cv))


@dataclass(frozen=True)
class CyclicalStart:
    """Normal priors of the logarithms of critical power [W] and W' [J], or critical speed [m/s] and D' [m]."""

    measure: str
    log_critical: float
    log_critical_sd: float
    log_reserve: float
    log_reserve_sd: float


@dataclass(frozen=True, kw_only=True)
class CyclicalPrior:
    """Cyclical work: what can be kept up, and what can be spent above it.

    measure "power": critical in W (or W per kg of body mass), reserve in J (or J per kg); measure "speed":
    critical in m/s, reserve in m. Exactly one of each pair is given; the SDs are of natural logarithms
    between people.
    """

    measure: str
    critical_per_body_mass: float | None
    critical: float | None
    critical_sd: float
    reserve_per_body_mass: float | None
    reserve: float | None
    reserve_sd: float
    source: str

    def at(self, body_mass_kg: float) -> CyclicalStart:
        """The normal priors for a person of this body mass. Raises ValueError unless it is positive."""
        critical = _scaled(self.critical_per_body_mass, self.critical, body_mass_kg)
        reserve = _scaled(self.reserve_per_body_mass, self.reserve, body_mass_kg)
        return CyclicalStart(self.measure, log(critical), self.critical_sd, log(reserve), self.reserve_sd)


AnyPrior: TypeAlias = MovementPrior | HoldPrior | CyclicalPrior


def _scaled(per_body_mass: float | None, fixed: float | None, body_mass_kg: float) -> float:
    if not body_mass_kg > 0.0:
        raise ValueError(f"body_mass_kg must be positive, got {body_mass_kg!r}")
    value = fixed if per_body_mass is None else per_body_mass * body_mass_kg
    assert value is not None  # parse_prior lets exactly one of the two through
    return value


def _log_sd(cv: float) -> float:
    """SD of the logarithm of a lognormal with this coefficient of variation."""
    return sqrt(log1p(cv**2))


@overload
def parse_prior(doc: object, kind: Literal["load_repetition"] = ...) -> MovementPrior: ...
@overload
def parse_prior(doc: object, kind: Literal["hold"]) -> HoldPrior: ...
@overload
def parse_prior(doc: object, kind: Literal["cyclical"]) -> CyclicalPrior: ...
@overload
def parse_prior(doc: object, kind: str) -> AnyPrior: ...
def parse_prior(doc: object, kind: str = LOAD_REPETITION) -> AnyPrior:
    """Validate a movement's prior of this kind of capacity.

    Raises DocumentError listing every problem with its JSON pointer, and ValueError for a kind that has no
    prior.
    """
    reader = Reader()
    if kind == LOAD_REPETITION:
        prior: AnyPrior = _load_repetition(reader, doc)
    elif kind == HOLD:
        prior = _hold(reader, doc)
    elif kind == CYCLICAL:
        prior = _cyclical(reader, doc)
    else:
        raise ValueError(f"there is no prior of the kind {kind!r}")
    reader.finish()
    return prior


def prior_or_none(doc: object, kind: str) -> AnyPrior | None:
    """The prior of a movement as it is stored; None where the kind has none. Raises DocumentError."""
    return None if kind == NO_CAPACITY else parse_prior(doc, kind)


def _load_repetition(reader: Reader, doc: object) -> MovementPrior:
    fields = reader.mapping(
        doc,
        "",
        required=("l10_sd", "k", "k_cv", "source"),
        optional=("kind", "l10_per_body_mass", "l10_kg", "asymptote_share"),
    )
    _kind(reader, fields, LOAD_REPETITION)
    relative, fixed = _pair(reader, fields, ("l10_per_body_mass", 10.0), ("l10_kg", 1000.0))
    share = fields["asymptote_share"]
    return MovementPrior(
        l10_per_body_mass=relative,
        l10_kg=fixed,
        l10_sd=_number(reader, fields, "l10_sd", 0.01, 3.0),
        k=_number(reader, fields, "k", 0.0005, 0.5),
        k_cv=_number(reader, fields, "k_cv", 0.01, 1.0),
        asymptote_share=0.0 if share is MISSING else _number(reader, fields, "asymptote_share", 0.0, 0.9),
        source=_source(reader, fields),
    )


def _hold(reader: Reader, doc: object) -> HoldPrior:
    fields = reader.mapping(
        doc,
        "",
        required=("kind", "l60_sd", "exponent", "exponent_cv", "source"),
        optional=("l60_per_body_mass", "l60_kg"),
    )
    _kind(reader, fields, HOLD)
    relative, fixed = _pair(reader, fields, ("l60_per_body_mass", 10.0), ("l60_kg", 1000.0))
    return HoldPrior(
        l60_per_body_mass=relative,
        l60_kg=fixed,
        l60_sd=_number(reader, fields, "l60_sd", 0.01, 3.0),
        exponent=_number(reader, fields, "exponent", 0.05, 5.0),
        exponent_cv=_number(reader, fields, "exponent_cv", 0.01, 1.0),
        source=_source(reader, fields),
    )


def _cyclical(reader: Reader, doc: object) -> CyclicalPrior:
    fields = reader.mapping(
        doc,
        "",
        required=("kind", "measure", "critical_sd", "reserve_sd", "source"),
        optional=("critical_per_body_mass", "critical", "reserve_per_body_mass", "reserve"),
    )
    _kind(reader, fields, CYCLICAL)
    measure = reader.choice(fields["measure"], "/measure", MEASURES)
    # A speed is not scaled by the body mass: nobody runs twice as fast for weighing twice as much.
    if measure == SPEED:
        for name in ("critical_per_body_mass", "reserve_per_body_mass"):
            if fields[name] is not MISSING:
                reader.note(f"/{name}", "unknown_field", "A speed is not given per body mass.")
    critical = _pair(reader, fields, ("critical_per_body_mass", 15.0), ("critical", 1500.0))
    reserve = _pair(reader, fields, ("reserve_per_body_mass", 2000.0), ("reserve", 200_000.0))
    return CyclicalPrior(
        measure=measure,
        critical_per_body_mass=critical[0],
        critical=critical[1],
        critical_sd=_number(reader, fields, "critical_sd", 0.01, 3.0),
        reserve_per_body_mass=reserve[0],
        reserve=reserve[1],
        reserve_sd=_number(reader, fields, "reserve_sd", 0.01, 3.0),
        source=_source(reader, fields),
    )


def _kind(reader: Reader, fields: Mapping[str, object], kind: str) -> None:
    value = fields["kind"]
    if value is not MISSING and value != kind:
        reader.note("/kind", "wrong_kind", f"The movement's capacity is of the kind {kind}.")


def _number(reader: Reader, fields: Mapping[str, object], name: str, least: float, most: float) -> float:
    return reader.number(fields[name], f"/{name}", least=least, most=most)


def _pair(
    reader: Reader, fields: Mapping[str, object], *bounds: tuple[str, float]
) -> tuple[float | None, float | None]:
    """Exactly one of two fields, each positive and at most its bound."""
    before = len(reader.problems)
    first, second = (
        reader.optional_number(fields[name], f"/{name}", least=0.001, most=most) for name, most in bounds
    )
    if len(reader.problems) == before and (first is None) == (second is None):
        reader.note("", "one_of_two", f"Give either `{bounds[0][0]}` or `{bounds[1][0]}`.")
    return first, second


def _source(reader: Reader, fields: Mapping[str, object]) -> str:
    return reader.text(fields["source"], "/source", least=1, most=MAX_SOURCE)

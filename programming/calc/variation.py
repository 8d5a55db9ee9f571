"""A movement's variation as the calculation sees it, and one concrete way to perform it."""

import math
from dataclasses import dataclass

ADJUSTABLE = frozenset({"load", "assistance", "height"})
LARGEST_FRACTION = 1.2

REPETITIONS = "repetitions"
HOLD_SECONDS = "hold_s"
DISTANCE = "distance_m"
ENERGY = "energy_kcal"
UNITS = (REPETITIONS, HOLD_SECONDS, DISTANCE, ENERGY)
DEFAULT_REPETITION_S = 2.0
"""Of one repetition at a working pace: common practice, no source."""
MOST_IMPLEMENTS = 2
DEFAULT_ECCENTRIC = 0.5
"""As much of the work brakes the load as lifts it; ours, for what goes up and down at one pace."""


@dataclass(frozen=True, kw_only=True)
class Variation:
    """One rung of a movement's ladder.

    body_mass_fraction is the share f of the body mass that is moved (0 for barbell, dumbbell and machine
    curves); height_fractions are measured (height_cm, f) pairs, hands raised positive, ascending, empty when
    the height does not matter; external_share is the share of an external load that the lever leaves.
    load_item, assistance_item and height_item name the kit items that offer the settings; `needs` names what
    must be there in any case; `required` names the adjustable settings that are never left out (a goblet
    squat without the weight is another variation). implements: how many of the load item are held at once, one in
    each hand; a load is always that of all together.

    counted_in: the units in which an amount of it can be given, of UNITS; repetition_s: typical seconds of one
    repetition at a working pace; eccentric: 0 to 1, how much of the work brakes a load (lowering-heavy work
    high, cyclical and lifting-only work 0); work_j_per_kcal: mechanical work [J] per kilocalorie that the
    machine displays; power_per_cubed_speed: c of P = c v^3 [W, m/s] of an air-braked machine, both None where
    there is no such display. Raises ValueError when a field contradicts another or leaves its range.
    """

    key: str
    movement: str
    rung: int
    body_mass_fraction: float
    height_fractions: tuple[tuple[float, float], ...] = ()
    external_share: float = 1.0
    adjustable: frozenset[str] = frozenset()
    required: frozenset[str] = frozenset()
    load_item: str | None = None
    implements: int = 1
    assistance_item: tuple[str, ...] = ()
    height_item: str | None = None
    needs: frozenset[str] = frozenset()
    hazards: frozenset[str] = frozenset()
    muscle_groups: tuple[tuple[str, float], ...] = ()
    curve_applies: bool = True
    fraction_source: str = ""
    counted_in: tuple[str, ...] = UNITS[:1]
    repetition_s: float = DEFAULT_REPETITION_S
    eccentric: float = DEFAULT_ECCENTRIC
    work_j_per_kcal: float | None = None
    power_per_cubed_speed: float | None = None

    def __post_init__(self) -> None:
        self._check_amounts()
        self._check_fractions()
        self._check_adjustable()
        for name, weight in self.muscle_groups:
            if not (math.isfinite(weight) and weight > 0.0):
                raise ValueError(f"weight of muscle group {name!r} must be positive, got {weight!r}")

    def _check_amounts(self) -> None:
        if not self.counted_in or not set(self.counted_in) <= set(UNITS):
            raise ValueError(f"{self.key}: counted_in must name units of {UNITS}, got {self.counted_in}")
        if not (math.isfinite(self.repetition_s) and self.repetition_s > 0.0):
            raise ValueError(f"{self.key}: repetition_s must be positive, got {self.repetition_s!r}")
        if not 0.0 <= self.eccentric <= 1.0:
            raise ValueError(f"{self.key}: eccentric must lie in 0 to 1, got {self.eccentric!r}")
        for name in ("work_j_per_kcal", "power_per_cubed_speed"):
            value = getattr(self, name)
            if value is not None and not (math.isfinite(value) and value > 0.0):
                raise ValueError(f"{self.key}: {name} must be positive, got {value!r}")
        if ENERGY in self.counted_in and self.work_j_per_kcal is None:
            raise ValueError(f"{self.key}: energy can be counted only with work_j_per_kcal")

    def _check_fractions(self) -> None:
        for fraction in (self.body_mass_fraction, *(share for _, share in self.height_fractions)):
            if not 0.0 <= fraction <= LARGEST_FRACTION:
                raise ValueError(f"body-mass fraction must lie in 0 to {LARGEST_FRACTION}, got {fraction!r}")
        if not 0.0 <= self.external_share <= LARGEST_FRACTION:
            share = self.external_share
            raise ValueError(f"external_share must lie in 0 to {LARGEST_FRACTION}, got {share!r}")
        heights = [height for height, _ in self.height_fractions]
        if heights != sorted(set(heights)) or not all(math.isfinite(height) for height in heights):
            raise ValueError(f"height_fractions must ascend strictly in height, got {heights}")

    def _check_adjustable(self) -> None:
        if unknown := self.adjustable - ADJUSTABLE:
            raise ValueError(f"unknown adjustable settings {sorted(unknown)}")
        if self.required - self.adjustable:
            raise ValueError(f"{self.key}: a required setting must be adjustable")
        if "load" in self.adjustable and self.load_item is None:
            raise ValueError(f"{self.key}: an adjustable load needs a load_item")
        if not 1 <= self.implements <= MOST_IMPLEMENTS:
            raise ValueError(f"{self.key}: implements must be 1 to {MOST_IMPLEMENTS}, got {self.implements}")
        if "assistance" in self.adjustable and not self.assistance_item:
            raise ValueError(f"{self.key}: adjustable assistance needs an assistance_item")
        if "height" in self.adjustable and (self.height_item is None or not self.height_fractions):
            raise ValueError(f"{self.key}: an adjustable height needs a height_item and height_fractions")


@dataclass(frozen=True)
class Option:
    """A variation with concrete settings; None: the setting is not used.

    effective_kg is positive, and 0 only where no load is moved: a machine whose metres or energy count.
    """

    variation_key: str
    load_kg: float | None
    assistance_kg: float | None
    height_cm: float | None
    effective_kg: float

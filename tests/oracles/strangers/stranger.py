"""A person of the three populations: strength, curve, fatigue and noise, each of a kind of its own."""

from dataclasses import dataclass, field, replace
from typing import Protocol

from numpy.random import Generator


@dataclass(frozen=True)
class Form:
    """A day of a person. Mean counts beyond the first repetition are multiplied by `endurance`, the one-repetition
    maximum by `strength`; `reluctance` is the repetitions that are left undone out of ill humour."""

    strength: float = 1.0
    endurance: float = 1.0
    reluctance: float = 0.0


class Curve(Protocol):
    """Mean whole repetitions of a fresh set to failure."""

    def reps(self, movement: str, share: float) -> float:
        """Mean count (1 at the one-repetition maximum) at a load of `share`, in (0, 1], of that maximum."""


class Fatigue(Protocol):
    """Deterministic fatigue; a state is changed in place and belongs to one session."""

    def fresh(self) -> dict[str, list[float]]:
        """A rested state of every movement."""

    def remaining(self, state: dict, movement: str, share: float, reps: float) -> float:
        """Mean repetitions left in a set at `share` of the maximum, whose fresh count is `reps`."""

    def work(
        self, state: dict, movement: str, share: float, reps: float, cost: float, seconds: float
    ) -> None:
        """Tire by `cost` repetitions of such a set; what does not work recovers for `seconds`."""

    def rest(self, state: dict, seconds: float) -> None:
        """Recover everywhere."""


class Noise(Protocol):
    def forms(self, rng: Generator, days: list[float]) -> list[Form]:
        """The form on each of the days, which count from the first session and ascend."""

    def error(self, rng: Generator, expected: float, form: Form) -> float:
        """Repetitions added to an expected count before it is cut to whole ones."""


class NoNoise:
    """Every day the same, every set as expected."""

    def forms(self, rng, days):
        return [Form()] * len(days)

    def error(self, rng, expected, form):
        return 0.0


@dataclass(frozen=True)
class Stranger:
    """`maximum_kg`: one-repetition maximum at ordinary form; `pace_s`: seconds of an unhurried repetition."""

    population: str
    sex: str
    maximum_kg: dict[str, float]
    pace_s: float
    curve: Curve = field(repr=False)
    fatigue: Fatigue = field(repr=False)
    noise: Noise = field(repr=False)

    def share(self, movement, load_kg, form):
        """Load as a part of the maximum of that day."""
        return load_kg / (self.maximum_kg[movement] * form.strength)

    def fresh_count(self, movement, load_kg, form):
        """Mean repetitions of a fresh set to failure on a day of that form; beyond the maximum 1 falls to 0 within
        5 % (invented: nobody counts there)."""
        share = self.share(movement, load_kg, form)
        if share >= 1.0:
            return max(0.0, 1.0 - 20.0 * (share - 1.0))
        return 1.0 + (self.curve.reps(movement, share) - 1.0) * form.endurance

    def load_for(self, movement, reps):
        """Load in kg of which the mean fresh count at ordinary form is `reps`, by bisection over 50–100 %."""
        low, high = 0.5, 1.0
        for _ in range(50):
            middle = (low + high) / 2
            if self.curve.reps(movement, middle) > reps:
                low = middle
            else:
                high = middle
        return self.maximum_kg[movement] * (low + high) / 2

    def calm(self):
        """The same person without noise."""
        return replace(self, noise=NoNoise())

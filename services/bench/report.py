"""Rows of measurements, and whether they stay within their limits."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Limit:
    """A number that must not be passed: upwards, or (at_least) downwards."""

    name: str
    value: float
    limit: float
    unit: str
    at_least: bool = False

    @property
    def holds(self) -> bool:
        return self.value >= self.limit if self.at_least else self.value <= self.limit

    def __str__(self) -> str:
        sign = "≥" if self.at_least else "≤"
        verdict = "ok" if self.holds else "MISSED"
        return f"{verdict:<7}{self.name}: {self.value:.3g} {self.unit} ({sign} {self.limit:g})"


@dataclass
class Report:
    """Prints as it goes; keeps the limits for the end."""

    out: Any
    limits: list[Limit] = field(default_factory=list)

    def title(self, text: str) -> None:
        self._write(f"\n{text}")

    def row(self, name: str, text: str) -> None:
        self._write(f"  {name:<46}{text}")

    def note(self, text: str) -> None:
        self._write(f"  {text}")

    def limit(self, name: str, value: float, limit: float, unit: str, *, at_least: bool = False) -> None:
        self.limits.append(Limit(name, value, limit, unit, at_least))

    def close(self) -> bool:
        """Print every limit; whether all of them hold."""
        self.title("Limits")
        for one in self.limits:
            self.note(str(one))
        return all(one.holds for one in self.limits)

    def _write(self, text: str) -> None:
        self.out.write(text)
        self.out.flush()

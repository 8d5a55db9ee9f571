"""Reading settings: each has a type and a range, and a bad one stops the start with its name, never its value.

The value is left out because it may be a secret that got into the wrong variable.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import environ
from django.core.exceptions import ImproperlyConfigured

YES = frozenset({"true", "1", "yes", "on"})
NO = frozenset({"false", "0", "no", "off"})
SEE = "see README.md, Settings."


@dataclass(frozen=True)
class Reader:
    """Settings out of a mapping of variables. A variable that is empty counts as not set.

    Each method raises `ImproperlyConfigured` for a value that is not of its kind.
    """

    variables: Mapping[str, str]

    def text(self, name: str, default: str = "") -> str:
        return self.variables.get(name, "").strip() or default

    def required(self, name: str) -> str:
        value = self.text(name)
        if not value:
            raise ImproperlyConfigured(f"Set the environment variable {name}; {SEE}")
        return value

    def names(self, name: str, default: Sequence[str]) -> list[str]:
        """A list, separated by commas."""
        parts = [part.strip() for part in self.text(name).split(",")]
        return [part for part in parts if part] or list(default)

    def flag(self, name: str, default: bool) -> bool:
        value = self.text(name).lower()
        if value and value not in YES | NO:
            raise ImproperlyConfigured(f"{name} must be true or false; {SEE}")
        return value in YES if value else default

    def whole(self, name: str, default: int, *, low: int, high: int) -> int:
        """A whole number from `low` to `high`."""
        value = self.text(name)
        if not value:
            return default
        digits = value.removeprefix("-")
        if not (digits.isascii() and digits.isdigit() and len(digits) <= 12 and low <= int(value) <= high):
            raise ImproperlyConfigured(f"{name} must be a whole number from {low} to {high}; {SEE}")
        return int(value)

    def number(self, name: str, default: float, *, low: float, high: float) -> float:
        """A number from `low` to `high`."""
        value = self.text(name)
        if not value:
            return default
        try:
            found = float(value)
        except ValueError:
            found = math.nan
        if not low <= found <= high:
            raise ImproperlyConfigured(f"{name} must be a number from {low:g} to {high:g}; {SEE}")
        return found

    def database(self, name: str, *, pool_size: int = 0) -> dict[str, Any]:
        """The connection that a postgres:// address describes; with a pool of `pool_size` when that is not 0."""
        address = self.required(name)
        wrong = ImproperlyConfigured(
            f"{name} must be an address postgres://…, of PostgreSQL 15 or newer; {SEE}"
        )
        if not address.startswith(("postgres://", "postgresql://")):
            raise wrong
        try:
            config = dict(environ.Env.db_url_config(address))
        except ValueError:
            raise wrong from None  # its message may hold the password
        if not config.get("NAME"):
            raise wrong
        config |= {"CONN_MAX_AGE": 0 if pool_size else 60, "CONN_HEALTH_CHECKS": True}
        config["OPTIONS"] = {"connect_timeout": 5, "server_side_binding": True, "prepare_threshold": 3}
        if pool_size:
            config["OPTIONS"]["pool"] = {"min_size": min(2, pool_size), "max_size": pool_size, "timeout": 5}
        return config

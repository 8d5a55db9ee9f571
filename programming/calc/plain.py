"""Objects of plain values as dictionaries: what is stored of them as JSON.

As dataclasses.asdict, which copies deeply whatever it does not know; that was a tenth of what it costs to prescribe.
Here nothing is copied that nobody changes: numbers, texts, and what else is no object, list or dictionary.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import lru_cache
from typing import Any


def as_plain(of: object) -> dict[str, Any]:
    """The fields of an object by name, of those within it too. Raises TypeError for what is no dataclass instance."""
    kind: Any = type(of)
    names = _names(kind)
    if names is None:
        raise TypeError(f"{kind.__name__} is no dataclass")
    return {name: _plain(getattr(of, name)) for name in names}


def _plain(value: Any) -> Any:
    kind: Any = type(value)
    if kind is float or kind is str or value is None or kind is bool or kind is int:  # most of them
        return value
    names = _names(kind)
    if names is not None:
        return {name: _plain(getattr(value, name)) for name in names}
    if kind is tuple or kind is list:
        return kind(_plain(one) for one in value)
    if kind is dict:
        return {key: _plain(one) for key, one in value.items()}
    return value


@lru_cache(maxsize=256)
def _names(kind: Any) -> tuple[str, ...] | None:
    return tuple(one.name for one in fields(kind)) if is_dataclass(kind) else None

"""What is stored of objects is what the standard library would make of them."""

from __future__ import annotations

from dataclasses import asdict, dataclass

import pytest

from programming.calc.plain import as_plain


@dataclass(frozen=True)
class Inner:
    number: float
    name: str | None = None


@dataclass(frozen=True)
class Outer:
    one: Inner
    many: tuple[Inner, ...]
    listed: list[Inner]
    by_name: dict[str, Inner]
    numbers: tuple[float | None, ...] = (1.0, None)
    flag: bool = True
    count: int = 3


def test_everything_within_is_made_plain_as_well() -> None:
    outer = Outer(Inner(1.5), (Inner(2.0, "two"), Inner(3.0)), [Inner(4.0)], {"five": Inner(5.0)})
    found = as_plain(outer)
    assert found == asdict(outer)
    assert type(found["many"]) is tuple and type(found["listed"]) is list
    found["listed"].append(None)
    assert outer.listed == [Inner(4.0)]


def test_what_is_no_such_object_is_refused() -> None:
    with pytest.raises(TypeError, match="float is no dataclass"):
        as_plain(1.0)

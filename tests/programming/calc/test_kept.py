"""What is kept with an object that never changes."""

from dataclasses import dataclass, replace

import pytest

from programming.calc.kept import kept


@dataclass(frozen=True)
class Pair:
    """Two numbers."""

    one: int
    other: int


def test_it_is_worked_out_once_for_each_object() -> None:
    """An equal one, and a changed copy, have their own."""
    asked = []

    @kept
    def total(pair: Pair) -> int:
        asked.append(pair)
        return pair.one + pair.other

    pair = Pair(1, 2)
    assert [total(pair), total(pair), total(replace(pair, other=5)), total(Pair(1, 2))] == [3, 3, 6, 3]
    assert len(asked) == 3
    assert (pair, hash(pair)) == (Pair(1, 2), hash(Pair(1, 2)))


def test_two_functions_of_one_object_keep_apart() -> None:
    """Also where they have the same name in other places."""

    def made(factor: int) -> object:
        @kept
        def scaled(pair: Pair) -> int:
            return factor * pair.one

        return scaled

    pair = Pair(3, 0)
    assert made(1)(pair) == 3  # type: ignore[operator]
    assert made(2)(pair) == 6  # type: ignore[operator]


def test_what_raises_is_asked_again() -> None:
    """Nothing is kept of a refusal."""

    @kept
    def share(pair: Pair) -> float:
        return pair.one / pair.other

    pair = Pair(1, 0)
    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            share(pair)

"""What follows from an object that never changes, worked out once and kept with it."""

from collections.abc import Callable
from functools import wraps
from itertools import count
from typing import TypeVar

_numbers = count()
Of = TypeVar("Of")
Found = TypeVar("Found")


def kept(function: Callable[[Of], Found]) -> Callable[[Of], Found]:
    """A function of one frozen object, worked out once for each: like functools.cached_property, for modules above
    that of the object. What is found lives as long as the object, and whoever is given it must not change it.

    A copy by dataclasses.replace begins anew; equality and hash know nothing of what is kept.
    """
    name = f"{function.__module__}.{function.__qualname__} {next(_numbers)}"

    @wraps(function)
    def found(of: Of) -> Found:
        beside: dict[str, Found] = of.__dict__
        if name not in beside:
            beside[name] = function(of)
        return beside[name]

    return found

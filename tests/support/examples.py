"""How many examples a costly property is tried with."""

from hypothesis import settings

USUAL = 40
"""Of a property that does not say how many. The same for the same selection of tests; `thorough` tries 160, others
each time."""


def examples(number: int) -> int:
    """So many in `make test`, more by the profile `thorough`: as the profile's number is to the usual one."""
    return number * settings().max_examples // USUAL

"""How many examples a property is tried with, and how many are drawn by a test that draws them itself."""

from hypothesis import settings

USUAL = 40
"""Of a property that does not say how many. The same for the same selection of tests; `thorough` tries 160, others
each time."""


def examples(number: int) -> int:
    """Of a costly property: half of `number` in `make test`, four times `number` by the profile `thorough`."""
    return usually((number + 1) // 2, thorough=4 * number)


def usually(number: int, *, thorough: int) -> int:
    """So many in `make test`, and so many by the profile `thorough`.

    Not to be asked while tests/conftest.py is imported, which loads the profile.
    """
    return thorough if settings().max_examples > USUAL else number

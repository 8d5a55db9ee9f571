"""How many examples a costly property is tried with."""

from hypothesis import settings

USUAL = 100  # hypothesis' own number, which the profiles of tests/conftest.py multiply


def examples(number: int) -> int:
    """So many in `make test`, more by the profile `thorough`: as the profile's number is to the usual one."""
    return number * settings().max_examples // USUAL

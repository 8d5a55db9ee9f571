"""What does not follow the rules of a block in a set log, in sentences that say what to ask.

keys: the work keys of the items, penalty work last; number: of a set, from 1.
"""

from collections.abc import Sequence

from programming.calc.rule_codes import INTERVALS, SERVED_REST, RuleCodes
from programming.calc.stepper import Place
from scoring.calc.finding import ROUNDING_S, Finding


def out_of_turn(
    codes: RuleCodes, keys: Sequence[str], number: int, item: int, place: Place
) -> Finding | None:
    """A set of an item that has no work left while another one has; None where it is only more than was asked."""
    key, wanted, round_ = keys[item], keys[place.item], place.round + 1
    if codes.order == INTERVALS:
        detail = f"Set {number}: {{0}} is not for interval {round_}; ask in which interval it was done."
        return Finding("wrong_interval", detail, (key,))
    if codes.repeats > 1:
        detail = (
            f"Set {number}: {{0}} is done for round {round_}, {{1}} is not; ask whether a set is missing."
        )
        return Finding("wrong_round", detail, (key, wanted))
    return None


def wrong_order(keys: Sequence[str], number: int, item: int, asked: int, stays_after_break: bool) -> Finding:
    """A set of an item that has work left while it was another one's turn."""
    key, wanted = keys[item], keys[asked]
    if number == 1:
        return Finding("wrong_start", "The first set should be on {0}: ask for the order.", (wanted,))
    if stays_after_break:
        detail = f"Set {number} stays on {{0}} after a break although {{1}} was unfinished."
        return Finding("no_swap", detail, (key, wanted))
    detail = f"Set {number} is on {{0}} while it was the turn of {{1}}: ask for the order."
    return Finding("wrong_order", detail, (key, wanted))


def short_rests(codes: RuleCodes, number: int, rest_s: float, broke: bool, new_round: bool) -> list[Finding]:
    """A rest shorter than what a break, or the end of a round, demands before the set."""
    found = []
    penalty = codes.penalty_s if broke and codes.penalty == SERVED_REST else 0.0
    if rest_s < penalty - ROUNDING_S:
        detail = (
            f"Set {number} begins {rest_s:g} s after a break; {penalty:g} s of rest were to be served first."
        )
        found.append(Finding("penalty_not_served", detail))
    between = codes.rest_between_s if new_round else 0.0
    if rest_s < between - ROUNDING_S:
        detail = f"Set {number} begins a round after {rest_s:g} s of rest; {between:g} s were written."
        found.append(Finding("rest_between_too_short", detail))
    return found


def rest_after_miss(codes: RuleCodes, number: int, rested_s: float, slack_s: float) -> list[Finding]:
    """A rest shorter than a missed interval demands; rested_s: from the end of its work to the set, at most."""
    if codes.penalty != SERVED_REST or rested_s >= codes.penalty_s - slack_s:
        return []
    detail = (
        f"Set {number} begins {max(rested_s, 0.0):g} s after a missed interval;"
        f" {codes.penalty_s:g} s of rest were to be served first."
    )
    return [Finding("penalty_not_served", detail)]


def past_the_end(number: int, seconds: float) -> Finding:
    """Work that goes on when its interval is over."""
    detail = f"Set {number} ends {seconds:g} s after the work of its interval: ask what was in time."
    return Finding("past_interval_end", detail)

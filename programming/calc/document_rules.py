"""Reading the rules of a block: order, break rule, end, what is scored, tie-break."""

from collections.abc import Mapping

from programming.calc.document_work import read_item
from programming.calc.reader import MISSING, Reader
from programming.calc.revision import BlockRules, BreakRule, EndRule, Intervals, Ladder
from programming.calc.rule_codes import BREAK_COUNTS, ENDS, ORDERS, PENALTIES

SCORED = frozenset({
    "time", "repetitions", "rounds", "distance", "energy", "held_time", "load", "volume_load", "intervals",
    "smallest_interval", "none",
})  # fmt: skip
TIE_BREAKS = frozenset({"none", "fewest_breaks", "fewest_misses", "split_time"})
# The setting that belongs to each order; the others are refused there.
SETTING_OF = {"rounds": "rounds", "ladder": "ladder", "intervals": "intervals", "attempts": "attempts"}
OPTIONAL = ("rounds", "rest_between_s", "ladder", "intervals", "attempts", "split")

MAX_PENALTY_S = 600.0
MAX_PENALTY_REPETITIONS = 200
MAX_ROUNDS = 100
MAX_RUNGS = 100
MAX_RUNG = 2000.0
MAX_INTERVALS = 200
MAX_ATTEMPTS = 20
CLOCK_RANGE_S = (30.0, 14_400.0)
INTERVAL_RANGE_S = (5.0, 3600.0)


def read_rules(reader: Reader, value: object, at: str) -> BlockRules:
    """The rules of one block."""
    required = ("order", "break", "end", "scored", "tie_break")
    fields = reader.mapping(value, at, required=required, optional=OPTIONAL)
    order = reader.choice(fields["order"], f"{at}/order", ORDERS.keys())
    _settings_of_order(reader, fields, order, at)
    return BlockRules(
        order=order,
        break_rule=_break_rule(reader, fields["break"], f"{at}/break"),
        end=_end_rule(reader, fields["end"], f"{at}/end"),
        scored=reader.choice(fields["scored"], f"{at}/scored", SCORED),
        tie_break=reader.choice(fields["tie_break"], f"{at}/tie_break", TIE_BREAKS),
        rounds=_rounds(reader, fields["rounds"], f"{at}/rounds", order),
        rest_between_s=_optional(reader, fields["rest_between_s"], f"{at}/rest_between_s", 0.0, 3600.0)
        or 0.0,
        ladder=_ladder(reader, fields["ladder"], f"{at}/ladder"),
        intervals=_intervals(reader, fields["intervals"], f"{at}/intervals"),
        attempts=_count(reader, fields["attempts"], f"{at}/attempts", MAX_ATTEMPTS),
        split=_key(reader, fields["split"], f"{at}/split"),
    )


def _settings_of_order(reader: Reader, fields: Mapping[str, object], order: str, at: str) -> None:
    """Each order has its setting; a ladder may also grow from interval to interval."""
    needed = SETTING_OF.get(order)
    if needed is not None and needed != "rounds" and fields[needed] in (MISSING, None):
        reader.note(f"{at}/{needed}", "missing_field", f"The order {order} needs `{needed}`.")
    allowed = {needed} | ({"ladder"} if order == "intervals" else set())
    for name in SETTING_OF.values():
        if order and name not in allowed and fields[name] not in (MISSING, None):
            reader.note(f"{at}/{name}", "not_in_this_order", f"Remove `{name}`: the order is {order}.")


def _rounds(reader: Reader, value: object, at: str, order: str) -> int | None:
    """Rounds of the order of that name (null: until the end); every other order is done once."""
    if order != "rounds":
        return 1
    return _count(reader, value, at, MAX_ROUNDS)


def _count(reader: Reader, value: object, at: str, most: int) -> int | None:
    return None if value is None or value is MISSING else reader.integer(value, at, least=1, most=most)


def _optional(reader: Reader, value: object, at: str, least: float, most: float) -> float | None:
    return None if value is None or value is MISSING else reader.number(value, at, least=least, most=most)


def _key(reader: Reader, value: object, at: str) -> str | None:
    return None if value is None or value is MISSING else reader.key(value, at)


def _ladder(reader: Reader, value: object, at: str) -> Ladder | None:
    if value is None or value is MISSING:
        return None
    fields = reader.mapping(value, at, required=("amounts",), optional=("then_step",))
    listed = reader.items(fields["amounts"], f"{at}/amounts", least=1, most=MAX_RUNGS)
    amounts = tuple(
        reader.number(entry, f"{at}/amounts/{index}", least=0.0, most=MAX_RUNG, above=True)
        for index, entry in enumerate(listed)
    )
    step = reader.optional_number(fields["then_step"], f"{at}/then_step", least=0.0, most=MAX_RUNG)
    return Ladder(amounts or (1.0,), step)


def _intervals(reader: Reader, value: object, at: str) -> Intervals | None:
    if value is None or value is MISSING:
        return None
    fields = reader.mapping(value, at, required=("every_s",), optional=("count", "work_s", "in_turn"))
    in_turn = fields["in_turn"]
    if in_turn is not MISSING and not isinstance(in_turn, bool):
        reader.note(f"{at}/in_turn", "not_a_boolean", "Send true or false.")
    return Intervals(
        every_s=reader.number(
            fields["every_s"], f"{at}/every_s", least=INTERVAL_RANGE_S[0], most=INTERVAL_RANGE_S[1]
        ),
        count=_count(reader, fields["count"], f"{at}/count", MAX_INTERVALS),
        work_s=_optional(reader, fields["work_s"], f"{at}/work_s", 1.0, INTERVAL_RANGE_S[1]),
        in_turn=in_turn is True,
    )


def _break_rule(reader: Reader, value: object, at: str) -> BreakRule:
    optional = ("penalty_s", "penalty", "penalty_repetitions", "penalty_work", "rest_over_s")
    fields = reader.mapping(value, at, required=("counts",), optional=optional)
    counts = reader.choice(fields["counts"], f"{at}/counts", BREAK_COUNTS.keys())
    if fields["penalty"] is MISSING:
        penalty = "added"
    else:
        penalty = reader.choice(fields["penalty"], f"{at}/penalty", PENALTIES.keys())
    work = fields["penalty_work"]
    repetitions = fields["penalty_repetitions"]
    most = MAX_PENALTY_REPETITIONS
    return BreakRule(
        counts=counts,
        penalty_s=_optional(reader, fields["penalty_s"], f"{at}/penalty_s", 0.0, MAX_PENALTY_S) or 0.0,
        penalty=penalty,
        penalty_repetitions=0
        if repetitions is None or repetitions is MISSING
        else reader.integer(repetitions, f"{at}/penalty_repetitions", least=0, most=most),
        penalty_work=None
        if work is None or work is MISSING
        else read_item(reader, work, f"{at}/penalty_work"),
        rest_over_s=_optional(reader, fields["rest_over_s"], f"{at}/rest_over_s", 0.0, MAX_PENALTY_S),
    )


def _end_rule(reader: Reader, value: object, at: str) -> EndRule:
    fields = reader.mapping(value, at, required=("kind",), optional=("cap_s", "time_s"))
    kind = reader.choice(fields["kind"], f"{at}/kind", ENDS.keys())
    cap, time = (
        _optional(reader, fields[name], f"{at}/{name}", CLOCK_RANGE_S[0], CLOCK_RANGE_S[1])
        for name in ("cap_s", "time_s")
    )
    if kind == "fixed_time" and time is None:
        reader.note(f"{at}/time_s", "missing_field", "Say after how many seconds the block is over.")
    if kind == "fixed_time" and cap is not None:
        reader.note(f"{at}/cap_s", "not_in_this_end", "Remove `cap_s`: the block ends at `time_s`.")
    if kind and kind != "fixed_time" and time is not None:
        reader.note(f"{at}/time_s", "not_in_this_end", "Remove `time_s`, or end the block by fixed_time.")
    return EndRule(kind, cap, time)

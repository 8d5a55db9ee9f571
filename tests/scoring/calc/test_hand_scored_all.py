"""That there is a hand-scored log of every rule: a new rule without one fails here."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from programming.calc.document_rules import SCORED, TIE_BREAKS
from programming.calc.rule_codes import BREAK_COUNTS, ENDS, ORDERS, PENALTIES

LOGS = sorted(set(Path(__file__).parent.glob("test_hand_scored*.py")) - {Path(__file__)})
UNLESS_SAID = {
    "order": "in_sequence",
    "counts": "none",
    "penalty": "added",
    "end": "work_done",
    "tie_break": "none",
}
"""What `block_of` makes of a block whose rules do not say."""


def _given(tree: ast.AST) -> Iterator[tuple[str, ast.expr]]:
    """(name, value) of every argument by name and of every entry of a dictionary."""
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg is not None:
            yield node.arg, node.value
        if isinstance(node, ast.Dict):
            for key, value in zip(node.keys, node.values, strict=True):
                if isinstance(key, ast.Constant) and isinstance(key.value, str):
                    yield key.value, value


def _texts(value: ast.AST) -> set[str]:
    return {
        one.value for one in ast.walk(value) if isinstance(one, ast.Constant) and isinstance(one.value, str)
    }


def said(name: str) -> set[str]:
    """What the blocks of the hand-scored logs say by this name, and what they have without saying it."""
    found = {UNLESS_SAID[name]} if name in UNLESS_SAID else set()
    for path in LOGS:
        for given, value in _given(ast.parse(path.read_text())):
            found |= _texts(value) if given == name else set()
    return found


@pytest.mark.parametrize(
    ("name", "rules"),
    [
        ("order", ORDERS), ("counts", BREAK_COUNTS), ("penalty", PENALTIES), ("end", ENDS), ("tie_break", TIE_BREAKS),
    ],
)  # fmt: skip
def test_every_rule_has_a_log(name, rules):
    assert set(rules) - said(name) == set()


def test_every_score_has_a_log():
    """Some stand in tables of cases, so every text of the logs counts."""
    texts = set().union(*(_texts(ast.parse(path.read_text())) for path in LOGS))
    assert set(SCORED) - texts == set()


def test_what_no_log_says_is_found_missing():
    assert len(LOGS) >= 4
    assert {"order_of_tomorrow", *ORDERS} - said("order") == {"order_of_tomorrow"}

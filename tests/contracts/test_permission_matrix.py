"""Every operation of the document as every caller: who may gets 2xx, who may not changes nothing."""

from __future__ import annotations

import pytest

from services.api.operation import METHODS
from tests.contracts.isolation import rolled_back, send
from tests.contracts.matrix_requests import CASES, operations, request_for
from tests.contracts.matrix_table import ALL, RULES
from tests.contracts.rows import differences, fingerprint
from tests.contracts.stage import INSIDE, OUTSIDE, Stage

# They make something of the caller's own, or are open to whoever has the secret.
IN_OWN_NAME = {
    "sign_in",
    "begin_second_factor",
    "confirm_second_factor",
    "remove_second_factor",
    "change_password",
    "accept_invitation",
    "join_invitation",
    "choose_units",
    "create_token",
    "create_token/organisation",
}


def test_the_table_names_every_operation() -> None:
    """A new operation needs a row in the table, written by a person; a removed one leaves it."""
    assert {case.split("/")[0] for case in RULES} == set(operations())
    assert set(CASES) <= set(RULES)
    writing = {name for name, (method, _) in operations().items() if method in METHODS[1:]}
    silent = {"revoke_token", "retry_change", "revoke_feed", "delete_export"}  # their paths say it all
    assert writing - silent <= set(CASES), "an operation that writes has no prepared request"


def test_the_table_is_consistent() -> None:
    """A caller stands in one place of a rule only, and every name is one of the callers."""
    for case, rule in RULES.items():
        placed = f"{rule.allowed} {rule.inert} {rule.hidden} {rule.unknown}".split()
        assert len(placed) == len(set(placed)), case
        assert set(placed) <= set(INSIDE), case
        assert set(rule.blind.split()) <= set(rule.allowed.split()), case
        assert set(rule.outside) == set(OUTSIDE), case
    assert set(ALL.split()) == set(INSIDE)


@pytest.mark.parametrize("caller", [*INSIDE, *OUTSIDE])
def test_each_operation_by(stage: Stage, caller: str) -> None:
    """Allowed is 2xx; refused is 403, 404, 400 or 401 as the table says, and not one row is another after it."""
    faults, before = [], stage.before()
    reading = {case for case in RULES if operations()[case.split("/")[0]][0] == "GET"}
    with rolled_back():
        for case in sorted(reading):
            faults += _answer(stage, caller, case)[1]
        # Who reads of somebody's health is written down: that alone.
        changed = [
            one for one in differences(before, fingerprint(stage.ours)) if one != "athletes_healthread"
        ]
    if changed:
        faults.append(f"reading changed {', '.join(changed)}")
    for case in sorted(set(RULES) - reading):
        with rolled_back():
            status, wrong = _answer(stage, caller, case)
            changed = differences(before, fingerprint(stage.ours))
        faults += wrong
        stores = caller in RULES[case].allowed.split()
        if changed and not stores and case not in IN_OWN_NAME:
            faults.append(f"{case}: answered {status}, and changed {', '.join(changed)}")
        if stores and not changed and case not in IN_OWN_NAME:
            faults.append(f"{case}: answered {status}, but nothing was stored")
    assert not faults, f"as {caller}:\n" + "\n".join(faults)


def _answer(stage: Stage, caller: str, case: str) -> tuple[int, list[str]]:
    """(status, what is wrong with the answer) of the case as this caller."""
    expected = RULES[case].expected(caller)
    response = send(stage.token(caller), request_for(case, stage.ours))
    text, status = response.content.decode(errors="replace"), response.status_code
    if not (200 <= status < 300 if expected == 200 else status == expected):
        return status, [f"{case}: {status}, expected {expected}: {text[:300]}"]
    return status, _sight(stage, caller, case, text) if RULES[case].subject and expected == 200 else []


def _sight(stage: Stage, caller: str, case: str, text: str) -> list[str]:
    """A list shows its subject to those who may know of it, and to nobody else."""
    rule = RULES[case]
    shown = str(stage.ours.ids[rule.subject]) in text
    wanted = caller in rule.allowed.split() and caller not in rule.blind.split()
    return [] if shown == wanted else [f"{case}: the {rule.subject} is {'' if shown else 'not '}shown"]

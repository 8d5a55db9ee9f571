"""What must not come in: refused with a sentence and a place, nothing stored, never a 500."""

from __future__ import annotations

import pytest

from tests.contracts.bad_blocks import OF_BLOCKS
from tests.contracts.bad_inputs import ALL_BAD, Bad
from tests.contracts.bad_references import FOREIGN
from tests.contracts.isolation import rolled_back
from tests.contracts.rows import differences, fingerprint
from tests.contracts.stage import Stage
from tests.support.api import ApiClient, assert_problem


@pytest.mark.parametrize("bad", [*ALL_BAD, *FOREIGN, *OF_BLOCKS], ids=lambda bad: bad.name)
def test_it_is_refused_with_its_place(stage: Stage, bad: Bad) -> None:
    """The problem names the code, the place and what to do; not one row is another afterwards."""
    method, address, options = bad.sent(stage)
    with rolled_back():
        response = ApiClient(stage.token("coach")).request(method, address, **options)
        changed = differences(stage.before(), fingerprint(stage.ours))
    shown = f"{bad.name}: {method} {address} {str(options)[:500]}"
    assert (response.status_code, response.json().get("code")) == (bad.status, bad.code), (
        f"{shown}\n{response.content.decode()[:1000]}"
    )
    body = assert_problem(response, bad.code, bad.status, at=bad.at)
    if bad.word:
        assert bad.word in [error["code"] for error in body["errors"] if bad.at in error.values()], (
            f"{shown}\n{body}"
        )
    assert all(error["detail"].endswith((".", ")")) for error in body.get("errors", [])), body
    assert changed == [], shown

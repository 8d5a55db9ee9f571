"""How the tests are shared between processes, and in which order.

Loaded with `-p` (pyproject.toml). A file stays in one process. What starts servers and processes of its own goes
together, one after the other, since it mostly waits for them; so does what uses the stage of the permission matrix,
which takes long to make. Both come first, so that at the end only small files are left to share.
"""

from __future__ import annotations

from typing import Any

import pytest
from xdist.scheduler import LoadGroupScheduling

STACK, STAGE, OTHER = range(3)
TOGETHER = {STACK: "stack", STAGE: "stage"}


class Sharing(LoadGroupScheduling):  # type: ignore[misc]  # the library tells no types
    """By group where a test has one, else by file."""

    def _split_scope(self, nodeid: str) -> str:
        group: str = super()._split_scope(nodeid)
        return group if group != nodeid else _file(nodeid)


def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Sharing:
    return Sharing(config, log)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Sort by file: servers of their own, the stage, everything else in its order."""
    ranks: dict[str, int] = {}
    for item in items:
        file = _file(item.nodeid)
        ranks[file] = min(_rank(item), ranks.get(file, OTHER))
    for item in items:
        rank = ranks[_file(item.nodeid)]
        if rank in TOGETHER:
            item.add_marker(pytest.mark.xdist_group(TOGETHER[rank]))
    items.sort(key=lambda item: ranks[_file(item.nodeid)])


def _rank(item: pytest.Item) -> int:
    if item.get_closest_marker("stack"):
        return STACK
    return STAGE if "made_stage" in getattr(item, "fixturenames", ()) else OTHER


def _file(nodeid: str) -> str:
    return nodeid.split("::", 1)[0]

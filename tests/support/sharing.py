"""How the tests are shared between two processes, and in which order.

Loaded with `-p` (pyproject.toml). A file stays in one process. Those that use the stage of the permission matrix stay
together, since making it takes long; they come first, beside what starts servers and processes of its own, so that
at the end only small files are left to share.
"""

from __future__ import annotations

from typing import Any

import pytest
from xdist.scheduler import LoadGroupScheduling

STACK, STAGE, OTHER = range(3)


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
        if ranks[_file(item.nodeid)] == STAGE:
            item.add_marker(pytest.mark.xdist_group("stage"))
    items.sort(key=lambda item: ranks[_file(item.nodeid)])


def _rank(item: pytest.Item) -> int:
    if item.get_closest_marker("stack"):
        return STACK
    return STAGE if "made_stage" in getattr(item, "fixturenames", ()) else OTHER


def _file(nodeid: str) -> str:
    return nodeid.split("::", 1)[0]

from __future__ import annotations

import pytest

from tests.support.api import ApiClient
from tests.support.world import World


@pytest.fixture
def coach(world: World) -> ApiClient:
    """The coach of the module's own `world`, over HTTP."""
    return ApiClient(world.cast.coach.token)

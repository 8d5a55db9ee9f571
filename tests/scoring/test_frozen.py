"""A frozen forecast survives its row."""

import json

import numpy as np

from programming.calc.document import parse_revision
from scoring.calc.forecast import forecast_block, make_scenarios
from scoring.frozen import forecast_from
from tests.support.world import SESSION


def test_what_was_frozen_is_read_back() -> None:
    """to_json, through JSON, and back gives an equal forecast."""
    rng = np.random.default_rng(3)
    fresh = [rng.uniform(8, 30, 64), rng.uniform(15, 50, 64)]
    block = parse_revision(SESSION).blocks[0]
    forecast = forecast_block(block, make_scenarios(fresh, rng.uniform(0.2, 0.9, 64)))
    assert forecast_from(json.loads(json.dumps(forecast.to_json()))) == forecast

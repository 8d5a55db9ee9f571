"""Instances for the OpenAPI document; a test checks them against the schemas."""

from __future__ import annotations

from programming.api.examples import ID, OTHER_ID

UPDATES = {
    "items": [
        {
            "id": ID,
            "key": "wheel_rollout",
            "name": "Rollout with the wheel",
            "pattern": "trunk",
            "differences": [{"field": "prior.l10_sd", "here": "0.5", "shipped": "0.4"}],
            "variations": [
                {
                    "id": OTHER_ID,
                    "key": "wheel_rollout_knees",
                    "name": "Rollout with the wheel from the knees",
                    "differences": [
                        {"field": "eccentric", "here": None, "shipped": "0.6"},
                        {"field": "hazards", "here": "wrist", "shipped": "lower_back, shoulder, wrist"},
                    ],
                },
                {
                    "id": None,
                    "key": "wheel_rollout_feet",
                    "name": "Rollout with the wheel from the feet",
                    "differences": [],
                },
            ],
        }
    ]
}
TAKE_UP = {"movements": ["wheel_rollout"]}
TAKEN_UP = {"movements": ["wheel_rollout"], "variations_added": 1, "versions_added": 1}
EQUIPMENT = {
    "items": [
        {
            "item": "box",
            "settings": ["heights_cm"],
            "needed_by": ["box_jump", "push_up_hands_raised"],
            "used_by": [],
        },
        {"item": "vest", "settings": ["loads_kg"], "needed_by": [], "used_by": ["push_up_floor"]},
    ]
}

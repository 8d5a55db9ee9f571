"""What of a kit is missing is named, not only that something is."""

import pytest

from programming.calc.kit import Kit, KitItem
from programming.catalogue.shipped import shipped_catalogue
from scoring.loadable import missing_items
from scoring.words import ruled_out_said


@pytest.mark.parametrize(
    ("items", "missing"),
    [({"barbell"}, ["rack"]), ({"rack"}, ["barbell"]), ({"barbell", "rack"}, [])],
)
def test_only_what_is_not_there_is_named(items: set[str], missing: list[str]) -> None:
    """A bar that lies there is not missing because its rack is."""
    (movement,) = [one for one in shipped_catalogue() if one.key == "back_squat"]
    squat = movement.variations[0].entry.variation
    kit = Kit({name: KitItem(loads_kg=(20.0,)) for name in items})
    assert missing_items(squat, kit) == missing


def test_it_is_said_by_name() -> None:
    """Of reasons stored before it was kept nothing more is said than was."""
    assert ruled_out_said("equipment_missing:rack,bench") == ("what it needs is not in the kit: rack, bench")
    assert ruled_out_said("equipment_missing") == "what it needs is not in the kit"
    assert ruled_out_said("limit:under_load") == "an active limit (under load)"

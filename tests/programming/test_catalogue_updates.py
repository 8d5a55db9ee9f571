"""Taking up a newer shipped catalogue: seen first, chosen by movement, and nothing that was written changes."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from programming.actions.catalogue import NewMovement, create_movement
from programming.actions.catalogue_updates import catalogue_updates, take_up_catalogue
from programming.calc.document import canonical_hash
from programming.catalogue.difference import Difference, differences
from programming.catalogue.shipped import shipped_catalogue
from programming.models import Movement, Variation, VariationVersion
from programming.plans import variation_entries
from services.changes.actions import LOW_PRIORITY
from services.changes.models import Change
from services.problems import Invalid
from tests.programming.support import base, body, client, placed, published, stocked
from tests.support.api import assert_problem
from tests.support.cast import Cast

SHIPPED = {entry.key: entry for entry in shipped_catalogue()}


def older(cast: Cast, key: str, *, without: str = "", **changes: Any) -> VariationVersion | None:
    """The organisation as it was when this movement was shipped otherwise; the first variation's version."""
    entry = SHIPPED[key]
    movement = Movement.objects.create(
        org=cast.org, key=key, name=entry.name, pattern=entry.pattern, capacity_kind=entry.capacity_kind,
        prior={**entry.prior_document, "l10_sd": 0.5}, origin=entry.origin, origin_hash="0" * 64,
    )  # fmt: skip
    rows = []
    for one in entry.variations:
        if one.key == without:
            continue
        document = {**one.document, **changes}
        variation = Variation.objects.create(org=cast.org, movement=movement, key=one.key, name=one.name)
        rows.append(
            VariationVersion.objects.create(
                org=cast.org, variation=variation, number=1, document=document,
                sha256=canonical_hash(document),
            )
        )  # fmt: skip
    return rows[0] if rows else None


def listed(cast: Cast) -> dict[str, Any]:
    return {one.key: one for one in catalogue_updates(actor=cast.coach.actor)}


def test_with_today_s_catalogue_there_is_nothing_to_take_up(cast: Cast) -> None:
    """Two queries, no entry; taking up everything changes no row."""
    stocked(cast)
    with cast.inside():
        with CaptureQueriesContext(connection) as queries:
            assert catalogue_updates(actor=cast.coach.actor) == ()
        assert len(queries) == 2
        done = take_up_catalogue(actor=cast.coach.actor, movements=list(SHIPPED))
        assert (done.movements, done.variations_added, done.versions_added) == ((), 0, 0)
        assert not Variation.objects.filter(version__gt=1).exists()


def test_what_is_shipped_differently_is_said_by_field(cast: Cast) -> None:
    """The prior's number, the variation's hazards, a rung that is missing here; another movement is new."""
    with cast.inside():
        older(cast, "wheel_rollout", without="wheel_rollout_feet", hazards=["wrist"])
        found = listed(cast)
        assert set(found) == set(SHIPPED)
        one = found["wheel_rollout"]
        assert one.differences == (Difference("prior.l10_sd", "0.5", "0.4"),)
        knees, feet = one.variations
        assert knees.differences == (Difference("hazards", "wrist", "lower_back, shoulder, wrist"),)
        assert (feet.id, feet.key, feet.differences) == (None, "wheel_rollout_feet", ())
        assert found["plank"].id is None
        assert [rung.key for rung in found["plank"].variations] == [
            "plank_knees", "plank", "plank_feet_raised",
        ]  # fmt: skip


def test_taking_up_adds_versions_and_leaves_the_old_ones(cast: Cast) -> None:
    """Chosen movements become what is shipped, others stay; the old version reads as before; twice is once."""
    with cast.inside():
        old = older(cast, "wheel_rollout", without="wheel_rollout_feet", hazards=["wrist"])
        assert old is not None
        older(cast, "leg_press", hazards=["knee"])
        done = take_up_catalogue(actor=cast.coach.actor, movements=["wheel_rollout", "plank"])
        assert (done.movements, done.variations_added, done.versions_added) == (
            ("wheel_rollout", "plank"), 4, 1,
        )  # fmt: skip
        row = Movement.objects.get(key="wheel_rollout")
        assert row.prior == SHIPPED["wheel_rollout"].prior_document
        assert (row.version, row.origin_hash) == (2, SHIPPED["wheel_rollout"].sha256)
        renewed = VariationVersion.objects.get(variation=old.variation, number=2)
        entries = variation_entries([old.id, renewed.id])
        assert entries[old.id].variation.hazards == {"wrist"}
        assert entries[renewed.id].variation.hazards == {"lower_back", "shoulder", "wrist"}
        assert entries[renewed.id].movement.capacity_kind == "load_repetition"
        left = listed(cast)
        assert "wheel_rollout" not in left
        assert "plank" not in left
        assert "leg_press" in left
        again = take_up_catalogue(actor=cast.coach.actor, movements=["wheel_rollout", "plank"])
        assert (again.movements, again.versions_added) == ((), 0)
        assert VariationVersion.objects.filter(variation=old.variation).count() == 2


def test_a_key_of_before_is_kept(cast: Cast) -> None:
    """Who has the squat under its old key keeps it: no second squat, and the key in the document stays."""
    with cast.inside():
        older(cast, "squat", without="body_weight_squat")
        squat = Movement.objects.get(key="squat")
        document = {**_shipped("squat", "body_weight_squat"), "key": "air_squat", "hazards": ["knee"]}
        row = Variation.objects.create(org=cast.org, movement=squat, key="air_squat", name="Squat")
        VariationVersion.objects.create(
            org=cast.org, variation=row, number=1, document=document, sha256=canonical_hash(document)
        )
        stocked(cast)  # a copy of the whole catalogue adds none either
        assert not Variation.objects.filter(key="body_weight_squat").exists()
        done = take_up_catalogue(actor=cast.coach.actor, movements=["squat"])
        assert done.variations_added == 0
        assert not Variation.objects.filter(key="body_weight_squat").exists()
        row.refresh_from_db()
        present = VariationVersion.objects.get(variation=row, number=row.current)
        assert (row.current, present.document["key"]) == (2, "air_squat")
        assert set(present.document["hazards"]) == {"knee", "hip", "ankle"}


def _shipped(movement: str, variation: str) -> dict[str, Any]:
    return dict(next(one.document for one in SHIPPED[movement].variations if one.key == variation))


def test_what_the_organisation_made_itself_stays(cast: Cast) -> None:
    """An own movement under a shipped key is not listed, and asking for it is refused with its place."""
    with cast.inside():
        create_movement(
            actor=cast.coach.actor,
            new=NewMovement("dip", "Our dip", "vertical_push", "none", None),
        )
        assert "dip" not in listed(cast)
        with pytest.raises(Invalid) as caught:
            take_up_catalogue(actor=cast.coach.actor, movements=["plank", "dip", "moonwalk"])
        assert [(error.pointer, error.code) for error in caught.value.errors] == [
            ("#/movements/1", "own_movement"),
            ("#/movements/2", "unknown_movement"),
        ]
        assert not Movement.objects.filter(key="plank").exists()
        assert Movement.objects.get(key="dip").name == "Our dip"


def test_only_sessions_of_the_week_are_asked_for_and_after_everything_else(cast: Cast) -> None:
    """A change row of low priority for a session with the movement; none for one without it."""
    stocked(cast)
    with cast.inside():
        soon = placed(cast, published(cast), cast.harbour, timezone.now() + dt.timedelta(days=3))
        for key in ("horizontal_row", "pull_up"):
            Movement.objects.filter(key=key).update(origin_hash="0" * 64, name="As it was")
        Change.objects.all().delete()
        take_up_catalogue(actor=cast.coach.actor, movements=["pull_up"])
        assert not Change.objects.exists()
        take_up_catalogue(actor=cast.coach.actor, movements=["horizontal_row"])
        assert [(c.kind, c.subject, c.priority) for c in Change.objects.all()] == [
            ("session", soon.id, LOW_PRIORITY)
        ]


def test_over_http(cast: Cast) -> None:
    """Read by coaches, taken up by them; nobody else; a body that cannot be meant has its place."""
    with cast.inside():
        older(cast, "wheel_rollout", hazards=["wrist"])
    path, coach = f"{base(cast)}/catalogue-updates", client(cast.coach)
    first = {one["key"]: one for one in body(coach.get(path))["items"]}
    assert first["wheel_rollout"]["variations"][0]["differences"][0]["field"] == "hazards"
    done = body(coach.post(path, {"movements": ["wheel_rollout"]}))
    assert done == {"movements": ["wheel_rollout"], "variations_added": 0, "versions_added": 2}
    for member in (cast.staff, cast.athlete):
        assert_problem(client(member).get(path), "forbidden", 403)
        assert_problem(client(member).post(path, {"movements": ["plank"]}), "forbidden", 403)
    assert_problem(coach.post(path, {"movements": []}), "invalid_input", 400, at="#/movements")
    wrong = coach.post(path, {"movements": ["plank", "\u00e9"]})
    assert_problem(wrong, "invalid_input", 400, at="#/movements/1")


@pytest.mark.parametrize(
    ("here", "shipped", "expected"),
    [
        ({}, {}, ()),
        ({"needs": []}, {}, ()),
        ({"needs": ["a", "b"]}, {"needs": ["b", "a"]}, ()),
        ({"rung": 1}, {"rung": 1.0}, ()),
        ({"key": "a", "movement": "b"}, {"key": "c"}, ()),
        ({"rung": 1}, {"rung": 2}, (Difference("rung", "1", "2"),)),
        ({"curve_applies": True}, {"curve_applies": False}, (Difference("curve_applies", "yes", "no"),)),
        ({"curve_applies": True}, {"curve_applies": 1}, (Difference("curve_applies", "yes", "1"),)),
        ({}, {"eccentric": 0}, (Difference("eccentric", None, "0"),)),
        ({"height_fractions": [[0, 0.64]]}, {"height_fractions": [[0, 0.64], [30, 0.5]]},
         (Difference("height_fractions", "0 cm: 0.64", "0 cm: 0.64; 30 cm: 0.5"),)),
        ({"muscle_groups": {"chest": 1, "lats": 0.5}}, {"muscle_groups": {"lats": 0.5, "chest": 0.9}},
         (Difference("muscle_groups", "chest 1, lats 0.5", "chest 0.9, lats 0.5"),)),
    ],
)  # fmt: skip
def test_differences_in_words(
    here: dict[str, Any], shipped: dict[str, Any], expected: tuple[Difference, ...]
) -> None:
    """Each field that says something else, in words; what says the same in another form is none."""
    assert differences(here, shipped) == expected


@pytest.mark.parametrize("entry", SHIPPED.values(), ids=lambda entry: entry.key)
def test_every_change_of_a_shipped_document_is_seen(entry: Any) -> None:
    """Leaving out any field, or the whole document, is told; a document does not differ from itself."""
    for one in entry.variations:
        assert differences(one.document, one.document) == ()
        for name, value in one.document.items():
            rest = {key: kept for key, kept in one.document.items() if key != name}
            told = {difference.field for difference in differences(rest, one.document)}
            assert told == (set() if name in ("key", "movement") or value in ([], {}) else {name})

"""The catalogue of an organisation: a copy that it owns, its own entries, versions that never change."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from programming.actions.catalogue import (
    NewMovement,
    add_variation_version,
    create_movement,
    create_variation,
    install_catalogue,
)
from programming.catalogue.shipped import shipped_catalogue
from programming.errors import KeyTaken
from programming.models import Movement, Variation, VariationVersion
from programming.plans import variation_entries, variations_of_movements
from programming.queries import session_ids_with_movement
from services.changes.actions import LOW_PRIORITY
from services.changes.models import Change
from services.problems import Invalid, PreconditionFailed
from tests.programming.support import placed, published, stocked
from tests.programming.test_drafts import with_penalty
from tests.support.cast import Cast, make_cast

PRIOR = {"l10_kg": 30, "l10_sd": 0.4, "k": 0.024, "k_cv": 0.2, "source": "estimate"}
DOCUMENT: dict[str, Any] = {
    "rung": 1,
    "body_mass_fraction": 0,
    "fraction_source": "external load alone",
    "standard": "Upper arms touch the floor, then elbows straight.",
    "adjustable": ["load"],
    "required": ["load"],
    "load_item": "dumbbell",
    "needs": ["dumbbell"],
    "muscle_groups": {"chest": 1},
}


def floor_press(cast: Cast, **changes: Any) -> Movement:
    fields: dict[str, Any] = {
        "key": "floor_press",
        "name": "Floor press",
        "pattern": "horizontal_push",
        "capacity_kind": "load_repetition",
        "prior": PRIOR,
    }
    return create_movement(actor=cast.coach.actor, new=NewMovement(**{**fields, **changes}))


def test_installing_copies_the_catalogue_with_its_origin(cast: Cast) -> None:
    """Every shipped movement and variation is there once, owned, with origin and hash."""
    shipped = shipped_catalogue()
    with cast.inside():
        done = install_catalogue(org=cast.org)
        assert done.movements == Movement.objects.count() == len(shipped)
        assert done.variations == Variation.objects.count() == VariationVersion.objects.count()
        row = Movement.objects.get(key="push_up")
        entry = next(entry for entry in shipped if entry.key == "push_up")
        assert (row.org_id, row.origin, row.origin_hash) == (cast.org.id, "shipped:push_up", entry.sha256)


def test_installing_twice_is_installing_once_and_costs_few_queries(cast: Cast) -> None:
    """The second run adds nothing; neither run costs a query for each row."""
    with cast.inside():
        with CaptureQueriesContext(
            connection,
        ) as first:
            install_catalogue(org=cast.org)
        assert len([q for q in first if "SAVEPOINT" not in q["sql"]]) <= 6
        before = set(VariationVersion.objects.values_list("id", flat=True))
        again = install_catalogue(org=cast.org)
        assert (again.movements, again.variations, again.differing) == (0, 0, ())
        assert set(VariationVersion.objects.values_list("id", flat=True)) == before


def test_installing_leaves_the_organisations_own_entries_alone(cast: Cast) -> None:
    """An own movement under a shipped key keeps its ladder; an older copy is reported, not changed."""
    with cast.inside():
        floor_press(cast, key="dip", name="Our dip")
        install_catalogue(org=cast.org)
        assert Movement.objects.get(key="dip").name == "Our dip"
        assert not Variation.objects.filter(movement__key="dip").exists()
        Movement.objects.filter(key="push_up").update(origin_hash="0" * 64, name="Press-up")
        again = install_catalogue(org=cast.org)
        assert again.movements == 0
        assert "push_up" in again.differing
        assert Movement.objects.get(key="push_up").name == "Press-up"


def test_a_catalogue_belongs_to_one_organisation(cast: Cast) -> None:
    """Another organisation has none of it until it gets its own copy."""
    stocked(cast)
    other = make_cast("Hillside Strength")
    with other.inside():
        assert Movement.objects.count() == 0
        assert install_catalogue(org=other.org).movements == len(shipped_catalogue())


def test_an_own_movement_and_variation_can_be_computed_with(cast: Cast) -> None:
    """What was created comes back as the calculation reads it."""
    with cast.inside():
        movement = floor_press(cast)
        create_variation(
            actor=cast.coach.actor,
            movement=movement,
            key="floor_press",
            name="Floor press",
            document=DOCUMENT,
        )
        entry = variations_of_movements([movement.key])["floor_press"]
        assert entry.variation.load_item == "dumbbell"
        assert entry.variation.movement == "floor_press"
        assert entry.movement.prior is not None
        assert entry.movement.prior.at(80.0).log_l10 == pytest.approx(3.4012, abs=1e-4)  # ln(30)


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"prior": None}, "#/prior"),
        ({"capacity_kind": "none"}, "#/prior"),
        ({"prior": {**PRIOR, "k": float("nan")}}, "#/prior/k"),
        ({"prior": {**PRIOR, "colour": 1}}, "#/prior/colour"),
        ({"prior": {**PRIOR, "l10_per_body_mass": 0.5}}, "#/prior"),
        ({"prior": {name: v for name, v in PRIOR.items() if name != "source"}}, "#/prior/source"),
    ],
)
def test_a_movement_without_a_sound_prior_is_refused(
    cast: Cast, changes: dict[str, Any], pointer: str
) -> None:
    """The pointer says where; nothing is stored."""
    with cast.inside():
        with pytest.raises(Invalid) as caught:
            floor_press(cast, **changes)
        assert pointer in [error.pointer for error in caught.value.errors]
        assert not Movement.objects.exists()


def test_a_key_is_taken_once(cast: Cast) -> None:
    """A second movement or variation with the key is a conflict, and the transaction goes on."""
    with cast.inside():
        movement = floor_press(cast)
        with pytest.raises(KeyTaken):
            floor_press(cast)
        fields = {"movement": movement, "key": "fp", "name": "Floor press", "document": DOCUMENT}
        create_variation(actor=cast.coach.actor, **fields)
        with pytest.raises(KeyTaken):
            create_variation(actor=cast.coach.actor, **fields)
        assert Variation.objects.count() == 1


def test_a_new_version_leaves_the_old_one_as_it_was(cast: Cast) -> None:
    """The present version moves on, the old one can still be read; the same document adds none."""
    with cast.inside():
        row = create_variation(
            actor=cast.coach.actor,
            movement=floor_press(cast),
            key="fp",
            name="Floor press",
            document=DOCUMENT,
        )
        old = VariationVersion.objects.get(variation=row)
        same = add_variation_version(actor=cast.coach.actor, variation=row, version=1, document=DOCUMENT)
        assert same.id == old.id
        changed = {**DOCUMENT, "hazards": ["shoulder"]}
        new = add_variation_version(actor=cast.coach.actor, variation=row, version=1, document=changed)
        row.refresh_from_db()
        assert (new.number, row.current, row.version) == (2, 2, 2)
        entries = variation_entries([old.id, new.id])
        assert entries[old.id].variation.hazards == frozenset()
        assert entries[new.id].variation.hazards == {"shoulder"}
        with pytest.raises(PreconditionFailed):
            add_variation_version(actor=cast.coach.actor, variation=row, version=1, document=DOCUMENT)


@pytest.mark.parametrize("name", ["key", "movement"])
def test_a_version_keeps_its_identity(cast: Cast, name: str) -> None:
    """A document that names another key or movement is refused at that place."""
    with cast.inside():
        row = create_variation(
            actor=cast.coach.actor,
            movement=floor_press(cast),
            key="fp",
            name="Floor press",
            document=DOCUMENT,
        )
        with pytest.raises(Invalid) as caught:
            add_variation_version(
                actor=cast.coach.actor, variation=row, version=1, document={**DOCUMENT, name: "other"}
            )
        assert [error.pointer for error in caught.value.errors] == [f"#/document/{name}"]


def test_a_new_version_asks_for_the_sessions_with_the_movement(cast: Cast) -> None:
    """Only sessions of the coming week with that movement, and with low priority."""
    stocked(cast)
    with cast.inside():
        now = timezone.now()
        soon = placed(cast, published(cast), cast.harbour, now + dt.timedelta(days=3))
        placed(cast, published(cast), cast.harbour, now + dt.timedelta(days=9))
        Change.objects.all().delete()
        for key, expected in (("pull_up", set()), ("row_45", {soon.id})):
            row = Variation.objects.select_related("movement").get(key=key)
            document = VariationVersion.objects.get(variation=row).document
            add_variation_version(
                actor=cast.coach.actor,
                variation=row,
                version=1,
                document={**document, "standard": "Stricter: a pause of one second at the end."},
            )
            found = Change.objects.filter(kind="session")
            assert set(found.values_list("subject", flat=True)) == expected
            assert {change.priority for change in found} <= {LOW_PRIORITY}


def test_a_movement_that_a_break_costs_is_one_of_the_session(cast: Cast) -> None:
    """Penalty work is prescribed too: its sessions follow, and those without it stay as they are."""
    stocked(cast)
    penalty = with_penalty(movement="lunge", as_written={"variation": "reverse_lunge"})
    with cast.inside():
        now = timezone.now()
        costing = placed(cast, published(cast, penalty), cast.harbour, now + dt.timedelta(days=3))
        plain = placed(cast, published(cast), cast.harbour, now + dt.timedelta(days=3))
        week = (now, now + dt.timedelta(days=7))
        assert session_ids_with_movement("lunge", *week) == [costing.id]
        assert set(session_ids_with_movement("horizontal_row", *week)) == {costing.id, plain.id}
        assert session_ids_with_movement("pull_up", *week) == []


@pytest.mark.parametrize(
    "change", [lambda rows: rows.update(document={}), lambda rows: rows.delete()], ids=["UPDATE", "DELETE"]
)
def test_the_database_refuses_to_change_a_version(cast: Cast, change: Any) -> None:
    """The app role has no right to it, whatever the code does."""
    stocked(cast)
    with cast.inside():
        row = VariationVersion.objects.filter(variation__key="row_45").get()
        with pytest.raises(DatabaseError, match="permission denied"), transaction.atomic():
            change(VariationVersion.objects.filter(id=row.id))
        row.refresh_from_db()
        assert row.document["key"] == "row_45"


ROW_MACHINE: dict[str, Any] = {
    "kind": "cyclical", "measure": "power", "critical": 200, "critical_sd": 0.3, "reserve": 15_000,
    "reserve_sd": 0.4, "source": "estimate",
}  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "prior", "changes", "pointer"),
    [
        ("load_repetition", PRIOR, {"counted_in": ["hold_s"]}, "counted_in"),
        ("cyclical", ROW_MACHINE, {}, "counted_in"),
        ("cyclical", ROW_MACHINE, {"counted_in": ["distance_m"]}, "power_per_cubed_speed"),
        ("cyclical", ROW_MACHINE, {"counted_in": ["distance_m"], "power_per_cubed_speed": 2.8}, None),
        ("none", None, {"counted_in": ["distance_m"]}, None),
        ("load_repetition", PRIOR, {"counted_in": ["distance_m"], "curve_applies": False}, None),
    ],
)
def test_a_variation_is_counted_as_its_movement_s_capacity_asks(
    cast: Cast, kind: str, prior: Any, changes: dict[str, Any], pointer: str | None
) -> None:
    """Another unit could not be computed with: refused at its place, before anything is stored."""
    with cast.inside():
        movement = floor_press(cast, capacity_kind=kind, prior=prior)
        fields: dict[str, Any] = {"key": "fp", "name": "Floor press", "document": {**DOCUMENT, **changes}}
        if pointer is None:
            assert create_variation(actor=cast.coach.actor, movement=movement, **fields).current == 1
            return
        with pytest.raises(Invalid) as caught:
            create_variation(actor=cast.coach.actor, movement=movement, **fields)
        assert [error.pointer for error in caught.value.errors] == [f"#/document/{pointer}"]
        assert not Variation.objects.exists()

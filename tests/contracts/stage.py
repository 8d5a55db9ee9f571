"""The stage of the permission matrix: two organisations of the same shape, and everybody who may knock.

Everything of one organisation that a person named carries its canary, a word that nobody else may ever read.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid4

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.utils import timezone

from athletes.actions.assessments import Performance, record_assessment
from athletes.actions.athletes import create_athlete, update_athlete
from athletes.actions.body_masses import record_body_mass
from athletes.actions.group_members import add_group_members
from athletes.actions.limitations import add_limitation
from athletes.models import Athlete, Limitation
from programming.actions.catalogue import NewMovement, create_movement, create_variation
from programming.actions.groups import create_group
from programming.actions.local_versions import make_local_version
from programming.actions.sessions import put_location_kit, schedule_session
from programming.actions.templates import archive_template, create_template, publish_revision
from programming.api import examples
from programming.models import LocationKit, Movement, ScheduledSession, Template
from scoring.actions.attempts import Report, submit_attempt
from scoring.actions.balance_targets import put_balance_target
from scoring.actions.check_sets import send_check_set
from scoring.actions.day_changes import Change, make_day_change
from scoring.actions.notes import add_note
from scoring.actions.override_work import Wish
from scoring.actions.overrides import make_override
from scoring.checked import Checked
from scoring.models import Prescription, Review
from scoring.overriding import Named
from services.access.actions import create_token, invite
from services.changes.actions import claim, park, record_change
from services.changes.models import Change as Changed
from services.tenancy.actor import Role
from services.tenancy.context import person as person_scope
from services.tenancy.models import Location, Membership, Organisation, Person
from tests.contracts.rows import fingerprint
from tests.contracts.stage_files import send_files
from tests.contracts.stage_load import log_load
from tests.contracts.stage_safety import state_health
from tests.support.cast import Cast, Member, add_member, make_person
from tests.support.world import KIT, SESSION, World, drain, make_world

# Nobody did half of this: the log stops short, and a review follows.
UNFINISHED = {
    "sets": [{"work": "a", "variation": "row_45", "repetitions": 20, "ended_by": "planned"}],
    "elapsed_s": 300.0,
}
PASSWORD = "harbour lights at dusk"
INSIDE = ("owner", "coach", "staff", "other_staff", "athlete", "other_athlete")
OUTSIDE = ("outsider", "foreign_owner", "anonymous")


@dataclass
class Side:
    """One organisation: its people by the name of the matrix, and the ids of what paths and bodies name."""

    canary: str
    cast: Cast
    people: dict[str, Member] = field(default_factory=dict)
    ids: dict[str, UUID] = field(default_factory=dict)
    versions: dict[str, int] = field(default_factory=dict)
    secret: str = ""
    secret_of_outsider: str = ""
    secret_of_feed: str = ""

    def version(self, name: str) -> int:
        return self.versions.get(name, 1)


@dataclass
class Stage:
    ours: Side
    theirs: Side
    _before: dict[str, str] = field(default_factory=dict)

    def before(self) -> dict[str, str]:
        """The rows of our organisation as this test found them; taken once, since every request is rolled back."""
        if not self._before:
            self._before = fingerprint(self.ours)
        return self._before

    def begin(self) -> Stage:
        """Forget the rows of an earlier test: what serves all organisations (the relay's tests) runs in between."""
        self._before.clear()
        return self

    def token(self, caller: str) -> str:
        if caller == "anonymous":
            return ""
        if caller == "foreign_owner":
            return self.theirs.people["owner"].token
        return self.ours.people[caller].token


def make_stage() -> Stage:
    return Stage(make_side("kestrelmark"), make_side("plovermark"))


def make_side(canary: str) -> Side:
    world = make_world()
    side = Side(canary, world.cast)
    _people(side)
    _athletes(side, world)
    _programme(side)
    _groups(side)
    _visit(side)
    drain(world.cast)
    _results(side)
    _floor(side)
    drain(world.cast)
    _decision(side)
    send_files(side)
    drain(world.cast)
    _trouble(side)
    state_health(side)
    _door(side)
    _sign(side)
    with side.cast.inside():
        _look_up(side)
    return side


def _people(side: Side) -> None:
    cast = side.cast
    side.people = {
        "owner": cast.owner,
        "coach": cast.coach,
        "staff": cast.staff,
        "athlete": cast.athlete,
        "other_staff": make_person("Mira Holt"),
        "other_athlete": make_person("Ines Carr"),
        "outsider": make_person("Olaf Weit"),
        "leaver": make_person("Lia Fern"),
    }
    add_member(cast.org, side.people["other_staff"], Role.LOCATION_STAFF, (cast.mill,))
    add_member(cast.org, side.people["other_athlete"], Role.ATHLETE)
    add_member(cast.org, side.people["leaver"], Role.LOCATION_STAFF, (cast.mill,))
    side.ids["membership"] = side.people["leaver"].actor.membership_id  # type: ignore[union-attr]
    side.ids["member"] = side.people["leaver"].person.id


def _athletes(side: Side, world: World) -> None:
    actor, now = side.cast.coach.actor, timezone.now()
    assert actor is not None
    for who, place in (("athlete", side.cast.harbour), ("other_athlete", side.cast.mill)):
        with side.cast.inside():
            row, _ = create_athlete(actor=actor, name=f"{side.canary} {who}", location_id=place.id)
            own = {"kit": KIT} if who == "other_athlete" else {}
            row = update_athlete(
                actor=actor, athlete=row, expected=1, person_id=side.people[who].person.id, **own
            )
            record_body_mass(
                actor=actor, athlete=row, body_mass_kg=66.5, measured_at=now - dt.timedelta(days=8), now=now
            )
        side.ids[who] = row.id
    with side.cast.inside():
        athlete = Athlete.objects.get(id=side.ids["athlete"])
        row_45 = world.variation("row_45")
        tested = Performance(kind="to_failure", repetitions=12, performed_at=now - dt.timedelta(days=7))
        told, _ = record_assessment(actor=actor, athlete=athlete, variation_id=row_45, tested=tested, now=now)
        limit = add_limitation(
            actor=actor, athlete=athlete, hazard="inversion", from_date=now.date(), note=side.canary
        )
    side.ids |= {"assessment": told.id, "limitation": limit.id, "row_45": row_45}
    log_load(side)


def _programme(side: Side) -> None:
    """A movement of their own; a session published and placed three times, and one that is still a draft."""
    actor, soon = side.cast.coach.actor, timezone.now() + dt.timedelta(days=3)
    assert actor is not None
    new = examples.NEW_MOVEMENT
    with side.cast.inside():
        movement = create_movement(
            actor=actor, new=NewMovement(**{**new, "name": side.canary, "prior": new["prior"]})
        )
        variation = create_variation(
            actor=actor,
            movement=movement,
            key=examples.NEW_VARIATION["key"],
            name=side.canary,
            document=examples.VARIATION_DOCUMENT,
        )
        # A copy from before: there is something to take up of what is shipped.
        Movement.objects.filter(key="push_up").update(name="Press-up", origin_hash="0" * 64)
        document = {**SESSION, "title": side.canary}
        template = create_template(actor=actor, name=side.canary, draft=document)
        revision, _ = publish_revision(actor=actor, template=template, version=template.version)
        draft = create_template(
            actor=actor, name=side.canary, draft={**document, "title": f"{side.canary} 2"}
        )
        places = {"session": "harbour", "open_session": "harbour", "empty_session": "mill"}
        for name, place in places.items():
            location = getattr(side.cast, place)
            row = schedule_session(
                actor=actor, revision_id=revision.id, location_id=location.id, starts_at=soon
            )
            side.ids[name] = row.id
    side.ids |= {"movement": movement.id, "variation": variation.id, "draft": draft.id}
    side.ids |= {"template": template.id, "revision": revision.id}


def _groups(side: Side) -> None:
    """A group with the athlete in it for a month, the harbour's own version of the session, one put aside."""
    actor = side.cast.coach.actor
    assert actor is not None
    document = {**SESSION, "title": f"{side.canary} own"}
    with side.cast.inside():
        group = create_group(actor=actor, name=side.canary, location_id=side.cast.harbour.id)
        (member,) = add_group_members(
            actor=actor,
            group=group,
            athlete_ids=[side.ids["athlete"]],
            from_date=dt.date(2030, 1, 1),
            until_date=dt.date(2030, 1, 31),
        )
        own, _ = make_local_version(
            actor=actor,
            location_id=side.cast.harbour.id,
            origin_id=side.ids["revision"],
            document=document,
            reason=side.canary,
        )
        shares = {"sets_by_quality": {"skill": 1.0}, "sets_by_pattern": {}, "cyclical_by_quality": {}}
        targets = [
            put_balance_target(actor=actor, group=one, shares=shares, version=None) for one in (None, group)
        ]
        template = create_template(actor=actor, name=side.canary, draft=document)
        archived = archive_template(actor=actor, template=template)
    side.ids |= {"group": group.id, "group_member": member.id, "archived": archived.id}
    side.ids |= {"balance_target": targets[0].id, "group_balance_target": targets[1].id}
    side.ids |= {"local_version": own.id, "local_revision": own.revision_id}


def _visit(side: Side) -> None:
    """Two sessions at the mill, for a group that the athlete of the harbour comes with."""
    actor, soon = side.cast.coach.actor, timezone.now() + dt.timedelta(days=3)
    assert actor is not None
    with side.cast.inside():
        put_location_kit(actor=actor, location=side.cast.mill, document=KIT, version=None)
        group = create_group(actor=actor, name=f"{side.canary} visit", location_id=side.cast.mill.id)
        add_group_members(
            actor=actor, group=group, athlete_ids=[side.ids["athlete"]], from_date=timezone.now().date()
        )
        for name in ("visit", "visited"):
            row = schedule_session(
                actor=actor, revision_id=side.ids["revision"], group_id=group.id, starts_at=soon
            )
            side.ids[name] = row.id


def _results(side: Side) -> None:
    """Results that do not add up, in one of the two sessions of the harbour, and of the visit to the mill."""
    actor = side.cast.coach.actor
    assert actor is not None
    for name, session in (("attempt", "session"), ("visiting_attempt", "visited")):
        report = Report(
            kind="set_log",
            data=UNFINISHED,
            as_sent={"set_log": UNFINISHED, "note": side.canary},
            performed_at=timezone.now() - dt.timedelta(minutes=5),
            client_id=f"stage-{name}",
        )
        with side.cast.inside():
            attempt, _ = submit_attempt(
                actor=actor, session_id=side.ids[session], athlete_id=side.ids["athlete"], report=report
            )
            add_note(actor=actor, attempt=attempt, text=side.canary)
        side.ids[name] = attempt.id


def _floor(side: Side) -> None:
    """Something that is different for the athlete in the open session; a check set there and on the visit."""
    actor, now = side.cast.coach.actor, timezone.now()
    assert actor is not None
    with side.cast.inside():
        change, _ = make_day_change(
            actor=actor,
            session=ScheduledSession.objects.get(id=side.ids["open_session"]),
            athlete_id=side.ids["athlete"],
            change=Change(kind="sore", hazards=["inversion"], note=side.canary),
            now=now,
        )
        checked = Checked("a", 9.0, "repetitions", 3, "planned", now, variation="row_45")
        for session in ("open_session", "visit"):
            given = _given(side, "athlete", session)
            send_check_set(actor=actor, prescription=given, checked=checked, now=now)
    side.ids["day_change"] = change.id


def _decision(side: Side) -> None:
    """A coach prescribes something else for the other athlete, with a reason."""
    actor = side.cast.coach.actor
    assert actor is not None
    with side.cast.inside():
        override, _ = make_override(
            actor=actor,
            prescription=_given(side, "other_athlete", "empty_session"),
            wish=Wish(
                [Named("a", "row_45"), Named("b", "body_weight_squat")],
                ["never_seen:a", "never_seen:b"],
                side.canary,
            ),
            now=timezone.now(),
        )
    side.ids["override"] = override.id


def _given(side: Side, athlete: str, session: str) -> Prescription:
    mine = Prescription.objects.filter(athlete_id=side.ids[athlete], session_id=side.ids[session])
    return mine.select_related("athlete", "session").latest("number")


def _trouble(side: Side) -> None:
    """A change that was set aside, as one is whose recompute fails again and again."""
    subject = uuid4()
    with side.cast.inside():
        record_change(kind="ranking", subject=subject)
        change = Changed.objects.get(kind="ranking", subject=subject)
        claimed = claim(change.id)
        assert claimed is not None
        park(claimed, f"ValueError: {side.canary}")
    side.ids["change"] = change.id


def _door(side: Side) -> None:
    owner = side.people["owner"].actor
    assert owner is not None
    with side.cast.inside():
        invitation, side.secret = invite(
            actor=owner, email=f"{side.canary}@example.org", role=Role.ATHLETE, location_ids=[]
        )
        _, side.secret_of_outsider = invite(
            actor=owner,
            email=side.people["outsider"].person.email,
            role=Role.ATHLETE,
            location_ids=[],
        )
    token, _ = create_token(person=side.people["coach"].person, label=side.canary)
    side.ids |= {"invitation": invitation.id, "token": token.handle}


def _sign(side: Side) -> None:
    """Put the canary into what the actions above named by themselves."""
    with side.cast.inside():
        Organisation.objects.filter(id=side.cast.org.id).update(name=side.canary)
        for place in Location.objects.all():
            Location.objects.filter(id=place.id).update(name=f"{side.canary} {place.name}")
        Review.objects.update(resolution=side.canary)
    for member in side.people.values():
        with transaction.atomic(), person_scope(member.person.id):
            Person.objects.filter(id=member.person.id).update(
                name=f"{side.canary} {uuid4().hex[:6]}", password=make_password(PASSWORD)
            )


def _look_up(side: Side) -> None:
    """Ids and versions of what the recompute made, and of what has been changed since it was made."""
    mine = Prescription.objects.filter(athlete_id=side.ids["athlete"], session_id=side.ids["open_session"])
    side.ids |= {
        "organisation": side.cast.org.id,
        "location": side.cast.harbour.id,
        "mill": side.cast.mill.id,
        "prescription": mine.order_by("-number").values_list("id", flat=True)[0],
        "visiting_prescription": _given(side, "athlete", "visit").id,
        "other_prescription": _given(side, "other_athlete", "empty_session").id,
        "review": Review.objects.get(attempt_id=side.ids["attempt"]).id,
        "visiting_review": Review.objects.get(attempt_id=side.ids["visiting_attempt"]).id,
        "kit": LocationKit.objects.get(location=side.cast.harbour).id,
    }
    kinds: tuple[tuple[str, Any], ...] = (
        ("organisation", Organisation),
        ("location", Location),
        ("membership", Membership),
        ("athlete", Athlete),
        ("limitation", Limitation),
        ("kit", LocationKit),
        ("movement", Movement),
        ("draft", Template),
        ("review", Review),
    )
    side.versions = {name: kind.objects.get(id=side.ids[name]).version for name, kind in kinds}

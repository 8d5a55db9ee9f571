"""Writes of local versions: what a location makes of a shared revision, for its own equipment."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from programming.actions.places import check_usable, require_location
from programming.actions.templates import storable
from programming.calc.document import canonical_hash
from programming.calc.rule_codes import RULES_VERSION
from programming.drafts import draft_problems
from programming.errors import (
    DraftNotPublishable,
    LocalVersionChanged,
    NotYourPlace,
    SessionCancelled,
    SessionStarted,
    field_problems,
    unknown_reference,
)
from programming.models import LocalVersion, Revision, ScheduledSession, Template
from programming.queries import revisions_visible_to
from services.api.conditional import update_versioned
from services.changes.actions import record_change
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor, Role


@transaction.atomic
def make_local_version(
    *,
    actor: Actor,
    location_id: UUID,
    origin_id: UUID,
    document: Mapping[str, Any],
    reason: str,
    replaces_id: UUID | None = None,
) -> tuple[LocalVersion, bool]:
    """Publish the location's own version of a shared revision; (version, was made now).

    `replaces_id` names the one in use there until now, None for the first; another one in use, and this raises
    LocalVersionChanged. The same document from the same origin gives the one in use again. Raises Invalid,
    NotYourPlace, DraftNotPublishable with pointers below `document`.
    """
    location = require_location(actor, location_id)
    _require_place(actor, location.id)
    origin = _origin(actor, origin_id)
    problems = draft_problems(storable(document, "document"))
    if problems:
        raise DraftNotPublishable(errors=field_problems(problems, "/document"))
    template = Template.objects.select_for_update().get(id=origin.template_id)
    sha256 = canonical_hash(document)
    in_use = LocalVersion.objects.filter(location=location, template=template).select_related("revision")
    last = in_use.order_by("-number").first()
    if last is not None and last.origin_id == origin.id and last.revision.sha256 == sha256:
        return last, False
    if replaces_id is not None and not LocalVersion.objects.filter(id=replaces_id).exists():
        raise unknown_reference("replaces", "local version")
    if (None if last is None else last.id) != replaces_id:
        raise LocalVersionChanged()
    number = 1 if last is None else last.number + 1
    revision = Revision.objects.create(
        org_id=actor.org_id,
        template=template,
        location=location,
        number=number,
        document=document,
        sha256=sha256,
        rules_version=RULES_VERSION,
        published_by_id=actor.person_id,
    )
    made = LocalVersion.objects.create(
        org_id=actor.org_id,
        location=location,
        template=template,
        origin=origin,
        revision=revision,
        number=number,
        reason=reason,
        made_by_id=actor.person_id,
    )
    return made, True


@transaction.atomic
def use_revision(
    *, actor: Actor, session: ScheduledSession, version: int, revision_id: UUID
) -> ScheduledSession:
    """Let a coming session use another revision of its template, shared or the location's own.

    Its athletes are prescribed again. Raises Invalid, NotYourPlace, SessionCancelled, SessionStarted,
    PreconditionFailed.
    """
    _require_place(actor, session.location_id)
    revision = revisions_visible_to(actor).filter(id=revision_id).first()
    if revision is None:
        raise unknown_reference("revision", "revision")
    check_usable(revision, session.location_id, "revision")
    if revision.template_id != session.revision.template_id:
        detail = "Choose a revision of the same template; another session is placed instead of this one."
        raise Invalid(errors=[FieldProblem("#/revision", "other_template", detail)])
    if session.cancelled_at is not None:
        raise SessionCancelled()
    now = timezone.now()
    if session.starts_at <= now:
        raise SessionStarted()
    changed = update_versioned(session, version, revision_id=revision.id, changed_at=now)
    record_change(kind="session", subject=session.id)
    return changed


def _require_place(actor: Actor, location_id: UUID) -> None:
    if actor.role == Role.LOCATION_STAFF and location_id not in actor.location_ids:
        raise NotYourPlace()


def _origin(actor: Actor, origin_id: UUID) -> Revision:
    origin = revisions_visible_to(actor).filter(id=origin_id).first()
    if origin is None:
        raise unknown_reference("origin", "revision")
    if origin.location_id is not None:
        detail = "This is a location's own version; name the shared revision that it was made from."
        raise Invalid(errors=[FieldProblem("#/origin", "not_shared", detail)])
    return origin

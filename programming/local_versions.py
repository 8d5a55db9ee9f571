"""Reads of what locations made of shared revisions."""

from __future__ import annotations

from collections.abc import Collection
from uuid import UUID

from django.db.models import Max, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from programming import parsed
from programming.calc.difference import Difference, differences
from programming.models import LocalVersion, Revision
from services.tenancy.actor import STAFF, Actor


def shared_revisions(template_id: UUID | OuterRef) -> QuerySet[Revision]:
    """The template's revisions that every location may use."""
    return Revision.objects.filter(template=template_id, location=None)


def local_versions_visible_to(actor: Actor) -> QuerySet[LocalVersion]:
    """The staff's, with origin and own revision but not their documents.

    `number_in_use` is the highest number of the location and template, `newest_origin_id` and
    `newest_origin_number` name the newest shared revision of the template.
    """
    if actor.role not in STAFF:
        return LocalVersion.objects.none()
    newest = shared_revisions(OuterRef("template")).order_by("-number")
    rows = with_number_in_use(LocalVersion.objects.all()).annotate(
        newest_origin_id=Subquery(newest.values("id")[:1]),
        newest_origin_number=Subquery(newest.values("number")[:1]),
    )
    return rows.select_related("origin", "revision").defer("origin__document", "revision__document")


def with_number_in_use(rows: QuerySet[LocalVersion]) -> QuerySet[LocalVersion]:
    same = LocalVersion.objects.filter(location=OuterRef("location"), template=OuterRef("template"))
    highest = same.order_by().values("template").annotate(highest=Max("number")).values("highest")
    return rows.annotate(number_in_use=Coalesce(Subquery(highest), 0))


def in_use_at(location_ids: Collection[UUID], template_id: UUID) -> dict[UUID, LocalVersion]:
    """By location its own version of the template, where it has one (one query)."""
    rows = LocalVersion.objects.filter(location__in=set(location_ids), template=template_id)
    return {row.location_id: row for row in rows.order_by("number")}


def before(revision: Revision) -> Revision | None:
    """What the revision was made from: the origin of a local version, else the shared one before (one query)."""
    if revision.location_id is not None:
        own = LocalVersion.objects.select_related("origin").filter(revision=revision).first()
        return None if own is None else own.origin
    earlier = shared_revisions(revision.template_id).filter(number__lt=revision.number)
    return earlier.order_by("-number").first()


def between(before: Revision, after: Revision) -> tuple[Difference, ...]:
    """What was changed from one revision to the other."""
    return differences(
        parsed.revisions.of(before.id, before.document), parsed.revisions.of(after.id, after.document)
    )

"""Writes of sessions as written: drafts, and the revisions that are published from them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.db.models import Max

from programming.calc.document import canonical_hash
from programming.calc.rules import RULES_VERSION
from programming.drafts import draft_problems
from programming.errors import DraftChanged, DraftNotPublishable, field_problems
from programming.models import Revision, Template
from services.api.conditional import update_versioned
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor


@transaction.atomic
def create_template(*, actor: Actor, name: str, draft: Mapping[str, Any]) -> Template:
    """Start a session; the draft may be incomplete or contradict itself until it is published."""
    return Template.objects.create(org_id=actor.org_id, name=name, draft=_storable(draft))


@transaction.atomic
def update_template(
    *,
    actor: Actor,
    template: Template,
    version: int,
    name: str | None = None,
    draft: Mapping[str, Any] | None = None,
) -> Template:
    """Change the name or the draft. Raises PreconditionFailed when it is not at `version` any more."""
    changes: dict[str, Any] = {}
    if name is not None:
        changes["name"] = name
    if draft is not None:
        changes["draft"] = _storable(draft)
    return update_versioned(template, version, **changes)


def _storable(draft: Mapping[str, Any]) -> Mapping[str, Any]:
    try:
        canonical_hash(draft)
    except ValueError as error:
        detail = "NaN and infinity are no numbers here; leave the field out."
        raise Invalid(errors=[FieldProblem("#/draft", "not_finite", detail)]) from error
    return draft


@transaction.atomic
def publish_revision(*, actor: Actor, template: Template, version: int) -> tuple[Revision, bool]:
    """Freeze the draft as the template's next revision; (revision, was made now).

    A draft that was published before gives that revision again. Raises DraftChanged when the template is not
    at `version` any more, DraftNotPublishable with pointers below `draft`.
    """
    row = Template.objects.select_for_update().get(id=template.id)
    if row.version != version:
        raise DraftChanged()
    problems = draft_problems(row.draft)
    if problems:
        raise DraftNotPublishable(errors=field_problems(problems, "/draft"))
    sha256 = canonical_hash(row.draft)
    known = Revision.objects.filter(template=row, location=None, sha256=sha256).order_by("number").first()
    if known is not None:
        return known, False
    last = Revision.objects.filter(template=row, location=None).aggregate(last=Max("number"))["last"] or 0
    revision = Revision.objects.create(
        org_id=actor.org_id,
        template=row,
        number=last + 1,
        document=row.draft,
        sha256=sha256,
        rules_version=RULES_VERSION,
        published_by_id=actor.person_id,
    )
    return revision, True

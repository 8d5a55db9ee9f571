"""Writes of sessions as written: drafts, and the revisions that are published from them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from programming.calc.document import canonical_hash
from programming.calc.rule_codes import RULES_VERSION
from programming.drafts import draft_problems
from programming.errors import (
    DraftChanged,
    DraftNotPublishable,
    TemplateArchived,
    field_problems,
    unknown_reference,
)
from programming.models import Revision, Template
from services.api.conditional import update_versioned
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import Actor


@transaction.atomic
def create_template(*, actor: Actor, name: str, draft: Mapping[str, Any]) -> Template:
    """Start a session; the draft may be incomplete or contradict itself until it is published."""
    return Template.objects.create(org_id=actor.org_id, name=name, draft=storable(draft, "draft"))


@transaction.atomic
def copy_template(
    *, actor: Actor, template: Template, name: str, revision_id: UUID | None = None
) -> Template:
    """Start a session from another one: from its draft, or from one of its revisions; the copy says from which.

    Raises Invalid for a revision that is not the template's.
    """
    draft = template.draft
    if revision_id is not None:
        revision = Revision.objects.filter(template=template, id=revision_id).first()
        if revision is None:
            raise unknown_reference("revision", "revision of this template")
        draft = revision.document
    return Template.objects.create(
        org_id=actor.org_id, name=name, draft=draft, copied_from=template, copied_revision_id=revision_id
    )


@transaction.atomic
def archive_template(*, actor: Actor, template: Template) -> Template:
    """Put the template aside; what was published of it stays usable. Twice is once."""
    row = Template.objects.select_for_update().get(id=template.id)
    return row if row.archived_at else update_versioned(row, row.version, archived_at=timezone.now())


@transaction.atomic
def restore_template(*, actor: Actor, template: Template) -> Template:
    """Take an archived template up again. Twice is once."""
    row = Template.objects.select_for_update().get(id=template.id)
    return row if row.archived_at is None else update_versioned(row, row.version, archived_at=None)


@transaction.atomic
def update_template(
    *,
    actor: Actor,
    template: Template,
    version: int,
    name: str | None = None,
    draft: Mapping[str, Any] | None = None,
) -> Template:
    """Change the name or the draft. Raises PreconditionFailed when it is not at `version` any more.

    Raises TemplateArchived for one that was put aside.
    """
    if template.archived_at is not None:
        raise TemplateArchived()
    changes: dict[str, Any] = {}
    if name is not None:
        changes["name"] = name
    if draft is not None:
        changes["draft"] = storable(draft, "draft")
    return update_versioned(template, version, **changes)


def storable(draft: Mapping[str, Any], field: str) -> Mapping[str, Any]:
    """The document itself; raises Invalid for what JSON cannot hold."""
    try:
        canonical_hash(draft)
    except ValueError as error:
        detail = "NaN and infinity are no numbers here; leave the field out."
        raise Invalid(errors=[FieldProblem(f"#/{field}", "not_finite", detail)]) from error
    return draft


@transaction.atomic
def publish_revision(*, actor: Actor, template: Template, version: int) -> tuple[Revision, bool]:
    """Freeze the draft as the template's next revision; (revision, was made now).

    A draft that was published before gives that revision again. Raises DraftChanged when the template is not
    at `version` any more, DraftNotPublishable with pointers below `draft`, TemplateArchived.
    """
    row = Template.objects.select_for_update().get(id=template.id)
    if row.version != version:
        raise DraftChanged()
    if row.archived_at is not None:
        raise TemplateArchived()
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

"""Sessions as written, and what was published of them."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from programming import queries
from programming.actions import templates as actions
from programming.api import examples
from programming.api import template_serializers as s
from programming.api.filters import TemplateFilter
from programming.errors import DraftChanged, DraftNotPublishable, TemplateArchived
from programming.models import Revision, Template
from services.api.operation import Access, Operation
from services.api.views import OrganisationView
from services.tenancy.actor import COACHES, EVERYONE, STAFF, Scope

READ_DRAFTS = Access(STAFF, Scope.PROGRAMME_READ)
READ = Access(EVERYONE, Scope.PROGRAMME_READ)
WRITE = Access(COACHES, Scope.PROGRAMME_WRITE)
_LISTED_TEMPLATE = {n: value for n, value in examples.TEMPLATE.items() if n not in ("draft", "problems")}
_LISTED_REVISION = {name: value for name, value in examples.REVISION.items() if name != "document"}


class TemplatesView(OrganisationView):
    operation = {
        "GET": Operation(
            id="list_templates",
            output=s.TemplateListedOutput,
            paged=True,
            filters=TemplateFilter,
            response_example=_LISTED_TEMPLATE,
        ),
        "POST": Operation(
            id="create_template",
            input=s.TemplateInput,
            output=s.TemplateOutput,
            status=201,
            etag=True,
            request_example=examples.NEW_TEMPLATE,
            response_example=examples.TEMPLATE,
        ),
    }
    access = {"GET": READ_DRAFTS, "POST": WRITE}

    def get(self, request: Request, organisation: UUID) -> Response:
        """Templates without their drafts, newest first; those that were put aside are left out."""
        return self.page(queries.templates_visible_to(self.actor), order=("-created_at", "-id"))

    def post(self, request: Request, organisation: UUID) -> Response:
        """Start a session. The draft may be incomplete; `problems` says what keeps it unpublished."""
        row = actions.create_template(actor=self.actor, **self.read_input())
        return self.reply(row, location=reverse("template", args=[organisation, row.id]))


class _OneTemplate(OrganisationView):
    """A route below a template."""

    def prepare(self, **kwargs: Any) -> None:
        self.template: Template = self.get_object_or_404(
            queries.templates_visible_to(self.actor), kwargs["template"]
        )


class TemplateView(_OneTemplate):
    operation = {
        "GET": Operation(
            id="read_template", output=s.TemplateOutput, etag=True, response_example=examples.TEMPLATE
        ),
        "PATCH": Operation(
            id="update_template",
            input=s.TemplateInput,
            output=s.TemplateOutput,
            etag=True,
            if_match=True,
            errors=(TemplateArchived,),
            request_example={"name": "Rows and squats, spring"},
            response_example=examples.TEMPLATE,
        ),
    }
    access = {"GET": READ_DRAFTS, "PATCH": WRITE}

    def get(self, request: Request, organisation: UUID, template: UUID) -> Response:
        """One template with its draft, and what keeps it from being published."""
        return self.reply(self.template)

    def patch(self, request: Request, organisation: UUID, template: UUID) -> Response:
        """Change the name or the whole draft."""
        changed = actions.update_template(
            actor=self.actor,
            template=self.template,
            version=self.expected_version(self.template),
            **self.read_input(),
        )
        return self.reply(changed)


class TemplateCopiesView(_OneTemplate):
    operation = {
        "POST": Operation(
            id="copy_template",
            input=s.TemplateCopyInput,
            output=s.TemplateOutput,
            status=201,
            etag=True,
            request_example={"name": "Rows and squats, easier"},
            response_example={**examples.TEMPLATE, "id": examples.OTHER_ID, "copied_from": examples.ID},
        )
    }
    access = {"POST": WRITE}

    def post(self, request: Request, organisation: UUID, template: UUID) -> Response:
        """Start a session from this one: from its draft, or from one of its revisions."""
        data = self.read_input()
        row = actions.copy_template(
            actor=self.actor, template=self.template, name=data["name"], revision_id=data.get("revision")
        )
        return self.reply(row, location=reverse("template", args=[organisation, row.id]))


class TemplateArchiveView(_OneTemplate):
    operation = {
        "POST": Operation(
            id="archive_template",
            output=s.TemplateOutput,
            etag=True,
            response_example={**examples.TEMPLATE, "version": 2, "archived_at": "2030-03-05T09:00:00Z"},
        )
    }
    access = {"POST": WRITE}

    def post(self, request: Request, organisation: UUID, template: UUID) -> Response:
        """Put the template aside; its revisions stay usable. Twice is once."""
        return self.reply(actions.archive_template(actor=self.actor, template=self.template))


class TemplateRestoreView(_OneTemplate):
    operation = {
        "POST": Operation(
            id="restore_template",
            output=s.TemplateOutput,
            etag=True,
            response_example={**examples.TEMPLATE, "version": 3},
        )
    }
    access = {"POST": WRITE}

    def post(self, request: Request, organisation: UUID, template: UUID) -> Response:
        """Take an archived template up again. Twice is once."""
        return self.reply(actions.restore_template(actor=self.actor, template=self.template))


class RevisionsView(_OneTemplate):
    operation = {
        "GET": Operation(
            id="list_revisions",
            output=s.RevisionListedOutput,
            paged=True,
            response_example=_LISTED_REVISION,
        ),
        "POST": Operation(
            id="publish_revision",
            input=s.PublishInput,
            output=s.RevisionOutput,
            status=201,
            stored_before=True,
            errors=(DraftNotPublishable, DraftChanged, TemplateArchived),
            request_example={"version": 3},
            response_example=examples.REVISION,
        ),
    }
    access = {"GET": READ_DRAFTS, "POST": WRITE}

    def get(self, request: Request, organisation: UUID, template: UUID) -> Response:
        """Published revisions without their documents, newest first; locations' own ones are apart from them."""
        rows = queries.revisions_visible_to(self.actor).filter(template=self.template, location=None)
        rows = rows.defer("document")
        return self.page(rows, order=("-number", "-id"))

    def post(self, request: Request, organisation: UUID, template: UUID) -> Response:
        """Publish the draft as an immutable revision.

        Answers 200 with the earlier revision when this document was published before.
        """
        revision, created = actions.publish_revision(
            actor=self.actor, template=self.template, version=self.read_input()["version"]
        )
        stored = queries.revisions_visible_to(self.actor).get(id=revision.id)
        return self.reply(
            stored, created=created, location=reverse("revision", args=[organisation, revision.id])
        )


class RevisionView(OrganisationView):
    operation = {
        "GET": Operation(id="read_revision", output=s.RevisionOutput, response_example=examples.REVISION)
    }
    access = {"GET": READ}

    def prepare(self, **kwargs: Any) -> None:
        self.revision: Revision = self.get_object_or_404(
            queries.revisions_visible_to(self.actor), kwargs["revision"]
        )

    def get(self, request: Request, organisation: UUID, revision: UUID) -> Response:
        """One revision with its document; it never changes."""
        return self.reply(self.revision)

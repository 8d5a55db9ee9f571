"""A document checked without storing it, and what was changed between two revisions."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import OpenApiParameter
from rest_framework.request import Request
from rest_framework.response import Response

from programming import queries
from programming.actions.templates import storable
from programming.api import examples
from programming.api import template_serializers as s
from programming.drafts import draft_problems
from programming.errors import field_problems
from programming.local_versions import before, between
from programming.models import Revision
from services.api.operation import Access, Idempotency, Operation
from services.api.views import OrganisationView
from services.problems import FieldProblem, Invalid
from services.tenancy.actor import STAFF, Scope

READ = Access(STAFF, Scope.PROGRAMME_READ)


class TemplateChecksView(OrganisationView):
    operation = {
        "POST": Operation(
            id="check_template",
            input=s.TemplateCheckInput,
            output=s.TemplateCheckOutput,
            idempotency=Idempotency.EXEMPT,  # nothing is stored, not even that it was asked
            request_example={"document": examples.DRAFT},
            response_example={"problems": []},
        )
    }
    access = {"POST": READ}

    def post(self, request: Request, organisation: UUID) -> Response:
        """What keeps a document from being published, with pointers into the body; nothing is stored."""
        document = storable(self.read_input()["document"], "document")
        problems = field_problems(draft_problems(document), "/document")
        return self.reply({"problems": [problem.as_json() for problem in problems]})


class RevisionDifferencesView(OrganisationView):
    operation = {
        "GET": Operation(
            id="compare_revisions",
            output=s.DifferencesOutput,
            parameters=(
                OpenApiParameter(
                    "against",
                    UUID,
                    description="The earlier revision; left out: the one before it, or the origin of a local "
                    "version.",
                ),
            ),
            response_example=examples.DIFFERENCES,
        )
    }
    access = {"GET": READ}

    def prepare(self, **kwargs: Any) -> None:
        self.revision: Revision = self.get_object_or_404(
            queries.revisions_visible_to(self.actor), kwargs["revision"]
        )

    def get(self, request: Request, organisation: UUID, revision: UUID) -> Response:
        """What was changed from one revision to another, in sentences with pointers."""
        against = self._against()
        return self.reply(
            {
                "revision": self.revision.id,
                "against": against.id,
                "items": between(against, self.revision),
            }
        )

    def _against(self) -> Revision:
        """Raises Invalid without one."""
        named = self.request.query_params.get("against")
        if named is None:
            found = before(self.revision)
            if found is None:
                raise _fault("required", "Nothing was published before this one; name a revision.")
            return found
        try:
            wanted = UUID(named)
        except ValueError as error:
            raise _fault("invalid", "Must be the id of a revision.") from error
        row = queries.revisions_visible_to(self.actor).filter(id=wanted).first()
        if row is None:
            raise _fault("unknown_reference", "There is no such revision in this organisation.")
        return row


def _fault(code: str, detail: str) -> Invalid:
    return Invalid(errors=[FieldProblem("", code, detail, parameter="against")])

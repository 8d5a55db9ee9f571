"""Templates and revisions: drafts, what keeps them from being published, what was published, and differences."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from programming.api import document_schema
from programming.api.serializers import ObjectField, ObjectOutput
from programming.drafts import draft_problems
from programming.errors import field_problems
from programming.models import Template
from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer


class TemplateInput(InputSerializer):
    name = fields.CharField(max_length=120)
    draft = ObjectField(help_text="A `RevisionDocument`, complete or not.")


class DraftProblemOutput(OutputSerializer):
    """What keeps the draft from being published; the pointer leads into the template."""

    pointer = serializers.CharField()
    code = serializers.CharField()
    detail = serializers.CharField()


class TemplateListedOutput(OutputSerializer):
    """Without the draft."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()
    name = serializers.CharField()
    created_at = serializers.DateTimeField()
    archived_at = serializers.DateTimeField(allow_null=True)
    copied_from = serializers.UUIDField(
        source="copied_from_id", allow_null=True, help_text="The template that this one was copied from."
    )
    copied_revision = serializers.UUIDField(
        source="copied_revision_id", allow_null=True, help_text="The revision, where it was one of those."
    )


class TemplateOutput(TemplateListedOutput):
    draft = ObjectOutput()
    problems = serializers.SerializerMethodField()

    @extend_schema_field(DraftProblemOutput(many=True))
    def get_problems(self, row: Template) -> list[dict[str, str]]:
        return [problem.as_json() for problem in field_problems(draft_problems(row.draft), "/draft")]


class TemplateCopyInput(InputSerializer):
    name = fields.CharField(max_length=120)
    revision = fields.UUIDField(
        required=False, allow_null=True, help_text="A revision of the template; left out: its draft."
    )


class TemplateCheckInput(InputSerializer):
    document = ObjectField(help_text="A revision document, complete or not.")


class TemplateCheckOutput(OutputSerializer):
    """Empty `problems`: it could be published as it is."""

    problems = DraftProblemOutput(many=True)


class DifferenceOutput(OutputSerializer):
    """One change, in a sentence."""

    pointer = serializers.CharField(
        allow_null=True, help_text="JSON pointer into the later document; null where something is gone."
    )
    pointer_before = serializers.CharField(
        allow_null=True, help_text="Into the earlier document; null where something is new."
    )
    part = serializers.CharField(
        help_text="`blocks`, `work`, `variations`, `load`, `rules`, `aim`, `texts`, `title`, `quality`, "
        "`overall`."
    )
    sentence = serializers.CharField()


class DifferencesOutput(OutputSerializer):
    """From `against` to `revision`; empty `items`: the two say the same."""

    revision = serializers.UUIDField()
    against = serializers.UUIDField()
    items = DifferenceOutput(many=True)


class PublishInput(InputSerializer):
    version = fields.IntegerField(min_value=1, help_text="The template's version that is to be published.")


class RevisionListedOutput(OutputSerializer):
    """Without the document."""

    id = serializers.UUIDField()
    template = serializers.UUIDField(source="template_id")
    location = serializers.UUIDField(
        source="location_id",
        allow_null=True,
        help_text="Whose own version it is; it has numbers of its own there. Null: every location may use it.",
    )
    number = serializers.IntegerField()
    title = serializers.CharField()
    sha256 = serializers.CharField()
    rules_version = serializers.IntegerField()
    published_by = serializers.UUIDField(source="published_by_id")
    created_at = serializers.DateTimeField()


@extend_schema_field(document_schema.REFERENCE)
class RevisionDocumentOutput(ObjectOutput):
    """The document as it was published."""


class RevisionOutput(RevisionListedOutput):
    document = RevisionDocumentOutput()

from django.db import models

from programming.models.group import Group
from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel, VersionedModel


class Template(VersionedModel):
    """A session as it is being written; publishing makes an immutable revision of its draft.

    A copy names the template it was made from, and the revision if it was one of those.
    """

    name = models.CharField(max_length=120)
    draft = DocumentField()
    archived_at = models.DateTimeField(null=True)
    copied_from = TenantForeignKey("Template", models.PROTECT, null=True, related_name="+")
    copied_revision = TenantForeignKey("Revision", models.PROTECT, null=True, related_name="+")

    def __str__(self) -> str:
        return self.name


class Revision(TenantModel):
    """A published session: one validated document and its hash; never changes.

    `location` is null for a revision that every location may use. A location's own is used there alone, and
    has numbers of its own.
    """

    template = TenantForeignKey(Template, models.PROTECT, related_name="revisions")
    location = TenantForeignKey("tenancy.Location", models.PROTECT, null=True, related_name="+")
    number = models.PositiveIntegerField()
    document = DocumentField()
    sha256 = models.CharField(max_length=64)
    rules_version = models.PositiveSmallIntegerField()
    published_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["org", "template", "location", "number"],
                nulls_distinct=False,
                name="revision_number_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.template_id} r{self.number}"


class ScheduledSession(VersionedModel):
    """A revision on a date at a location, for a group or for whoever trains there.

    `local_date` is stored: a later change of zone moves nothing. A session that came with a week that was
    copied names the one it came from, and the Monday of the week it was made for: once for each. `changed_at` is when
    it was moved, cancelled or given another revision last; null while it is as it was placed.
    """

    revision = TenantForeignKey(Revision, models.PROTECT, related_name="scheduled")
    location = TenantForeignKey("tenancy.Location", models.PROTECT, related_name="+")
    group = TenantForeignKey(Group, models.PROTECT, null=True, related_name="+")
    starts_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    cancelled_at = models.DateTimeField(null=True)
    changed_at = models.DateTimeField(null=True)
    copied_from = TenantForeignKey("ScheduledSession", models.PROTECT, null=True, related_name="+")
    copy_week = models.DateField(null=True)
    placed_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "copied_from", "copy_week"], name="copied_once_to_a_week")
        ]
        indexes = [
            models.Index(fields=["org", "location", "-starts_at", "-id"], name="session_by_location"),
            models.Index(fields=["org", "group", "-starts_at", "-id"], name="session_by_group"),
            models.Index(fields=["org", "-starts_at", "-id"], name="session_by_time"),
        ]

    def __str__(self) -> str:
        return f"{self.revision_id} on {self.local_date}"

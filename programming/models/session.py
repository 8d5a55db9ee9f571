from django.db import models

from services.tenancy.models import TenantForeignKey, TenantModel, VersionedModel


class Template(VersionedModel):
    """A session as it is being written; publishing makes an immutable revision of its draft."""

    name = models.CharField(max_length=120)
    draft = models.JSONField()

    def __str__(self) -> str:
        return self.name


class Revision(TenantModel):
    """A published session: one validated document and its hash; never changes."""

    template = TenantForeignKey(Template, models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    document = models.JSONField()
    sha256 = models.CharField(max_length=64)
    rules_version = models.PositiveSmallIntegerField()
    published_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "template", "number"], name="revision_number_once")
        ]

    def __str__(self) -> str:
        return f"{self.template_id} r{self.number}"


class ScheduledSession(VersionedModel):
    """A revision on a date at a location. `local_date` is stored: a later change of zone moves nothing."""

    revision = TenantForeignKey(Revision, models.PROTECT, related_name="scheduled")
    location = TenantForeignKey("tenancy.Location", models.PROTECT, related_name="+")
    starts_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    cancelled_at = models.DateTimeField(null=True)
    placed_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = [
            models.Index(fields=["org", "location", "-starts_at", "-id"], name="session_by_location"),
            models.Index(fields=["org", "-starts_at", "-id"], name="session_by_time"),
        ]

    def __str__(self) -> str:
        return f"{self.revision_id} on {self.local_date}"

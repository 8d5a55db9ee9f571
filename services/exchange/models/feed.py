from django.db import models

from services.tenancy.models import TenantForeignKey, TenantModel


class Feed(TenantModel):
    """A calendar that other programs read by a secret address, of an athlete or of a location.

    Only the digest of the secret is kept. It shows what its maker may see, as long as the maker is a member.
    `reads` counts since `reads_since`, which bounds how often a program may ask.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, null=True, related_name="+")
    location = TenantForeignKey("tenancy.Location", models.PROTECT, null=True, related_name="+")
    label = models.CharField(max_length=80)
    entry_minutes = models.PositiveSmallIntegerField()
    digest = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")
    reads = models.PositiveIntegerField(default=0)
    reads_since = models.DateTimeField(null=True)
    last_read_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(athlete=None) ^ models.Q(location=None), name="feed_has_one_subject"
            ),
            models.CheckConstraint(
                condition=models.Q(entry_minutes__gte=5, entry_minutes__lte=480),
                name="feed_entry_has_a_length",
            ),
        ]
        indexes = [models.Index(fields=["org", "-created_at", "-id"], name="feed_newest")]

    def __str__(self) -> str:
        return self.label

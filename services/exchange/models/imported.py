from django.db import models

from services.exchange.states import FAILED, WAITING
from services.tenancy.models import TenantForeignKey, TenantModel


class Import(TenantModel):
    """A table on its way in. The worker takes its rows in pieces, in order; `rows_done` says how far it is.

    `text` is kept until the last row is done, and `sha256` of all that was sent after that: the same again is the
    same import. state: waiting, working, done, failed (`reason` says why).
    """

    kind = models.CharField(max_length=20)
    dry_run = models.BooleanField()
    columns = models.JSONField()
    location = TenantForeignKey("tenancy.Location", models.PROTECT, null=True, related_name="+")
    sha256 = models.CharField(max_length=64)
    text = models.TextField()
    rows_total = models.PositiveIntegerField()
    rows_done = models.PositiveIntegerField(default=0)
    created_rows = models.PositiveIntegerField(default=0)
    duplicate_rows = models.PositiveIntegerField(default=0)
    invalid_rows = models.PositiveIntegerField(default=0)
    ignored_columns = models.JSONField()
    state = models.CharField(max_length=10, default=WAITING)
    reason = models.CharField(max_length=500, default="")
    made_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")
    finished_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            # A dry run may be repeated: what would become of a row depends on what is stored by then.
            models.UniqueConstraint(
                fields=["org", "made_by", "sha256"],
                name="import_once",
                condition=models.Q(dry_run=False) & ~models.Q(state=FAILED),
            )
        ]
        indexes = [models.Index(fields=["org", "-created_at", "-id"], name="import_newest")]

    def __str__(self) -> str:
        return f"{self.kind} {self.rows_done}/{self.rows_total}"


class ImportRow(TenantModel):
    """What became of one row. problems: [column, what to do] each."""

    taken = TenantForeignKey(Import, models.CASCADE, related_name="rows")
    number = models.PositiveIntegerField()
    outcome = models.CharField(max_length=10)
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, null=True, related_name="+")
    record = models.UUIDField(null=True)
    problems = models.JSONField(default=list)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "taken", "number"], name="import_row_once"),
        ]

    def __str__(self) -> str:
        return f"{self.number}: {self.outcome}"

from django.db import models

from services.exchange.states import WAITING
from services.tenancy.models import TenantForeignKey, TenantModel


class Export(TenantModel):
    """Everything of an athlete, or of the organisation, on its way out; the worker writes it sheet by sheet.

    athlete: None for the organisation. cursor: how far the sheet is that is being written. state: waiting, working,
    done, failed (`reason` says why); after `expires_at` the pieces are gone.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, null=True, related_name="+")
    state = models.CharField(max_length=10, default=WAITING)
    reason = models.CharField(max_length=500, default="")
    sheets_total = models.PositiveIntegerField()
    sheets_done = models.PositiveIntegerField(default=0)
    cursor = models.CharField(max_length=40, default="")
    size = models.PositiveBigIntegerField(default=0)
    made_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")
    finished_at = models.DateTimeField(null=True)
    expires_at = models.DateTimeField(null=True)

    class Meta:
        indexes = [models.Index(fields=["org", "-created_at", "-id"], name="export_newest")]

    def __str__(self) -> str:
        return f"export {self.sheets_done}/{self.sheets_total}"


class ExportPiece(TenantModel):
    """Some rows of one sheet, compressed: as lines of CSV without a header, and as JSON objects, one a line."""

    export = TenantForeignKey(Export, models.CASCADE, related_name="pieces")
    sheet = models.CharField(max_length=80)
    ordinal = models.PositiveIntegerField()
    rows = models.PositiveIntegerField()
    csv = models.BinaryField()
    json_lines = models.BinaryField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "export", "ordinal"], name="export_piece_once"),
        ]

    def __str__(self) -> str:
        return f"{self.sheet} {self.ordinal}"

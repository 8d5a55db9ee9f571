from django.db import models

from services.tenancy.models import TenantForeignKey, TenantModel


class ForecastCheck(TenantModel):
    """A part of a result held against the forecast that was frozen before it; derived, and gone with the result.

    work: the item whose first set it is, "" for the score of the block, which is of what is `scored`. low, high: the
    range of the forecast that the result takes; position: the point of it that counts, of a lower bound (kind
    at_least) the lowest. done, median, difference: in `unit`. left_out: why it tells nothing of forecasts, "" where
    it does; overridden: the forecast is of what a coach prescribed instead.
    """

    attempt = TenantForeignKey("scoring.Attempt", models.CASCADE, related_name="+")
    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    block = models.CharField(max_length=40)
    work = models.CharField(max_length=40, default="")
    movement = TenantForeignKey("programming.Movement", models.PROTECT, null=True, related_name="+")
    scored = models.CharField(max_length=20, default="")
    local_date = models.DateField()
    unit = models.CharField(max_length=16)
    kind = models.CharField(max_length=8)
    low = models.FloatField()
    high = models.FloatField()
    position = models.FloatField()
    done = models.FloatField(null=True)
    median = models.FloatField(null=True)
    difference = models.FloatField(null=True)
    left_out = models.CharField(max_length=20, default="")
    overridden = models.BooleanField(default=False)
    forecast_version = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["org", "attempt", "block", "work"], name="forecast_check_once_per_subject"
            ),
            models.CheckConstraint(
                condition=models.Q(movement=None, work="") | models.Q(movement__isnull=False, scored=""),
                name="forecast_check_has_one_subject",
            ),
        ]
        indexes = [
            models.Index(fields=["org", "athlete", "-local_date", "-id"], name="forecast_check_by_athlete"),
            models.Index(fields=["org", "movement", "local_date"], name="forecast_check_by_movement"),
        ]

    def __str__(self) -> str:
        return f"{self.work or self.block} of {self.attempt_id} at {self.position:.2f}"

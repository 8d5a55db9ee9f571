"""Resting and maximal heart rate of an athlete, as somebody measured or told them."""

from django.db import models

from services.tenancy.models import TenantForeignKey, TenantModel


class HeartRates(TenantModel):
    """What holds from a day on, in beats a minute; health data. What is put right is stated anew, or taken back.

    Each source is measured or told. coefficients: of athletes.calc.heart_rate, or "none" where nobody chose a set.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    from_date = models.DateField()
    resting_bpm = models.FloatField()
    resting_source = models.CharField(max_length=8)
    maximal_bpm = models.FloatField()
    maximal_source = models.CharField(max_length=8)
    coefficients = models.CharField(max_length=24)
    client_id = models.CharField(max_length=80, null=True)
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="heart_rates_client_id_once"),
            models.CheckConstraint(
                condition=models.Q(resting_bpm__gt=0, maximal_bpm__gt=models.F("resting_bpm")),
                name="heart_rates_are_possible",
            ),
        ]
        indexes = [
            models.Index(fields=["org", "athlete", "-from_date", "-created_at"], name="heart_rates_by_day")
        ]

    def __str__(self) -> str:
        return f"heart rates of {self.athlete_id} from {self.from_date}"

"""What an organisation asks its athletes about how they are, and what they answer."""

from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel, VersionedModel


class WellnessForm(TenantModel):
    """A version of the items that are asked under one key; the newest counts. Never changes.

    items: each with key, text, least, most, step, and which end of the scale is the better one (`better`).
    """

    key = models.CharField(max_length=40)
    number = models.PositiveIntegerField()
    name = models.CharField(max_length=120)
    items = DocumentField()
    set_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "key", "number"], name="wellness_form_once")]

    def __str__(self) -> str:
        return f"{self.key} {self.number}"


class WellnessAnswer(VersionedModel):
    """What an athlete answered on a day, any of the items; health data. form_key: of the form, once a day."""

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    form = TenantForeignKey(WellnessForm, models.PROTECT, related_name="+")
    form_key = models.CharField(max_length=40)
    local_date = models.DateField()
    answers = DocumentField()
    client_id = models.CharField(max_length=80, null=True)
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="wellness_answer_client_id_once"),
            models.UniqueConstraint(
                fields=["org", "athlete", "form_key", "local_date"], name="wellness_answered_once_a_day"
            ),
        ]
        indexes = [models.Index(fields=["org", "athlete", "-local_date", "-id"], name="wellness_by_day")]

    def __str__(self) -> str:
        return f"{self.form_key} of {self.athlete_id} on {self.local_date}"

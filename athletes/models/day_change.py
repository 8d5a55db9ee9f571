from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel


class DayChange(TenantModel):
    """What is different for one athlete in one session, for that day only. Never changes; `DayChangeEnd` ends it.

    kind: kit_in_use (`items` of the kit are not free), sore (`hazards` and `muscle_groups` are spared), drop_in
    (the athlete takes part although neither the location nor the group is theirs). until: it holds for every other
    session of the athlete on or before that date as well; null: for its own alone.
    """

    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, related_name="+")
    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    kind = models.CharField(max_length=12)
    items = DocumentField(default=list)
    hazards = DocumentField(default=list)
    muscle_groups = DocumentField(default=list)
    note = models.CharField(max_length=500, default="")
    until = models.DateField(null=True)
    client_id = models.CharField(max_length=80, null=True)
    made_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "client_id"], name="day_change_client_id_once")]
        indexes = [
            models.Index(fields=["org", "athlete", "session"], name="day_change_by_athlete"),
            models.Index(fields=["org", "session", "kind"], name="day_change_by_session"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.athlete_id} at {self.session_id}"


class DayChangeEnd(TenantModel):
    """A day change holds no longer: the kit is free again, or it was a mistake. Never changes."""

    day_change = TenantForeignKey(DayChange, models.CASCADE, related_name="ends")
    ended_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "day_change"], name="day_change_ended_once")]

    def __str__(self) -> str:
        return f"end of {self.day_change_id}"

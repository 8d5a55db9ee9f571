"""Screening, absences, reports, holds. What people state is immutable, a new statement is a new row."""

from django.db import models

from services.tenancy.models import DocumentField, TenantForeignKey, TenantModel


class Screening(TenantModel):
    """Answers to a version of the question set; health data. Never changes, the newest one counts.

    answers maps the keys of the questions to true or false; `concern` says whether any is true. expires_on is the
    first day on which it is not valid any more.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    question_set = models.PositiveSmallIntegerField()
    answers = DocumentField()
    concern = models.BooleanField()
    used_to_vigorous_effort = models.BooleanField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    expires_on = models.DateField()
    client_id = models.CharField(max_length=80, null=True)
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "client_id"], name="screening_client_id_once")]
        indexes = [models.Index(fields=["org", "athlete", "-created_at", "-id"], name="screening_newest")]

    def __str__(self) -> str:
        return f"screening of {self.athlete_id}"


class ScreeningVoid(TenantModel):
    """Something has changed since a screening, which therefore holds no longer. Never changes."""

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    screening = TenantForeignKey(Screening, models.CASCADE, related_name="+")
    note = models.CharField(max_length=500, default="")
    local_date = models.DateField()
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "screening"], name="screening_voided_once")]

    def __str__(self) -> str:
        return f"void {self.screening_id}"


class StaffHold(TenantModel):
    """Set by the staff for a reason of their own. Never changes; a release ends it."""

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    reason = models.CharField(max_length=500)
    local_date = models.DateField()
    client_id = models.CharField(max_length=80, null=True)
    set_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "client_id"], name="staff_hold_client_id_once")]
        indexes = [models.Index(fields=["org", "athlete"], name="staff_hold_by_athlete")]

    def __str__(self) -> str:
        return f"hold on {self.athlete_id}"


class HoldRelease(TenantModel):
    """A named person has let an athlete go on, and why. Never changes.

    cause is the row that the hold rested on (screening, report, absence, staff hold); covers are that one and the
    older ones of the same code, so what comes later holds anew. cleared_by: which licensed person said what.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    code = models.CharField(max_length=24)
    cause = models.UUIDField()
    covers = DocumentField()
    reason = models.CharField(max_length=500)
    cleared_by = models.CharField(max_length=500, default="", blank=True)
    local_date = models.DateField()
    released_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "code", "cause"], name="hold_released_once")]
        indexes = [models.Index(fields=["org", "athlete", "-created_at", "-id"], name="release_by_athlete")]

    def __str__(self) -> str:
        return f"release of {self.code}"


class Absence(TenantModel):
    """Two weeks or more without known training, as asked; or an absence that somebody reports. Never changes.

    from_date to to_date are the days without training as known when it was written; peak_volumes maps movements to
    the highest repetitions in one session before, peak_amounts to the highest amounts by unit of what is not counted
    in repetitions, as noted by then (`athletes.stated` has what is noted since). origin: silence (the service asks),
    reported.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    origin = models.CharField(max_length=10)
    from_date = models.DateField()
    to_date = models.DateField()
    peak_volumes = DocumentField()
    peak_amounts = DocumentField(default=dict)
    client_id = models.CharField(max_length=80, null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "client_id"], name="absence_client_id_once"),
            models.UniqueConstraint(
                fields=["org", "athlete", "from_date"],
                name="absence_asked_once",
                condition=models.Q(origin="silence"),
            ),
        ]
        indexes = [models.Index(fields=["org", "athlete", "-from_date", "-id"], name="absence_by_athlete")]

    def __str__(self) -> str:
        return f"absence of {self.athlete_id} from {self.from_date}"


class AbsenceAnswer(TenantModel):
    """What became of the question: away until to_date, or trained all the same. Never changes.

    kind is one of athletes.calc.absence.KINDS and decides how the return goes. trained: what_was_done says what, and
    to_date is the last day of it.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    absence = TenantForeignKey(Absence, models.CASCADE, related_name="answers")
    trained = models.BooleanField()
    kind = models.CharField(max_length=24, default="", blank=True)
    to_date = models.DateField()
    what_was_done = models.CharField(max_length=500, default="", blank=True)
    local_date = models.DateField()
    answered_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "absence"], name="absence_answered_once")]

    def __str__(self) -> str:
        return f"answer to {self.absence_id}"


class Report(TenantModel):
    """Pain, or a sign of an emergency, as it was told. Never changes; health data.

    kind pain: site, side, severity 0 to 10; "" and null where nobody said. kind red_flag: sign. during names the
    work, session where it happened.
    taken_otherwise lists what was not stored as it was told, and why (field, told, reason). told_digest is of all
    that was told: the same `client_id` with something else is another report, since none may be lost to a form.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    kind = models.CharField(max_length=10)
    sign = models.CharField(max_length=30, default="", blank=True)
    site = models.CharField(max_length=30, default="", blank=True)
    side = models.CharField(max_length=10, default="", blank=True)
    severity = models.PositiveSmallIntegerField(null=True)
    session = TenantForeignKey("programming.ScheduledSession", models.PROTECT, null=True, related_name="+")
    during = models.CharField(max_length=120, default="", blank=True)
    note = models.CharField(max_length=1000, default="", blank=True)
    happened_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    local_date = models.DateField()
    taken_otherwise = DocumentField(default=list)
    client_id = models.CharField(max_length=80, null=True)
    told_digest = models.CharField(max_length=64, default="", blank=True)
    reported_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["org", "athlete", "client_id", "told_digest"], name="report_told_once"
            )
        ]
        indexes = [models.Index(fields=["org", "athlete", "local_date"], name="report_by_athlete")]

    def __str__(self) -> str:
        return f"{self.kind} of {self.athlete_id}"


class ReportReview(TenantModel):
    """Who is to look at a report, and whether they have: written with it, acknowledged once.

    is_closed sorts what nobody has acknowledged to the front.
    """

    report = TenantForeignKey(Report, models.CASCADE, related_name="+")
    recipient = TenantForeignKey("tenancy.Membership", models.PROTECT, null=True, related_name="+")
    is_closed = models.BooleanField(default=False)
    acknowledged_at = models.DateTimeField(null=True)
    acknowledged_by = models.ForeignKey(
        "tenancy.Person", null=True, on_delete=models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=500, default="", blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["org", "report"], name="report_reviewed_once")]
        indexes = [models.Index(fields=["org", "is_closed", "created_at", "id"], name="report_queue")]

    def __str__(self) -> str:
        return f"review of {self.report_id}"


class SafetySettings(TenantModel):
    """How an organisation, or one location of it, handles safety; the newest row holds, none ever changes."""

    location = TenantForeignKey("tenancy.Location", models.PROTECT, null=True, related_name="+")
    missing_screening_holds = models.BooleanField(default=False)
    emergency_number = models.CharField(max_length=40, default="", blank=True)
    emergency_text = models.CharField(max_length=1000, default="", blank=True)
    recipient = TenantForeignKey("tenancy.Membership", models.PROTECT, null=True, related_name="+")
    set_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = [models.Index(fields=["org", "location", "-created_at"], name="safety_settings_newest")]

    def __str__(self) -> str:
        return f"safety of {self.location_id or 'the organisation'}"


class WorkDone(TenantModel):
    """What was done of a movement in one session or test; derived, replaced with its source.

    source: attempt, assessment, or statement (somebody said that there was training, movement null). repetitions
    are all of them, failure_repetitions those of sets that ended by failure, eccentric 0..1 their mean; amounts: by
    unit what was not counted in repetitions. hour is that of local_date, 0 to 24 by the clock of where the athlete
    is. doubted: a result whose numbers wait for somebody to look at them: work that may have tired, and nothing that
    the athlete is known to be used to.
    """

    athlete = TenantForeignKey("athletes.Athlete", models.CASCADE, related_name="+")
    movement = TenantForeignKey("programming.Movement", models.PROTECT, null=True, related_name="+")
    source = models.CharField(max_length=12)
    source_id = models.UUIDField()
    local_date = models.DateField()
    hour = models.FloatField(default=12.0)
    repetitions = models.FloatField(default=0.0)
    failure_repetitions = models.FloatField(default=0.0)
    eccentric = models.FloatField(default=0.5)
    amounts = DocumentField(default=dict)
    doubted = models.BooleanField(default=False)
    recorded_by = models.ForeignKey("tenancy.Person", on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["org", "source", "source_id", "movement"], name="work_done_once_per_source"
            )
        ]
        indexes = [models.Index(fields=["org", "athlete", "local_date"], name="work_done_by_day")]

    def __str__(self) -> str:
        return f"{self.repetitions} of {self.movement_id} on {self.local_date}"

from django.db import models

from services.tenancy.models import TenantModel


class Change(TenantModel):
    """A durable row that says "this must be recomputed".

    A counter, not a queue: any number of writes to one subject coalesce into one recompute. It is due
    while `version > done`. `tries` counts what a worker began, not what the relay sent, so that a wiped
    broker never parks a healthy subject.
    """

    kind = models.CharField(max_length=30)
    subject = models.UUIDField()
    from_date = models.DateField(null=True)
    priority = models.SmallIntegerField(default=0)
    version = models.BigIntegerField(default=1)
    done = models.BigIntegerField(default=0)
    sent_at = models.DateTimeField(null=True)
    sent_version = models.BigIntegerField(default=0)
    due_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    error = models.TextField(default="")
    parked_at = models.DateTimeField(null=True)
    marked_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["org", "kind", "subject"], name="change_once_per_subject"),
        ]
        indexes = [
            models.Index(
                fields=["org", "priority", "due_at"],
                name="change_due",
                condition=models.Q(version__gt=models.F("done"), parked_at=None),
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.subject} v{self.version}/{self.done}"

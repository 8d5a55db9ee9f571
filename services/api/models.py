from django.db import models

from services.tenancy.models import TenantModel


class IdempotencyKey(TenantModel):
    """A key that a client sent with a POST, and the answer it got.

    Inserted in the transaction of the effect, so that both are stored or neither; `status` is null only
    inside that transaction. The body is kept as the text that was sent: a replay is equal to the byte.
    """

    principal_id = models.UUIDField()
    route = models.CharField(max_length=300)
    key = models.CharField(max_length=128)
    fingerprint = models.BinaryField(max_length=32)
    status = models.PositiveSmallIntegerField(null=True)
    headers = models.JSONField(default=dict)
    body = models.TextField(default="")
    expires_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["org", "principal_id", "route", "key"], name="idempotency_key_once_per_principal"
            )
        ]
        indexes = [models.Index(fields=["org", "expires_at"], name="idempotency_key_expiry")]

    def __str__(self) -> str:
        return f"{self.route} {self.key}"

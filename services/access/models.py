from uuid import UUID, uuid4

from django.db import models
from knox.models import AbstractAuthToken


class ApiToken(AbstractAuthToken):
    """A device's or program's key, hashed; belongs to a person, may be narrowed to one organisation.

    It has no `org` of the tenant kind on purpose: it is looked up before a tenant is known, under policies
    of its own (the presented key, or the signed-in person).
    """

    handle = models.UUIDField(default=uuid4, editable=False, unique=True)
    label = models.CharField(max_length=80)
    only_org = models.ForeignKey(
        "tenancy.Organisation", null=True, on_delete=models.CASCADE, related_name="+"
    )
    scopes = models.JSONField(default=list)
    # Prolonged by use, as a sign-in is; a token whose life was asked for ends when it was said to.
    renews = models.BooleanField(default=False)
    last_used_at = models.DateTimeField(null=True)
    with_factor = models.BooleanField(default=False)
    """Whether a code of the second factor was given for it, or for the token that asked for it."""

    @property
    def org_id(self) -> UUID | None:
        """The one organisation that the token is good for, None for all of its person's."""
        only: UUID | None = self.only_org_id
        return only

    def __str__(self) -> str:
        return self.label


class SecondFactor(models.Model):
    """What a person's telephone makes codes from (RFC 6238), beside the password; on once a code has proven it.

    It belongs to a person and to no organisation: only they see it, by a policy of its own. last_step: of the newest
    code that was accepted; that one and all before it open nothing any more. wrong_codes: in a row, the last of them
    at wrong_at.
    """

    person = models.OneToOneField(
        "tenancy.Person", primary_key=True, on_delete=models.CASCADE, related_name="+"
    )
    secret = models.CharField(max_length=64)
    offered_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(null=True)
    last_step = models.BigIntegerField(default=0)
    wrong_codes = models.PositiveIntegerField(default=0)
    wrong_at = models.DateTimeField(null=True)


class RecoveryCode(models.Model):
    """A code for who has lost the telephone; good once, kept as its digest."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    person = models.ForeignKey("tenancy.Person", on_delete=models.CASCADE, related_name="+")
    digest = models.CharField(max_length=64)
    used_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "digest"], name="recovery_code_once_per_person")
        ]


class FactorEvent(models.Model):
    """What became of somebody's second factor, and of their password; never changed.

    what: set_up, removed, recovery_code_used, codes_closed (too many wrong ones in a row),
    password_changed.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    person = models.ForeignKey("tenancy.Person", on_delete=models.CASCADE, related_name="+")
    what = models.CharField(max_length=30)
    created_at = models.DateTimeField(auto_now_add=True)

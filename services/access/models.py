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

    @property
    def org_id(self) -> UUID | None:
        """The one organisation that the token is good for, None for all of its person's."""
        only: UUID | None = self.only_org_id
        return only

    def __str__(self) -> str:
        return self.label

from typing import Any
from uuid import uuid4

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower

WEIGHTS = ("kg", "lb")
"""In which a person reads weights; what is stored and sent is kilograms."""


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, email: str, name: str, password: str | None = None, **fields: Any) -> "Person":
        person = self.model(email=email.lower(), name=name, **fields)
        person.set_password(password)
        person.full_clean(exclude=["id"], validate_unique=False)
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser):  # type: ignore[django-manager-missing]  # the tokens are a layer above
    """A human with one sign-in, whatever organisations they belong to."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    weights = models.CharField(max_length=2, default="kg")
    created_at = models.DateTimeField(auto_now_add=True)

    objects = PersonManager()

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(email=Lower("email")), name="person_email_is_lower_case"
            ),
            models.CheckConstraint(condition=models.Q(weights__in=WEIGHTS), name="person_weights_are_known"),
        ]

    def __str__(self) -> str:
        return self.name

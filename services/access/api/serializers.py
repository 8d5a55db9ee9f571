from typing import Any
from zoneinfo import available_timezones

from rest_framework import serializers

from services.api import fields
from services.api.serializers import InputSerializer, OutputSerializer
from services.tenancy.actor import ALL_SCOPES, Role
from services.tenancy.models.person import WEIGHTS

ROLES = [role.value for role in Role]


class ZoneField(fields.CharField):
    """An IANA time zone name."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=64, **kwargs)

    def to_internal_value(self, data: Any) -> str:
        value: str = super().to_internal_value(data)
        if value not in available_timezones():
            raise serializers.ValidationError(
                "Must be an IANA zone such as Europe/Lisbon.", code="unknown_zone"
            )
        return value


class SignInInput(InputSerializer):
    email = fields.EmailField()
    password = fields.CharField(max_length=200, trim_whitespace=False)
    label = fields.CharField(max_length=80)  # type: ignore[assignment]  # the field is called so
    scopes = fields.ListField(
        child=fields.ChoiceField(choices=sorted(ALL_SCOPES)), max_length=len(ALL_SCOPES), required=False
    )

    second_factor = fields.CharField(
        max_length=40,
        required=False,
        help_text="The six digits of the moment, or a recovery code; only where a second factor is set up.",
    )


class SecondFactorBegin(InputSerializer):
    password = fields.CharField(max_length=200, trim_whitespace=False)


class SecondFactorConfirm(InputSerializer):
    code = fields.CharField(max_length=40, help_text="The six digits of the moment.")


class SecondFactorRemove(InputSerializer):
    password = fields.CharField(max_length=200, trim_whitespace=False)
    code = fields.CharField(max_length=40, help_text="The six digits of the moment, or a recovery code.")


class PasswordChange(InputSerializer):
    password = fields.CharField(max_length=200, trim_whitespace=False, help_text="The one until now.")
    new_password = fields.CharField(max_length=200, trim_whitespace=False)
    second_factor = fields.CharField(
        required=False,
        allow_null=True,
        max_length=40,
        help_text="Where one is set up: the six digits of the moment, or a recovery code.",
    )


class FactorEventOutput(OutputSerializer):
    what = serializers.ChoiceField(
        choices=["set_up", "recovery_code_used", "removed", "codes_closed", "password_changed"]
    )
    at = serializers.DateTimeField(source="created_at")


class SecondFactorOutput(OutputSerializer):
    since = serializers.DateTimeField(allow_null=True, help_text="null: none is set up.")
    recovery_codes_left = serializers.IntegerField(source="codes_left")
    events = FactorEventOutput(many=True, help_text="The newest twenty.")


class SecondFactorOffer(OutputSerializer):
    """What a program that makes codes by time wants: six digits, every 30 s, HMAC-SHA-1 (RFC 6238)."""

    secret = serializers.CharField(help_text="In base 32.")
    address = serializers.CharField(help_text="The same as an otpauth:// address, for a QR code.")


class RecoveryCodesOutput(OutputSerializer):
    recovery_codes = serializers.ListField(
        child=serializers.CharField(), help_text="Each opens once; shown once, only their hashes are kept."
    )


class TokenInput(InputSerializer):
    label = fields.CharField(max_length=80)  # type: ignore[assignment]  # the field is called so
    scopes = fields.ListField(
        child=fields.ChoiceField(choices=sorted(ALL_SCOPES)), max_length=len(ALL_SCOPES)
    )
    organisation = fields.UUIDField(required=False, allow_null=True)
    days = fields.IntegerField(min_value=1, max_value=365, required=False)


class TokenOutput(OutputSerializer):
    id = serializers.UUIDField(source="handle")
    label = serializers.CharField()  # type: ignore[assignment]  # the field is called so
    scopes = serializers.ListField(child=serializers.CharField())
    organisation = serializers.UUIDField(source="only_org_id", allow_null=True)
    created_at = serializers.DateTimeField(source="created")
    expires_at = serializers.DateTimeField(source="expiry", allow_null=True)
    renews = serializers.BooleanField(help_text="Whether use prolongs it, up to a year in all.")
    last_used_at = serializers.DateTimeField(allow_null=True)


class NewTokenOutput(TokenOutput):
    token = serializers.CharField(help_text="Shown once; only its hash is kept.")


class StandingOutput(OutputSerializer):
    organisation = serializers.UUIDField(source="org_id")
    name = serializers.CharField(source="org.name")
    role = serializers.ChoiceField(choices=ROLES)


_WEIGHTS_HELP = "In which the person reads weights on pages; what the interface takes and tells is kilograms."


class UnitsInput(InputSerializer):
    weights = fields.ChoiceField(choices=WEIGHTS, help_text=_WEIGHTS_HELP)


class UnitsOutput(OutputSerializer):
    weights = serializers.ChoiceField(choices=WEIGHTS, help_text=_WEIGHTS_HELP)


class MeOutput(OutputSerializer):
    id = serializers.UUIDField()
    email = serializers.EmailField()
    name = serializers.CharField()
    weights = serializers.ChoiceField(choices=WEIGHTS, help_text=_WEIGHTS_HELP)
    organisations = StandingOutput(many=True)


class OrganisationInput(InputSerializer):
    name = fields.CharField(max_length=120, required=False)
    staff_second_factor = fields.BooleanField(
        required=False,
        help_text="Whether owners, coaches and staff of a location work here with a second factor only.",
    )


class OrganisationOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    name = serializers.CharField()
    staff_second_factor = serializers.BooleanField()
    created_at = serializers.DateTimeField()


class LocationInput(InputSerializer):
    name = fields.CharField(max_length=120)
    zone = ZoneField()
    is_remote = fields.BooleanField(required=False)
    freeze_minutes = fields.IntegerField(min_value=0, max_value=10_080, required=False)


class LocationOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    name = serializers.CharField()
    zone = serializers.CharField()
    is_remote = serializers.BooleanField()
    freeze_minutes = serializers.IntegerField()


class MembershipInput(InputSerializer):
    role = fields.ChoiceField(choices=ROLES, required=False)
    locations = fields.ListField(child=fields.UUIDField(), max_length=200, required=False)


class MembershipOutput(OutputSerializer):
    id = serializers.UUIDField()
    version = serializers.IntegerField()
    person = serializers.UUIDField(source="person_id")
    name = serializers.CharField(source="person.name")
    role = serializers.ChoiceField(choices=ROLES)
    is_active = serializers.BooleanField()
    locations = serializers.SerializerMethodField()

    def get_locations(self, row: Any) -> list[str]:
        return sorted(str(place.location_id) for place in row.places.all())


class InvitationInput(InputSerializer):
    email = fields.EmailField()
    role = fields.ChoiceField(choices=ROLES)
    locations = fields.ListField(child=fields.UUIDField(), max_length=200, required=False)


class InvitationOutput(OutputSerializer):
    id = serializers.UUIDField()
    email = serializers.EmailField()
    role = serializers.ChoiceField(choices=ROLES)
    locations = serializers.ListField(child=serializers.UUIDField(), source="location_ids")
    expires_at = serializers.DateTimeField()
    accepted_at = serializers.DateTimeField(allow_null=True)


class NewInvitationOutput(InvitationOutput):
    secret = serializers.CharField(help_text="Shown once; pass it on to the person invited.")


class AcceptInput(InputSerializer):
    secret = fields.CharField(max_length=100)
    name = fields.CharField(max_length=120)
    password = fields.CharField(max_length=200, trim_whitespace=False)


class JoinInput(InputSerializer):
    secret = fields.CharField(max_length=100)


class AcceptedOutput(OutputSerializer):
    organisation = serializers.UUIDField(source="org_id")
    membership = serializers.UUIDField(source="id")
    role = serializers.ChoiceField(choices=ROLES)

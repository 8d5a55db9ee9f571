"""Input and output are separate: an input refuses what it does not know, an output writes what it lists."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import islice
from typing import Any, ClassVar

from rest_framework import serializers
from rest_framework.settings import api_settings

from services.api.fields import ListField, StrictField
from services.problems import MOST_ERRORS


class InputSerializer(serializers.Serializer):
    """Reads a body. Unknown fields are faults, also in nested objects.

    Fields come from `services.api.fields`, nested InputSerializers or `ListField`s of both; any other field
    is refused when the class is made: it would coerce types or look up rows outside the tenant.
    """

    default_error_messages = {"invalid": "Must be an object."}

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        for name, field in cls._declared_fields.items():
            if not _is_strict(field):
                raise TypeError(f"{cls.__qualname__}.{name}: use a field of services.api.fields for input.")

    def run_validation(self, data: Any = serializers.empty) -> Any:
        if data is None and not self.allow_null:
            fault = serializers.ErrorDetail("Must be an object.", code="null")
            raise serializers.ValidationError({api_settings.NON_FIELD_ERRORS_KEY: [fault]})
        return super().run_validation(data)

    def to_internal_value(self, data: Any) -> dict[str, Any]:
        faults: dict[str, Any] = {}
        if isinstance(data, Mapping):
            known = {field.field_name for field in self._writable_fields}
            unknown = islice((name for name in data if name not in known), MOST_ERRORS + 1)
            fault = serializers.ErrorDetail("This field is not known here.", code="unknown_field")
            faults = {str(name): [fault] for name in unknown}
        try:
            value: dict[str, Any] = super().to_internal_value(data)
        except serializers.ValidationError as error:
            if isinstance(error.detail, dict):
                faults.update(error.detail)
            raise serializers.ValidationError(faults or error.detail) from None
        if faults:
            raise serializers.ValidationError(faults)
        return value


def _is_strict(field: serializers.Field) -> bool:
    if isinstance(field, serializers.ListSerializer):
        return isinstance(field.child, InputSerializer) and getattr(field, "max_length", None) is not None
    if isinstance(field, ListField):
        return _is_strict(field.child)
    return isinstance(field, (StrictField, InputSerializer))


class OutputSerializer(serializers.Serializer):
    """Writes a representation; every field that the contract promises is listed, nothing is read through it.

    A nested queryset costs one query for each row unless the view's queryset prefetches it. beside_version names the
    fields that other rows decide, so that the ETag, which is of the row's version, has to tell them, too.
    """

    beside_version: ClassVar[tuple[str, ...]] = ()

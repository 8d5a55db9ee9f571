"""Pages by key: the cursor holds the last row's sort values, and the next page starts after them.

The comparison is one row comparison, `(at, id) < (…)`, which PostgreSQL can use as an index condition; an
offset would count through everything before it, and rows stored meanwhile would shift the pages.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.core import signing
from django.core.exceptions import ValidationError
from django.db.models import Field, Model, QuerySet
from django.db.models.fields.tuple_lookups import Tuple, TupleGreaterThan, TupleLessThan

from services.api.errors import InvalidCursor
from services.problems import FieldProblem, Invalid

DEFAULT_LIMIT = 50
MAX_LIMIT = 200
_SALT = "services.api.pagination"


@dataclass(frozen=True, slots=True)
class Page:
    rows: list[Any]
    next_path: str | None


class KeysetPage:
    """One page of a queryset.

    order   concrete columns of the model, all ascending or all descending ("-performed_at", "-id"); the last
            one is unique, none is nullable (a null would end the comparison)
    path    of the list, it enters the cursor's signature: a cursor serves one list of one organisation
    query   the query parameters as sent, without `cursor` and `limit`; they enter it too
    """

    def __init__(
        self, queryset: QuerySet, order: Sequence[str], *, path: str, query: Mapping[str, Sequence[str]]
    ) -> None:
        self.queryset, self.path, self.query = queryset, path, query
        self.descending = order[0].startswith("-")
        if any(name.startswith("-") != self.descending for name in order):
            raise TypeError(f"A row comparison runs in one direction only, not along {order}.")
        self.names = [name.removeprefix("-") for name in order]
        self.order = list(order)
        self.fields = [_column(queryset.model, name) for name in self.names]
        if not self.fields[-1].unique:
            raise TypeError(
                f"The last column of {order} must be unique, or rows would be lost between pages."
            )

    def read(self, *, limit: int, cursor: str | None) -> Page:
        """At most `limit` rows after the cursor (one query). Raises InvalidCursor."""
        rows = self.queryset.order_by(*self.order)
        if cursor is not None:
            comparison = TupleLessThan if self.descending else TupleGreaterThan
            rows = rows.filter(comparison(Tuple(*self.names), self._values(cursor)))
        found = list(rows[: limit + 1])
        if len(found) <= limit:
            return Page(found, None)
        query = {**self.query, "limit": [str(limit)], "cursor": [self._cursor(found[limit - 1])]}
        return Page(found[:limit], f"{self.path}?{urlencode(query, doseq=True)}")

    def _cursor(self, last: Any) -> str:
        values = [_text(field, last) for field in self.fields]
        return signing.dumps({"after": values, "of": self._fingerprint()}, salt=_SALT)

    def _values(self, cursor: str) -> tuple[Any, ...]:
        try:
            content = signing.loads(cursor, salt=_SALT)
            if content["of"] != self._fingerprint():
                raise InvalidCursor()
            return tuple(field.to_python(v) for field, v in zip(self.fields, content["after"], strict=True))
        except (signing.BadSignature, KeyError, TypeError, ValueError, ValidationError) as error:
            raise InvalidCursor() from error

    def _fingerprint(self) -> str:
        """Of everything that decides which rows the list has and in which order."""
        filters = sorted((name, list(values)) for name, values in self.query.items())
        identity = json.dumps([self.path, self.order, filters])
        return hashlib.sha256(identity.encode()).hexdigest()[:32]


def _column(model: type[Model], name: str) -> Field:
    field = model._meta.get_field(name)
    if not isinstance(field, Field) or field.null:
        raise TypeError(
            f"{model.__name__}.{name} cannot order a page: it must be a column that is never null."
        )
    return field


def _text(field: Field, row: Any) -> str:
    """The exact value as text; `value_to_string` keeps microseconds, unlike Django's JSON encoder."""
    if isinstance(row, Mapping):
        row = _Attributes(row)
    return str(field.value_to_string(row))


class _Attributes:
    def __init__(self, values: Mapping[str, Any]) -> None:
        self.__dict__.update(values)


def read_limit(text: str | None) -> int:
    """The page size asked for. Raises Invalid unless it is from 1 to MAX_LIMIT."""
    if text is None:
        return DEFAULT_LIMIT
    if text.isascii() and text.isdigit() and len(text) <= 4 and 1 <= int(text) <= MAX_LIMIT:
        return int(text)
    detail = f"Must be a whole number from 1 to {MAX_LIMIT}."
    raise Invalid(errors=[FieldProblem("", "out_of_range", detail, parameter="limit")])

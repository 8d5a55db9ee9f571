"""Strong entity tags from a version column (RFC 9110, 13; RFC 6585, 3).

A representation that also tells what other rows decide has a digest of that in its tag, "id-version.digest": for
If-None-Match all of it counts, for If-Match the version, since a change starts from the row alone.

The comparison that counts is made by the UPDATE itself: between reading a row and writing it another request
may have changed it, and then no row matches the version.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from hashlib import sha256
from typing import Any, Protocol, TypeVar

from django.db.models import F, Model
from django.http import HttpHeaders

from services.problems import BadRequest, PreconditionFailed, PreconditionRequired

_TAG = re.compile(r'\s*(W/)?"([\x21\x23-\x7e\x80-\uffff]*)"\s*(?:,|$)')
ANY = "*"
DIGEST_LENGTH = 12


class Versioned(Protocol):
    id: Any
    version: int


ModelT = TypeVar("ModelT", bound=Model)


def etag(identifier: Any, version: int) -> str:
    return f'"{identifier}-{version}"'


def etag_of(row: Versioned, beside: Sequence[Any] = ()) -> str:
    """beside: what the representation tells beside the row, in JSON; nothing of it leaves no trace."""
    plain = etag(row.id, row.version)
    if not any(beside):
        return plain
    digest = sha256(json.dumps(beside, sort_keys=True).encode()).hexdigest()
    return f'{plain[:-1]}.{digest[:DIGEST_LENGTH]}"'


def _of_version(tag: str) -> str:
    """The tag without a digest; neither ids nor versions have a point."""
    return tag if "." not in tag else f'{tag.partition(".")[0]}"'


def parse_tags(header: str) -> list[tuple[bool, str]]:
    """(is weak, quoted tag) of each entry; `*` is [(False, "*")]. Raises BadRequest."""
    if header.strip() == ANY:
        return [(False, ANY)]
    tags, position = [], 0
    while position < len(header):
        match = _TAG.match(header, position)
        if match is None:
            raise BadRequest('A precondition holds entity tags in double quotes, for example "…-3".')
        tags.append((match[1] is not None, f'"{match[2]}"'))
        position = match.end()
    if not tags:
        raise BadRequest("A precondition needs at least one entity tag.")
    return tags


def require_if_match(headers: HttpHeaders) -> list[tuple[bool, str]]:
    """The tags of If-Match. Raises PreconditionRequired (428) without the header."""
    header = headers.get("If-Match")
    if header is None:
        raise PreconditionRequired()
    return parse_tags(header)


def expected_version(headers: HttpHeaders, row: Versioned) -> int:
    """The version that the caller has seen, by strong comparison. Raises 428 and PreconditionFailed (412)."""
    current = etag_of(row)
    for weak, tag in require_if_match(headers):
        if tag == ANY or (not weak and _of_version(tag) == current):
            return row.version
    raise PreconditionFailed(headers={"ETag": current})


def replaced_version(headers: HttpHeaders, row: Versioned | None) -> int | None:
    """The version that a PUT replaces, None for the first one (If-None-Match: *). Raises PreconditionRequired where
    neither header says which, PreconditionFailed where it is not so.
    """
    first = headers.get("If-None-Match")
    if first is not None and (False, ANY) in parse_tags(first):
        if row is not None:
            raise PreconditionFailed("There is one already; read it and send its ETag in `If-Match`.")
        return None
    if row is not None:
        return expected_version(headers, row)
    if "If-Match" in headers:
        raise PreconditionFailed("There is none yet; send `If-None-Match: *`.")
    raise PreconditionRequired("There is none yet; send `If-None-Match: *`.")


def is_unchanged(headers: HttpHeaders, current: str) -> bool:
    """Whether If-None-Match names the current representation (weak comparison, RFC 9110 13.1.2)."""
    header = headers.get("If-None-Match")
    return header is not None and any(tag in (ANY, current) for _, tag in parse_tags(header))


def update_versioned(row: ModelT, expected: int, **fields: Any) -> ModelT:
    """Write the fields if the row still has the expected version, and raise the version by one.

    One query; a second one to read the row back. Raises PreconditionFailed with the current ETag.
    """
    manager = type(row)._default_manager
    changed = manager.filter(pk=row.pk, version=expected).update(version=F("version") + 1, **fields)
    if not changed:
        raise _failed(row)
    row.refresh_from_db()
    return row


def delete_versioned(row: Model, expected: int) -> None:
    """Delete the row if it still has the expected version. Raises PreconditionFailed."""
    deleted, _ = type(row)._default_manager.filter(pk=row.pk, version=expected).delete()
    if not deleted:
        raise _failed(row)


def _failed(row: Model) -> PreconditionFailed:
    current = type(row)._default_manager.filter(pk=row.pk).values_list("version", flat=True).first()
    return PreconditionFailed(headers={} if current is None else {"ETag": etag(row.pk, current)})

"""Bearer tokens: knox's hashing and expiry, under the narrow row policies that precede a tenant."""

import re
from datetime import timedelta
from typing import Any

from django.utils import timezone
from knox.auth import TokenAuthentication as KnoxAuthentication
from knox.settings import CONSTANTS
from rest_framework.exceptions import AuthenticationFailed

from services.tenancy.context import person, setting

# knox decodes and queries whatever comes; anything else than its own alphabet cannot be one of our tokens.
_TOKEN = re.compile(rb"[A-Za-z0-9_]{16,200}")
_LAST_USED_STEP = timedelta(hours=1)


class TokenAuthentication(KnoxAuthentication):
    def authenticate_credentials(self, token: bytes) -> tuple[Any, Any]:
        """The person and the token row, or AuthenticationFailed (four queries)."""
        if not _TOKEN.fullmatch(token):
            raise AuthenticationFailed("The token is malformed; sign in again to get one.")
        with setting("app.token_key", token[: CONSTANTS.TOKEN_KEY_LENGTH].decode("ascii")):
            user, row = super().authenticate_credentials(token)
        self._note_use(user, row)
        return user, row

    def _note_use(self, user: Any, row: Any) -> None:
        """Remember the last use, at most hourly, so that reads stay reads."""
        now = timezone.now()
        if row.last_used_at is None or row.last_used_at < now - _LAST_USED_STEP:
            with person(user.id):
                type(row).objects.filter(pk=row.pk).update(last_used_at=now)

"""Bearer tokens: knox's hashing and expiry, under the narrow row policies that precede a tenant."""

import re
from datetime import timedelta
from typing import Any

from django.utils import timezone
from knox.auth import TokenAuthentication as KnoxAuthentication
from knox.settings import CONSTANTS, knox_settings
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
        self._note_use(row)
        return user, row

    def renew_token(self, auth_token: Any) -> None:
        """Prolong a token that renews by the rule of knox, but without waiting for a lock."""
        if not auth_token.renews:
            return
        expiry = timezone.now() + knox_settings.TOKEN_TTL
        if knox_settings.AUTO_REFRESH_MAX_TTL is not None:
            expiry = min(expiry, auth_token.created + knox_settings.AUTO_REFRESH_MAX_TTL)
        if expiry - auth_token.expiry > timedelta(seconds=knox_settings.MIN_REFRESH_INTERVAL):
            _write_unless_busy(auth_token, expiry=expiry)

    def _note_use(self, row: Any) -> None:
        """Remember the last use, at most hourly, so that reads stay reads."""
        now = timezone.now()
        if row.last_used_at is None or row.last_used_at < now - _LAST_USED_STEP:
            _write_unless_busy(row, last_used_at=now)


def _write_unless_busy(row: Any, **fields: Any) -> None:
    """Update the token's row, unless another request of the same token has just done so.

    That request holds the row's lock until its transaction ends; waiting would line up all requests of a
    device behind its slowest one, and what it writes is the same anyway.
    """
    with person(row.user_id):
        free = type(row).objects.select_for_update(skip_locked=True).filter(pk=row.pk)
        type(row).objects.filter(pk__in=free.values("pk")).update(**fields)

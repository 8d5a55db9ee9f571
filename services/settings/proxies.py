"""Who is behind the proxies in front of the service."""

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str:
    """The address that the outermost trusted proxy has seen; the connection's own when none is trusted.

    Each proxy appends whom it has seen to `X-Forwarded-For`, so only the last `TRUSTED_PROXIES` entries are the
    proxies' word; what stands before them anybody can write.
    """
    direct = str(request.META.get("REMOTE_ADDR", ""))
    if not settings.TRUSTED_PROXIES:
        return direct
    seen = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    if len(seen) < settings.TRUSTED_PROXIES:
        return direct
    return seen[-settings.TRUSTED_PROXIES] or direct

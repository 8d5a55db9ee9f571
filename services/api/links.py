"""Addresses that leave the service."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest
from rest_framework.request import Request


def absolute(request: HttpRequest | Request, path: str) -> str:
    """The path below PUBLIC_URL; without that setting, below the host of the request."""
    base = public_url()
    return f"{base}{path}" if base else str(request.build_absolute_uri(path))


def public_url() -> str:
    """PUBLIC_URL without a slash at the end, "" when not set."""
    return str(settings.PUBLIC_URL or "").rstrip("/")

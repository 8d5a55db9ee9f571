"""What may go wrong where data goes in and out.

Unprocessable        422
├── TooManyFeeds            too_many_feeds
└── TooManyExports          too_many_exports
Conflict             409
└── ExportNotReady          export_not_ready
"""

from __future__ import annotations

from services.problems import Conflict, Unprocessable


class TooManyFeeds(Unprocessable):
    """One person has made as many calendar feeds here as one may."""

    code = "too_many_feeds"
    remedy = "Revoke a feed that is not read any more, then make the new one."


class TooManyExports(Unprocessable):
    """One person has as many exports as one may, finished ones that have not expired among them."""

    code = "too_many_exports"
    remedy = "Delete an export that you have fetched, or wait until one expires."


class ExportNotReady(Conflict):
    """The export is not written yet, has failed, or has expired: there is no file to fetch."""

    code = "export_not_ready"
    remedy = "Read the export: it says how far it is, why it failed, or when it expired."

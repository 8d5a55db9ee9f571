"""What may go wrong where data goes in and out.

Unprocessable        422
└── TooManyFeeds            too_many_feeds
"""

from __future__ import annotations

from services.problems import Unprocessable


class TooManyFeeds(Unprocessable):
    """One person has made as many calendar feeds here as one may."""

    code = "too_many_feeds"
    remedy = "Revoke a feed that is not read any more, then make the new one."

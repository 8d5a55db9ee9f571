"""What goes in and out in files, on the stage of the permission matrix."""

from __future__ import annotations

from typing import TYPE_CHECKING

from services.exchange.actions.exports import make_export
from services.exchange.actions.feeds import make_feed
from services.exchange.actions.imports import make_import

if TYPE_CHECKING:
    from tests.contracts.stage import Side


def send_files(side: Side) -> None:
    """A coach tries out a table with one athlete in it, takes along all that there is of another, and makes a
    calendar of that one.
    """
    actor = side.cast.coach.actor
    assert actor is not None
    with side.cast.inside():
        made, _ = make_import(
            actor=actor,
            kind="athletes",
            text=f"name\n{side.canary} newcomer\n",
            columns=[],
            location_id=side.cast.harbour.id,
            dry_run=True,
        )
        export = make_export(actor=actor, athlete_id=side.ids["athlete"])
        feed, side.secret_of_feed = make_feed(
            actor=actor,
            athlete_id=side.ids["athlete"],
            location_id=None,
            label=side.canary,
            entry_minutes=60,
        )
    side.ids |= {"import": made.id, "export": export.id, "feed": feed.id}

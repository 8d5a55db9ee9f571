from services.tenancy.personal import Erase, Kept

TABLES = (
    Kept(
        "exchange.Feed",
        Erase.DELETE,
        subject=("athlete_id", "made_by_id"),
        personal=("athlete", "label", "reads", "reads_since", "last_read_at"),
        impersonal=("location", "entry_minutes"),
        actors=("made_by",),
        secret=("digest",),
        note="with whom it is about, and with who made it, its secret address is gone",
    ),
    Kept(
        "exchange.Import",
        Erase.BLANK,
        subject=("made_by_id",),
        impersonal=(
            "kind",
            "dry_run",
            "columns",
            "location",
            "rows_total",
            "rows_done",
            "created_rows",
            "duplicate_rows",
            "invalid_rows",
            "ignored_columns",
            "state",
            "reason",
            "finished_at",
        ),
        actors=("made_by",),
        secret=("text", "sha256"),
        note="the table itself is kept until its last row is taken, and then blanked",
    ),
    Kept(
        "exchange.ImportRow",
        Erase.DELETE,
        subject=("athlete_id",),
        personal=("athlete", "record", "number", "outcome", "problems"),
        impersonal=("taken",),
    ),
)

from services.tenancy.personal import Erase, Kept

TABLES = (
    Kept(
        "programming.Movement",
        Erase.NOTHING,
        impersonal=(
            "key",
            "name",
            "pattern",
            "capacity_kind",
            "prior",
            "origin",
            "origin_hash",
            "version",
        ),
    ),
    Kept(
        "programming.Variation", Erase.NOTHING, impersonal=("movement", "key", "name", "current", "version")
    ),
    Kept(
        "programming.VariationVersion",
        Erase.NOTHING,
        impersonal=("variation", "number", "document", "sha256"),
    ),
    Kept("programming.LocationKit", Erase.NOTHING, impersonal=("location", "document", "version")),
    Kept("programming.Group", Erase.NOTHING, impersonal=("name", "location", "is_active", "version")),
    Kept(
        "programming.Template",
        Erase.NOTHING,
        impersonal=("name", "draft", "archived_at", "copied_from", "copied_revision", "version"),
    ),
    Kept(
        "programming.Revision",
        Erase.BLANK,
        subject=("published_by_id",),
        impersonal=("template", "location", "number", "document", "sha256", "rules_version"),
        actors=("published_by",),
    ),
    Kept(
        "programming.LocalVersion",
        Erase.BLANK,
        subject=("made_by_id",),
        impersonal=("location", "template", "origin", "revision", "number", "reason"),
        actors=("made_by",),
    ),
    Kept(
        "programming.ScheduledSession",
        Erase.BLANK,
        subject=("placed_by_id",),
        impersonal=(
            "revision",
            "location",
            "group",
            "starts_at",
            "zone",
            "local_date",
            "cancelled_at",
            "changed_at",
            "copied_from",
            "copy_week",
            "version",
        ),
        actors=("placed_by",),
    ),
)

"""Of `athletes.personal`: the tables about load."""

from services.tenancy.personal import Erase, Kept

LOAD_TABLES = (
    Kept(
        "athletes.TrainingLog",
        Erase.DELETE,
        subject=("athlete_id",),
        personal=(
            "athlete",
            "modality",
            "effort",
            "minutes",
            "distance_m",
            "mean_heart_rate",
            "highest_heart_rate",
            "note",
            "started_at",
            "zone",
            "local_date",
            "client_id",
        ),
        impersonal=("version",),
        actors=("recorded_by",),
    ),
    Kept(
        "athletes.RestDay",
        Erase.DELETE,
        subject=("athlete_id",),
        personal=("athlete", "local_date"),
        actors=("recorded_by",),
    ),
    Kept(
        "athletes.LoadDay",
        Erase.DELETE,
        subject=("athlete_id",),
        personal=(
            "athlete",
            "local_date",
            "state",
            "load_au",
            "minutes",
            "sessions",
            "sessions_without_load",
            "by_modality",
        ),
        impersonal=("method_version", "computed_at"),
    ),
    Kept(
        "athletes.LoadSummary",
        Erase.DELETE,
        subject=("athlete_id",),
        personal=(
            "athlete",
            "local_date",
            "days",
            "acute_total",
            "acute_weight",
            "chronic_total",
            "chronic_weight",
        ),
        impersonal=("method_version", "computed_at"),
    ),
)

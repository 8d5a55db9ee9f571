from services.tenancy.personal import Erase, Kept

TABLES = (
    Kept(
        "access.ApiToken",
        Erase.DELETE,
        subject=("user_id",),
        personal=(
            "user",
            "label",
            "only_org",
            "scopes",
            "renews",
            "created",
            "expiry",
            "handle",
            "last_used_at",
        ),
        secret=("digest", "token_key"),
    ),
)

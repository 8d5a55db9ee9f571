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
            "with_factor",
        ),
        secret=("digest", "token_key"),
    ),
    Kept(
        "access.SecondFactor",
        Erase.DELETE,
        subject=("person_id",),
        personal=("person", "offered_at", "confirmed_at"),
        secret=("secret", "last_step", "wrong_codes", "wrong_at"),
    ),
    Kept(
        "access.RecoveryCode",
        Erase.DELETE,
        subject=("person_id",),
        personal=("person", "used_at"),
        secret=("digest",),
    ),
    Kept("access.FactorEvent", Erase.DELETE, subject=("person_id",), personal=("person", "what")),
)

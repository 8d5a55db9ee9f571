from services.tenancy.personal import Erase, Kept

TABLES = (
    Kept(
        "api.IdempotencyKey",
        Erase.DELETE,
        subject=("principal_id",),
        personal=("principal_id", "route", "body"),
        impersonal=("key", "status", "headers", "expires_at"),
        secret=("fingerprint",),
        note="an answer may also name the athlete it is about: erased by its age of seven days",
    ),
)

from services.tenancy.personal import Erase, Kept

TABLES = (
    Kept(
        "changes.Change",
        Erase.DELETE,
        subject=("subject",),
        personal=("subject", "kind", "from_date"),
        impersonal=(
            "priority",
            "version",
            "done",
            "sent_at",
            "sent_version",
            "due_at",
            "tries",
            "parked_at",
            "marked_at",
            "done_at",
        ),
        secret=("error",),
        note="rows of kind athlete; an error may quote a value",
    ),
)

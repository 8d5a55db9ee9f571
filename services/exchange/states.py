"""How far an import or an export is, and what became of a row."""

from typing import Final

WAITING, WORKING, DONE, FAILED, EXPIRED = "waiting", "working", "done", "failed", "expired"
OF_IMPORTS: Final = (WAITING, WORKING, DONE, FAILED)
OF_EXPORTS: Final = (*OF_IMPORTS, EXPIRED)

CREATED, DUPLICATE, INVALID = "created", "duplicate", "invalid"
OUTCOMES: Final = (CREATED, DUPLICATE, INVALID)

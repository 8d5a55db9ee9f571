"""The tenant of the running transaction, told to PostgreSQL and to the scoped managers together.

Row-level security reads `app.org` (and, before the tenant is known, `app.person` and the look-up
settings); `ScopedManager` reads the context variable. Both are set here and nowhere else.
Every setting is transaction-local, and put back on exit where the transaction goes on, so that a pooled connection
carries nothing over.
"""

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from contextvars import ContextVar
from uuid import UUID

from django.db import DEFAULT_DB_ALIAS, connection, transaction
from psycopg.pq import TransactionStatus

from services.tenancy.cursors import kept_cursor

_org: ContextVar[UUID | None] = ContextVar("tenant_org", default=None)
_values: ContextVar[tuple[tuple[str, str], ...]] = ContextVar("tenancy_settings", default=())

SETTINGS = frozenset({"app.org", "app.person", "app.email", "app.token_key", "app.digest"})


def current_org() -> UUID | None:
    return _org.get()


def required_org() -> UUID:
    """The current organisation; raises RuntimeError outside of one."""
    org_id = _org.get()
    if org_id is None:
        raise RuntimeError("This belongs to an organisation; enter its tenant first.")
    return org_id


def _write(name: str, value: str) -> None:
    cursor = kept_cursor()
    cursor.execute("SELECT set_config(%s, %s, true)", [name, value])


def _usable() -> bool:
    """Whether the transaction still takes statements; a failed one forgets its settings by itself."""
    raw = connection.connection
    if raw is None or raw.closed or connection.needs_rollback:
        return False
    return bool(raw.info.transaction_status != TransactionStatus.INERROR)


@contextmanager
def setting(name: str, value: str, *, put_back: bool = True) -> Iterator[None]:
    """Set one of the look-up settings for the block (one query in, one out).

    put_back: False where the transaction ends with the block, which forgets the setting by itself.
    """
    if name not in SETTINGS:
        raise ValueError(f"{name} is not a tenancy setting")
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "A tenancy setting lives in a transaction; open one first."
        )
    values = dict(_values.get())
    previous = values.get(name, "")
    _write(name, value)
    token = _values.set(tuple({**values, name: value}.items()))
    try:
        yield
    finally:
        _values.reset(token)
        if put_back and _usable():
            _write(name, previous)


@contextmanager
def tenant(org_id: UUID, *, put_back: bool = True) -> Iterator[None]:
    """Enter an organisation for the block; needs an open transaction. put_back: see `setting`."""
    with setting("app.org", str(org_id), put_back=put_back):
        token = _org.set(org_id)
        try:
            yield
        finally:
            _org.reset(token)


def person(person_id: UUID) -> AbstractContextManager[None]:
    """Let the signed-in person see their own rows (memberships, tokens) before a tenant is known."""
    return setting("app.person", str(person_id))


@contextmanager
def tenant_transaction(org_id: UUID) -> Iterator[None]:
    """One transaction inside an organisation, for commands and workers."""
    put_back = connection.in_atomic_block
    with transaction.atomic(using=DEFAULT_DB_ALIAS), tenant(org_id, put_back=put_back):
        yield

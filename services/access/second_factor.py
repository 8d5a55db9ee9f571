"""The second factor of a sign-in: codes by time (RFC 6238), and recovery codes for who has lost the telephone.

Codes are of six digits and 30 s, by HMAC-SHA-1, as every program that makes them understands. One of the step before
or after is taken as well, for clocks that are wrong; each opens once, and none before it opens after it. The sign-in
locks an address on the net soon; against tries from many of them, codes by time are closed after MOST_WRONG in a row,
and then one is looked at in an hour. Recovery codes are too long to be guessed and stay open.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import math
import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from hmac import compare_digest
from typing import Any, Final
from uuid import UUID

import pyotp
from django.db import transaction

from services.access.errors import CodesClosed, FactorIsOff, FactorIsOn
from services.access.models import ApiToken, FactorEvent, RecoveryCode, SecondFactor
from services.tenancy.context import person as person_scope
from services.tenancy.models import Person

ISSUER: Final = "Dosewright"
STEP_S: Final = 30
SKEW_STEPS: Final = 1
RECOVERY_CODES: Final = 10
MOST_WRONG: Final = 50
CLOSED_FOR: Final = dt.timedelta(hours=1)
OFFER_LIFE: Final = dt.timedelta(minutes=15)
_LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""Nothing that is read as something else: no I, O, 0, 1."""
_LENGTH: Final = 16
"""80 bits: a digest needs nothing slower than SHA-256 then."""
_DIGITS: Final = re.compile(r"[0-9]{6}")


@dataclass(frozen=True)
class State:
    """since: when a code proved it, None where none is set up; codes_left: recovery codes not used yet."""

    since: dt.datetime | None
    codes_left: int
    events: Sequence[FactorEvent]


@dataclass(frozen=True)
class Offered:
    """A set-up that waits for its first code; the address is what a QR code holds."""

    secret: str
    address: str


def accepted_step(secret: str, code: str, now: dt.datetime, last_step: int) -> int | None:
    """The step that the code is of, if it is one of the moment and later than the last one that was accepted."""
    if not _DIGITS.fullmatch(code):  # texts beyond ASCII cannot even be compared
        return None
    present = int(now.timestamp()) // STEP_S
    maker = pyotp.TOTP(secret, interval=STEP_S)
    for step in range(present - SKEW_STEPS, present + SKEW_STEPS + 1):
        if step > last_step and compare_digest(maker.generate_otp(step), code):
            return step
    return None


def is_on(person_id: UUID) -> bool:
    with transaction.atomic(), person_scope(person_id):
        return SecondFactor.objects.filter(person_id=person_id).exclude(confirmed_at=None).exists()


def state_of(person_id: UUID) -> State:
    """What somebody may know of their own (three queries)."""
    with transaction.atomic(), person_scope(person_id):
        factor = SecondFactor.objects.filter(person_id=person_id).first()
        codes = RecoveryCode.objects.filter(person_id=person_id, used_at=None).count()
        events = list(FactorEvent.objects.filter(person_id=person_id).order_by("-created_at", "-id")[:20])
    return State(None if factor is None else factor.confirmed_at, codes, events)


def offer(person: Person, now: dt.datetime) -> Offered:
    """Begin a set-up, or begin it anew with another secret; nothing is asked at the door yet. Raises FactorIsOn."""
    secret = pyotp.random_base32()
    with transaction.atomic(), person_scope(person.pk):
        factor, new = SecondFactor.objects.select_for_update().get_or_create(
            person_id=person.pk, defaults={"secret": secret, "offered_at": now}
        )
        if factor.confirmed_at is not None:
            raise FactorIsOn()
        if not new:
            SecondFactor.objects.filter(person_id=person.pk).update(
                secret=secret, last_step=0, offered_at=now
            )
    return _offered(person, secret)


def offered(person: Person, now: dt.datetime) -> Offered | None:
    """The set-up that waits, to be shown again; not for long, since no password is asked for it."""
    with transaction.atomic(), person_scope(person.pk):
        waiting = SecondFactor.objects.filter(person_id=person.pk, confirmed_at=None)
        factor = waiting.filter(offered_at__gt=now - OFFER_LIFE).first()
    return None if factor is None else _offered(person, factor.secret)


def _offered(person: Person, secret: str) -> Offered:
    maker = pyotp.TOTP(secret, interval=STEP_S)
    return Offered(secret, maker.provisioning_uri(name=person.email, issuer_name=ISSUER))


def confirm(person: Person, code: str, token: Any, now: dt.datetime) -> list[str] | None:
    """Switch it on by a first code; the recovery codes, which exist nowhere else from here on. None: a wrong code.

    The token that it is done with counts as made with it. Raises FactorIsOn, FactorIsOff.
    """
    with transaction.atomic(), person_scope(person.pk):
        factor = SecondFactor.objects.select_for_update().filter(person_id=person.pk).first()
        if factor is None or (factor.confirmed_at is None and factor.offered_at <= now - OFFER_LIFE):
            raise FactorIsOff()
        if factor.confirmed_at is not None:
            raise FactorIsOn()
        step = accepted_step(factor.secret, _tidy(code), now, factor.last_step)
        if step is None:
            return None
        SecondFactor.objects.filter(person_id=person.pk).update(confirmed_at=now, last_step=step)
        codes = ["".join(secrets.choice(_LETTERS) for _ in range(_LENGTH)) for _ in range(RECOVERY_CODES)]
        RecoveryCode.objects.filter(person_id=person.pk).delete()
        RecoveryCode.objects.bulk_create(
            RecoveryCode(person_id=person.pk, digest=_digest(person.pk, one)) for one in codes
        )
        FactorEvent.objects.create(person_id=person.pk, what="set_up")
        ApiToken.objects.filter(pk=token.pk).update(with_factor=True)
    return ["-".join(one[at : at + 4] for at in range(0, _LENGTH, 4)) for one in codes]


def accept(person_id: UUID, code: str, now: dt.datetime) -> bool:
    """Whether the code opens, once: of two that are the same and come together one does. Raises CodesClosed."""
    code = _tidy(code)
    with transaction.atomic(), person_scope(person_id):
        factor = SecondFactor.objects.select_for_update().filter(person_id=person_id).first()
        if factor is None or factor.confirmed_at is None:
            return False
        if _DIGITS.fullmatch(code):
            _refuse_closed(factor, now)
            step = accepted_step(factor.secret, code, now, factor.last_step)
            if step is None:
                _count_wrong(factor, now)
                return False
            SecondFactor.objects.filter(person_id=person_id).update(last_step=step, wrong_codes=0)
            return True
        unused = RecoveryCode.objects.filter(person_id=person_id, used_at=None)
        if not unused.filter(digest=_digest(person_id, code)).update(used_at=now):
            return False
        FactorEvent.objects.create(person_id=person_id, what="recovery_code_used")
        return True


def _refuse_closed(factor: SecondFactor, now: dt.datetime) -> None:
    if factor.wrong_at is None or factor.wrong_codes < MOST_WRONG:
        return
    left = factor.wrong_at + CLOSED_FOR - now
    if left > dt.timedelta(0):
        raise CodesClosed(headers={"Retry-After": str(math.ceil(left.total_seconds()))})


def _count_wrong(factor: SecondFactor, now: dt.datetime) -> None:
    wrong = factor.wrong_codes + 1
    SecondFactor.objects.filter(pk=factor.pk).update(wrong_codes=wrong, wrong_at=now)
    if wrong == MOST_WRONG:
        FactorEvent.objects.create(person_id=factor.pk, what="codes_closed")


def remove(person_id: UUID) -> None:
    """Switch it off; no token counts as made with it any more. Whoever asks has proven password and code."""
    with transaction.atomic(), person_scope(person_id):
        RecoveryCode.objects.filter(person_id=person_id).delete()
        SecondFactor.objects.filter(person_id=person_id).delete()
        FactorEvent.objects.create(person_id=person_id, what="removed")
        ApiToken.objects.filter(user_id=person_id).update(with_factor=False)


def _tidy(code: str) -> str:
    """As people type it: in groups, small letters."""
    return re.sub(r"[\s-]", "", code).upper()


def _digest(person_id: UUID, code: str) -> str:
    return hashlib.sha256(f"{person_id}:{code}".encode()).hexdigest()

"""The second factor: codes by RFC 6238, each good once, asked at the one door, required where an owner says so."""

from __future__ import annotations

import base64
import datetime as dt
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pyotp
import pytest
import time_machine
from django.db import ProgrammingError, connection, connections, transaction
from django.utils import timezone

from services.access import second_factor
from services.access.models import FactorEvent, RecoveryCode, SecondFactor
from services.access.second_factor import accepted_step
from services.tenancy.context import person as person_scope
from tests.services.console.browse import PASSWORD, browser, with_password
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast, Member, make_cast

# RFC 6238, appendix B: the secret of the SHA-1 rows, times in s, and the last six of the eight digits.
SECRET = base64.b32encode(b"12345678901234567890").decode()
VECTORS = (
    (59, "287082"),
    (1111111109, "081804"),
    (1111111111, "050471"),
    (1234567890, "005924"),
    (2000000000, "279037"),
    (20000000000, "353130"),
)
MINE = "/api/v1/me/second-factor"


def at(seconds: float) -> dt.datetime:
    return dt.datetime.fromtimestamp(seconds, dt.UTC)


@pytest.mark.parametrize(("seconds", "code"), VECTORS)
def test_codes_are_those_of_the_standard(seconds: int, code: str) -> None:
    """Of the vectors of RFC 6238; a code with one other digit is none."""
    assert accepted_step(SECRET, code, at(seconds), 0) == seconds // 30
    other = code[:-1] + str((int(code[-1]) + 1) % 10)
    assert accepted_step(SECRET, other, at(seconds), 0) is None


@pytest.mark.parametrize(
    ("wrong_s", "good"),
    [(0, True), (29, True), (30, True), (59, True), (60, False), (-1, True), (-30, True), (-31, False)],
)
def test_a_clock_may_be_a_step_wrong(wrong_s: int, good: bool) -> None:
    """1111111110 is the first second of a step: for 30 s before, its code is of the step to come; from 30 to 59 s
    later, of the step before.
    """
    code = pyotp.TOTP(SECRET).at(1111111110)
    assert (accepted_step(SECRET, code, at(1111111110 + wrong_s), 0) is not None) is good


def test_neither_a_code_nor_one_before_it_opens_twice() -> None:
    """Of three neighbouring codes the middle one was used."""
    now = at(1111111110)
    present = 1111111110 // 30
    codes = [pyotp.TOTP(SECRET).at(1111111110 + offset) for offset in (-30, 0, 30)]
    assert [accepted_step(SECRET, code, now, present) for code in codes] == [None, None, present + 1]


@pytest.fixture
def real(committed: None) -> Iterator[Cast]:
    """In real transactions: what is refused must leave its mark behind.

    Python's clock stands in the middle of a step, so that no code grows old while a test works.
    """
    cast = make_cast()
    for member in (cast.owner, cast.coach, cast.athlete):
        with_password(member)
    with time_machine.travel(at(timezone.now().timestamp() // 30 * 30 + 15), tick=False):
        yield cast


def client(member: Member) -> ApiClient:
    return ApiClient(member.token)


def sign_in(member: Member, **fields: str) -> Any:
    told = {"email": member.person.email, "password": PASSWORD, "label": "phone", **fields}
    return ApiClient().post("/api/v1/sign-in", told)


def code_of(secret: str, steps: int = 0) -> str:
    return pyotp.TOTP(secret).at(timezone.now() + steps * dt.timedelta(seconds=30))


def set_up(member: Member) -> tuple[str, list[str]]:
    """(secret, recovery codes); uses up the code of the step before this one."""
    begun = client(member).post(MINE, {"password": PASSWORD})
    assert begun.status_code == 201
    secret: str = begun.json()["secret"]
    assert pyotp.parse_uri(begun.json()["address"]).secret == secret
    done = client(member).post(f"{MINE}/confirmation", {"code": code_of(secret, -1)})
    assert done.status_code == 201
    return secret, done.json()["recovery_codes"]


def test_a_token_is_made_with_a_code_only(real: Cast) -> None:
    """Without one, with a wrong one, and with one that was used there is none."""
    secret, _ = set_up(real.coach)
    assert_problem(sign_in(real.coach), "second_factor_needed", 401)
    wrong = str((int(code_of(secret)) + 1) % 1_000_000).zfill(6)
    assert_problem(sign_in(real.coach, second_factor=wrong), "second_factor_refused", 401)
    assert_problem(sign_in(real.coach, second_factor=code_of(secret, -1)), "second_factor_refused", 401)
    code = code_of(secret)
    made = sign_in(real.coach, second_factor=f"{code[:3]} {code[3:]}")
    assert made.status_code == 201
    assert ApiClient(made.json()["token"]).get("/api/v1/me").status_code == 200
    assert_problem(sign_in(real.coach, second_factor=code), "second_factor_refused", 401)
    told = client(real.coach).get(MINE).json()
    assert told["since"] is not None and [one["what"] for one in told["events"]] == ["set_up"]
    assert sign_in(real.owner).status_code == 201, "who has none is not asked"


def test_a_wrong_password_says_nothing_of_the_factor(real: Cast) -> None:
    """Whoever does not know the password does not learn that there is one."""
    set_up(real.coach)
    refused = sign_in(real.coach, password="a wrong pass phrase", second_factor="123456")
    assert_problem(refused, "sign_in_refused", 401)


def test_a_recovery_code_opens_once(real: Cast) -> None:
    """As it was written down, or in small letters without the hyphens; what is kept is no code."""
    _, codes = set_up(real.coach)
    assert len(set(codes)) == 10
    with transaction.atomic(), person_scope(real.coach.person.id):
        kept = set(RecoveryCode.objects.values_list("digest", flat=True))
    assert not any(code in kept or code.replace("-", "") in kept for code in codes)
    typed = codes[3].replace("-", "").lower()
    assert sign_in(real.coach, second_factor=typed).status_code == 201
    assert_problem(sign_in(real.coach, second_factor=codes[3]), "second_factor_refused", 401)
    told = client(real.coach).get(MINE).json()
    assert told["recovery_codes_left"] == 9
    assert {one["what"] for one in told["events"]} == {"set_up", "recovery_code_used"}


def test_wrong_codes_lock_like_wrong_passwords(real: Cast, settings: Any) -> None:
    """A right password in between clears nothing, and then the right code is refused too."""
    settings.AXES_FAILURE_LIMIT = 3
    secret, codes = set_up(real.coach)
    for _ in range(2):
        assert_problem(sign_in(real.coach, second_factor="AAAA-BBBB"), "second_factor_refused", 401)
        assert_problem(sign_in(real.coach), "second_factor_needed", 401)
    locked = sign_in(real.coach, second_factor="AAAA-BBBB")
    assert_problem(locked, "sign_in_locked", 429)
    assert int(locked.headers["Retry-After"]) > 0
    assert_problem(sign_in(real.coach, second_factor=code_of(secret)), "sign_in_locked", 429)
    assert_problem(sign_in(real.coach, second_factor=codes[0]), "sign_in_locked", 429)
    told = {"password": PASSWORD, "code": codes[0]}
    assert_problem(client(real.coach).post(f"{MINE}/removal", told), "sign_in_locked", 429)


def test_wrong_codes_from_many_places_close_codes_by_time(
    real: Cast, monkeypatch: Any, settings: Any
) -> None:
    """No lock of one address comes first. Then the right one waits for an hour
    too, a recovery code opens, it is noted once, and the first right one ends the row.
    """
    monkeypatch.setattr(second_factor, "MOST_WRONG", 4)
    settings.AXES_FAILURE_LIMIT = 100
    secret, codes = set_up(real.coach)
    wrong = str((int(code_of(secret)) + 1) % 1_000_000).zfill(6)
    start = timezone.now()

    def tried(code: str) -> Any:
        return sign_in(real.coach, second_factor=code)

    for _ in range(4):
        assert_problem(tried(wrong), "second_factor_refused", 401)
    closed = tried(code_of(secret))
    assert_problem(closed, "codes_closed", 429)
    assert closed.headers["Retry-After"] == "3600"
    assert tried(codes[0]).status_code == 201
    with time_machine.travel(start + dt.timedelta(minutes=59), tick=False):
        assert_problem(tried(code_of(secret)), "codes_closed", 429)
    with time_machine.travel(start + dt.timedelta(minutes=60), tick=False):
        assert_problem(tried(wrong), "second_factor_refused", 401)
        assert_problem(tried(code_of(secret)), "codes_closed", 429)
    with time_machine.travel(start + dt.timedelta(minutes=120), tick=False):
        assert tried(code_of(secret)).status_code == 201
        assert_problem(tried(wrong), "second_factor_refused", 401)
        assert tried(code_of(secret, 1)).status_code == 201
    events = [one["what"] for one in client(real.coach).get(MINE).json()["events"]]
    assert sorted(events) == ["codes_closed", "recovery_code_used", "set_up"]


def test_no_code_is_looked_at_while_a_set_up_is_locked(real: Cast, settings: Any) -> None:
    """Wrong first codes lock like others, and then the right one switches nothing on."""
    settings.AXES_FAILURE_LIMIT = 3
    me = client(real.coach)
    secret = me.post(MINE, {"password": PASSWORD}).json()["secret"]
    told = [me.post(f"{MINE}/confirmation", {"code": "AAAA"}).status_code for _ in range(3)]
    assert told == [401, 401, 429]
    locked = me.post(f"{MINE}/confirmation", {"code": code_of(secret)})
    assert_problem(locked, "sign_in_locked", 429)
    assert me.get(MINE).json()["since"] is None


def test_of_two_that_send_the_same_code_at_once_one_gets_in(real: Cast) -> None:
    """Several rounds, with codes by time and with recovery codes."""
    secret, codes = set_up(real.coach)

    def one(code: str) -> bool:
        try:
            return second_factor.accept(real.coach.person.id, code, timezone.now())
        finally:
            connections.close_all()

    with ThreadPoolExecutor(4) as pool:
        for code in (code_of(secret), *codes[:5]):
            assert sorted(pool.map(one, [code] * 4)) == [False, False, False, True]


def test_a_set_up_wants_the_password_and_is_nothing_before_its_first_code(real: Cast) -> None:
    """Begun anew the old secret is worth nothing, and after a while the new one neither."""
    me = client(real.coach)
    assert_problem(me.post(MINE, {"password": "a wrong pass phrase"}), "sign_in_refused", 401)
    assert_problem(me.post(f"{MINE}/confirmation", {"code": "123456"}), "second_factor_is_off", 409)
    old, new = (me.post(MINE, {"password": PASSWORD}).json()["secret"] for _ in range(2))
    assert sign_in(real.coach).status_code == 201
    assert_problem(me.post(f"{MINE}/confirmation", {"code": code_of(old)}), "second_factor_refused", 401)
    with transaction.atomic(), person_scope(real.coach.person.id):
        SecondFactor.objects.update(offered_at=timezone.now() - dt.timedelta(minutes=16))
    assert_problem(me.post(f"{MINE}/confirmation", {"code": code_of(new)}), "second_factor_is_off", 409)
    set_up(real.coach)
    assert_problem(me.post(MINE, {"password": PASSWORD}), "second_factor_is_on", 409)


@pytest.mark.parametrize("code", ["１２３４５６", "éééééé", "12345\ufffd"])
def test_a_first_code_beyond_ascii_is_a_wrong_one(real: Cast, code: str) -> None:
    """As the keyboard of another script writes digits; on the page it is told so too."""
    me = client(real.coach)
    me.post(MINE, {"password": PASSWORD})
    assert_problem(me.post(f"{MINE}/confirmation", {"code": code}), "second_factor_refused", 401)
    page = browser(real.coach).post("/second-factor", {"step": "confirm", "code": code})
    assert page.status_code == 401


def test_removing_wants_password_and_code_and_is_noted(real: Cast) -> None:
    """One of the two is not enough; afterwards the password alone opens again."""
    secret, codes = set_up(real.coach)
    removal, me = f"{MINE}/removal", client(real.coach)
    wrong = {"password": "a wrong pass phrase", "code": codes[0]}
    assert_problem(me.post(removal, wrong), "sign_in_refused", 401)
    assert_problem(me.post(removal, {"password": PASSWORD, "code": "000-000"}), "second_factor_refused", 401)
    assert_problem(sign_in(real.coach), "second_factor_needed", 401)
    assert me.post(removal, {"password": PASSWORD, "code": code_of(secret)}).status_code == 204
    assert sign_in(real.coach).status_code == 201
    told = me.get(MINE).json()
    assert (told["since"], told["recovery_codes_left"]) == (None, 0)
    assert sorted(one["what"] for one in told["events"]) == ["removed", "set_up"]
    assert_problem(me.post(removal, {"password": PASSWORD, "code": codes[1]}), "second_factor_is_off", 409)


def test_nobody_else_sees_a_row_and_no_note_changes(real: Cast) -> None:
    """Neither a colleague nor who only reads; what became of it is written down, and never rewritten."""
    set_up(real.coach)
    models = (SecondFactor, RecoveryCode, FactorEvent)
    for scope, counts in ((real.coach, [1, 10, 1]), (real.owner, [0, 0, 0])):
        with transaction.atomic(), person_scope(scope.person.id):
            assert [model.objects.count() for model in models] == counts
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT grantee FROM information_schema.role_table_grants "
            "WHERE table_name IN ('access_secondfactor', 'access_recoverycode', 'access_factorevent')"
        )
        assert {row[0] for row in cursor.fetchall()} <= {"dosewright_app", "dosewright_erasure"}
    with (
        pytest.raises(ProgrammingError, match="permission denied"),
        transaction.atomic(),
        person_scope(real.coach.person.id),
    ):
        FactorEvent.objects.update(what="removed")


def renamed(cast: Cast, token: str, **fields: object) -> Any:
    me, path = ApiClient(token), f"/api/v1/organisations/{cast.org.id}"
    return me.patch(path, fields, if_match=me.get(path).headers["ETag"])


def test_an_owner_requires_it_of_the_staff(real: Cast) -> None:
    """An owner without one cannot. Then staff work with one only, whenever the token was made; athletes as ever."""
    path = f"/api/v1/organisations/{real.org.id}/locations"
    assert_problem(renamed(real, real.owner.token, staff_second_factor=True), "second_factor_required", 403)
    set_up(real.owner)
    assert renamed(real, real.owner.token, staff_second_factor=True).json()["staff_second_factor"] is True
    assert client(real.owner).get(path).status_code == 200
    assert_problem(client(real.coach).get(path), "second_factor_required", 403)
    assert client(real.athlete).get(path).status_code == 200
    secret, _ = set_up(real.coach)
    assert client(real.coach).get(path).status_code == 200
    made = sign_in(real.coach, second_factor=code_of(secret)).json()["token"]
    assert ApiClient(made).get(path).status_code == 200
    narrower = ApiClient(made).post("/api/v1/tokens", {"label": "board", "scopes": ["programme:read"]}).json()
    assert ApiClient(narrower["token"]).get(path).status_code == 200
    told = {"password": PASSWORD, "code": code_of(secret, 1)}
    assert client(real.coach).post(f"{MINE}/removal", told).status_code == 204
    for token in (made, narrower["token"], real.coach.token):
        assert_problem(ApiClient(token).get(path), "second_factor_required", 403)


def test_a_password_is_changed_with_the_old_one_and_a_code(real: Cast) -> None:
    """A weak one wastes no code; all other tokens end, the one it was done with goes on; it is noted."""
    secret, _ = set_up(real.coach)
    other = sign_in(real.coach, second_factor=code_of(secret)).json()["token"]
    me, new = client(real.coach), "lanterns over the pier"

    def changed(**fields: str) -> Any:
        return me.post("/api/v1/me/password", {"password": PASSWORD, "new_password": new, **fields})

    with time_machine.travel(timezone.now() + dt.timedelta(seconds=30), tick=False):
        code = code_of(secret)
        assert_problem(changed(password="a wrong pass phrase", second_factor=code), "sign_in_refused", 401)
        assert_problem(changed(new_password="password1234", second_factor=code), "password_too_weak", 422)
        assert_problem(changed(), "second_factor_needed", 401)
        assert changed(second_factor=code).status_code == 204
        assert_problem(ApiClient(other).get("/api/v1/me"), "not_authenticated", 401)
        assert me.get(MINE).json()["events"][0]["what"] == "password_changed"
        assert_problem(sign_in(real.coach), "sign_in_refused", 401)
        assert_problem(sign_in(real.coach, password=new), "second_factor_needed", 401)


def test_guesses_at_the_old_password_lock(real: Cast, settings: Any) -> None:
    """Whoever found an open browser cannot try passwords without an end."""
    settings.AXES_FAILURE_LIMIT = 3
    told = {"password": "a wrong pass phrase", "new_password": "lanterns over the pier"}
    sent = [client(real.coach).post("/api/v1/me/password", told).status_code for _ in range(3)]
    assert sent == [401, 401, 429]
    locked = client(real.coach).post("/api/v1/me/password", {**told, "password": PASSWORD})
    assert_problem(locked, "sign_in_locked", 429)

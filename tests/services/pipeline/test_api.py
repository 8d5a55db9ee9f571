"""Owner and coaches see what hangs, and an owner gets it going again."""

from __future__ import annotations

from uuid import UUID, uuid4

import pytest

from services.changes.actions import claim, fail, record_change
from services.changes.models import Change
from services.pipeline import recompute
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast

pytestmark = pytest.mark.django_db


def url(cast: Cast, path: str = "changes") -> str:
    return f"/api/v1/organisations/{cast.org.id}/{path}"


def hanging(cast: Cast, count: int = 1) -> list[UUID]:
    """Changes that failed until they were parked, oldest first."""
    found = []
    for _ in range(count):
        subject = uuid4()
        with cast.inside():
            record_change(kind="ranking", subject=subject)
            change_id = Change.objects.get(subject=subject).id
            parked = False
            while not parked:
                claimed = claim(change_id)
                assert claimed is not None
                parked = fail(claimed, "ValueError: 40 kg")
        found.append(change_id)
    return found


def test_what_hangs_is_seen_and_what_is_done_is_not(cast: Cast) -> None:
    """With subject, tries, error and since when; `parked` tells it from what merely waits."""
    (stuck,) = hanging(cast)
    waiting, done = uuid4(), uuid4()
    with cast.inside():
        record_change(kind="athlete", subject=waiting)
        record_change(kind="athlete", subject=done)
        Change.objects.filter(subject=done).update(done=1)
    coach = ApiClient(cast.coach.token)
    (only,) = coach.get(url(cast), query={"parked": "true"}).json()["items"]
    assert (only["id"], only["kind"], only["tries"], only["error"]) == (
        str(stuck),
        "ranking",
        5,
        "ValueError: 40 kg",
    )
    assert only["parked_at"] >= only["since"]
    (other,) = coach.get(url(cast), query={"parked": "false"}).json()["items"]
    assert (other["subject"], other["parked_at"], other["error"]) == (str(waiting), None, "")
    assert len(coach.get(url(cast)).json()["items"]) == 2


def test_pages_follow_one_another(cast: Cast) -> None:
    """Three of them, two a page, oldest first."""
    made = [str(one) for one in hanging(cast, 3)]
    coach = ApiClient(cast.coach.token)
    first = coach.get(url(cast), query={"parked": "true", "limit": "2"}).json()
    second = coach.get(first["next"].removeprefix("http://testserver")).json()
    assert [one["id"] for one in [*first["items"], *second["items"]]] == made
    assert second["next"] is None


def test_a_retry_starts_from_the_first_try(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    """Taken up, done, gone from the list; a second retry finds nothing, and a coach may not."""
    (stuck,) = hanging(cast)
    address = url(cast, f"changes/{stuck}/retry")
    assert_problem(ApiClient(cast.coach.token).post(address), "forbidden", 403)
    owner = ApiClient(cast.owner.token)
    again = owner.post(address).json()
    assert (again["tries"], again["error"], again["parked_at"]) == (0, "", None)
    monkeypatch.setitem(recompute.HANDLERS, "ranking", lambda claimed: None)
    assert recompute.recompute_change(org_id=cast.org.id, change_id=stuck) == "done"
    assert owner.get(url(cast)).json()["items"] == []
    assert_problem(owner.post(address), "not_found", 404)


def test_a_retry_leaves_what_is_under_way_alone(cast: Cast) -> None:
    """What is not parked keeps its tries: a retry is no way around the bound."""
    subject = uuid4()
    with cast.inside():
        record_change(kind="ranking", subject=subject)
        change = Change.objects.get(subject=subject)
        claim(change.id)
    answer = ApiClient(cast.owner.token).post(url(cast, f"changes/{change.id}/retry")).json()
    assert answer["tries"] == 1

"""What costs more than it is worth is answered shortly."""

import pytest

from services.problems import MOST_ERRORS
from tests.support.api import ApiClient, assert_problem
from tests.support.cast import Cast

pytestmark = pytest.mark.django_db


def unknown(count: int) -> dict[str, int]:
    return {f"k{number:05d}": 0 for number in range(count)}


def test_a_flood_of_faults_is_answered_shortly() -> None:
    """Without sign-in a body is small, and its faults are told up to a bound, with word that there are more."""
    problem = assert_problem(ApiClient().post("/api/v1/sign-in", unknown(1000)), "invalid_input", 400)
    assert len(problem["errors"]) == MOST_ERRORS + 1
    assert problem["errors"][-1]["code"] == "more_faults"
    assert_problem(ApiClient().post("/api/v1/sign-in", unknown(5000)), "too_large", 413)


def test_a_flood_inside_an_organisation(cast: Cast) -> None:
    """The body may be larger there; the answer is not."""
    answer = ApiClient(cast.coach.token).post(
        f"/api/v1/organisations/{cast.org.id}/templates", {"name": "x", "draft": {}, **unknown(60_000)}
    )
    assert len(assert_problem(answer, "invalid_input", 400)["errors"]) == MOST_ERRORS + 1
    assert len(answer.content) < 20_000


@pytest.mark.parametrize("value", ["x", "1", "True", "maybe", ""])
def test_a_flag_is_true_or_false(cast: Cast, value: str) -> None:
    """Anything else does not quietly give the whole list; an empty one is no filter."""
    path = f"/api/v1/organisations/{cast.org.id}/scheduled-sessions"
    answer = ApiClient(cast.coach.token).get(path, query={"cancelled": value})
    if value:
        assert_problem(answer, "invalid_input", 400)
    else:
        assert answer.status_code == 200

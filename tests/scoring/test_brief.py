"""The brief over HTTP: the coach's texts with the athlete's own numbers, in three forms that say the same."""

import re
from html.parser import HTMLParser
from typing import Any

import pytest

from scoring.brief_words import clock, expected_line, rest_line, sets_line
from scoring.models import Prescription
from scoring.names import Names
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db
NAMES = ("Bruna Keel", "Nia Moor", "Tove Ash")


@pytest.fixture
def world(db: None) -> World:
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {"row_45": 16, "goblet_squat": 24})
    add_athlete(world, "Nia Moor", 70.0)
    add_athlete(world, "Tove Ash")
    drain(world.cast)
    return world


def given(world: World, name: str) -> Prescription:
    with world.cast.inside():
        found = Prescription.objects.filter(athlete=world.athletes[name]).order_by("-number").first()
    assert found is not None
    return found


def brief(world: World, coach: ApiClient, name: str) -> dict[str, Any]:
    answer = coach.get(url(world, f"prescriptions/{given(world, name).id}/brief"))
    assert answer.status_code == 200
    found: dict[str, Any] = answer.json()
    return found


def lines(found: dict[str, Any], key: str) -> list[str]:
    return next((one["lines"] for one in found["parts"] if one["key"] == key), [])


class Words(HTMLParser):
    """The texts of a fragment, and every tag in it."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.tags: set[str] = set()
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def test_the_numbers_are_the_athletes_own(world: World, coach: ApiClient) -> None:
    """The amounts of all sets add up to the work, and what is expected is what the prescription expects."""
    found, content = brief(world, coach, "Bruna Keel"), given(world, "Bruna Keel").content
    for work, line in zip(content["work"], lines(found, "sets")[-2:], strict=True):
        told = line.partition(": ")[2].removesuffix(" repetitions.").split(", ")
        sets = [[int(number) for number in one.split(" × ")] for one in told]
        assert sum(one[0] * one[1] if len(one) == 2 else one[0] for one in sets) == work["repetitions"]
    middle = content["expected"]["score"]["p50"]
    assert clock(middle) in lines(found, "expect")[0]
    assert len(lines(found, "version")) == 2


def test_three_forms_say_the_same(world: World, coach: ApiClient) -> None:
    for name in NAMES:
        found = brief(world, coach, name)
        html = Words(found["html"])
        said = [found["title"], *(text for one in found["parts"] for text in (one["title"], *one["lines"]))]
        assert html.texts == said
        assert html.tags <= {"article", "h2", "section", "h3", "p"}
        assert [line.strip() for line in found["text"].splitlines() if line.strip()] == said
        assert not re.search(r"[a-z]_[a-z]", found["text"]), "a key instead of a name"


def test_who_is_unknown_is_told_what_comes_first(world: World, coach: ApiClient) -> None:
    newcomer, unknown = brief(world, coach, "Nia Moor"), brief(world, coach, "Tove Ash")
    assert lines(newcomer, "check_set")
    assert not lines(newcomer, "sets") or "repetitions" not in lines(newcomer, "sets")[-1]
    assert "Suspension row: its load needs a body mass, and none is recorded." in lines(unknown, "not_today")
    assert not lines(unknown, "version")


def test_who_is_held_reads_why_and_what_to_do_meanwhile(world: World, coach: ApiClient) -> None:
    athlete = world.athletes["Bruna Keel"]
    told = {"kind": "pain", "site": "knee", "side": "left", "severity": 8}
    assert coach.post(url(world, f"athletes/{athlete.id}/reports"), told).status_code == 201
    drain(world.cast)
    found = brief(world, coach, "Bruna Keel")
    assert [one["key"] for one in found["parts"] if one["key"] not in ("why", "care")] == ["not_today"]
    assert "pain was reported" in lines(found, "not_today")[0]


def test_what_a_coach_writes_is_no_markup(world: World, coach: ApiClient) -> None:
    row = given(world, "Bruna Keel")
    with world.cast.inside():
        Prescription.objects.bulk_create([
            Prescription(
                org_id=row.org_id, session_id=row.session_id, athlete_id=row.athlete_id, number=row.number + 1,
                feasible=True, content={**row.content, "title": "<script>alert(1)</script> & more"},
                forecast=row.forecast, basis=row.basis, fingerprint="x", method_version=row.method_version,
                issued_at=row.issued_at,
            )
        ])  # fmt: skip
    html = brief(world, coach, "Bruna Keel")["html"]
    assert "<script" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; more" in html


def planned(*sets: tuple[int, int]) -> list[dict[str, Any]]:
    return [{"repetitions": amount, "rest_before_s": rest} for amount, rest in sets]


def test_sets_and_rests_in_words() -> None:
    names, work = Names(works={"a": "Row"}), {"work": "a", "unit": "repetitions"}
    sets = planned((14, 0), (9, 30), (9, 30), (9, 45), (6, 30))
    assert sets_line(work, sets, names) == "Row: 14, 3 × 9, 6 repetitions."
    assert rest_line(work, sets, names) == "Row: 30 to 45 s before later sets, mostly about 30 s."
    assert rest_line(work, sets[:3], names) == "Row: 30 s before each later set."
    assert rest_line(work, planned((5, 0), (5, 0)), names) == "Row: go on at once."


def test_what_is_expected_in_words() -> None:
    timed = {"score": {"p10": 590.0, "p50": 640.4, "p90": 733.0}, "unit": "s", "finish_probability": 1.0}
    assert expected_line(timed, "") == "About 10:40; on eight days of ten between 9:50 and 12:13."
    cut = {**timed, "score": {**timed["score"], "p90": None}, "finish_probability": 0.85}
    assert expected_line(cut, "the first block") == (
        "In the first block: The work is done in time with a chance of 85 %."
    )
    assert expected_line({**timed, "unit": None}, "") == ""

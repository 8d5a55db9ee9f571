"""What somebody answered of how they are: question by question, against themselves alone."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from athletes.models import Athlete, HealthRead
from services.console.words import short_day
from services.tenancy.actor import Role
from tests.services.console.browse import Seen, browser, looked_at, page
from tests.services.console.load_support import LEGS, SLEEP, answer, ask, day_of
from tests.services.console.test_load import SVG, marks
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, url

pytestmark = pytest.mark.django_db


@pytest.fixture
def noor(world: World) -> Athlete:
    return add_athlete(world, "Noor Castell")


def path_of(world: World, athlete: Athlete, rest: str = "") -> str:
    return page(world.cast, f"athletes/{athlete.id}/wellness{rest}")


def seen(world: World, athlete: Athlete, status: int = 200, **query: Any) -> Seen:
    found = browser(world.cast.coach).get(path_of(world, athlete), query)
    assert found.status_code == status
    return looked_at(found)


def told(world: World, athlete: Athlete) -> dict[str, Any]:
    path = url(world, f"athletes/{athlete.id}/wellness")
    found: dict[str, Any] = ApiClient(world.cast.coach.token).get(path, query={"form": "morning"}).json()
    return found


@pytest.fixture
def answered(world: World, noor: Athlete) -> Athlete:
    """Fifty days as usual, then a week of bad sleep and light legs; the legs were not asked of every day."""
    ask(world)
    for days in range(8, 58):
        legs = {"heavy_legs": 3 + days % 2} if days % 3 else {}
        answer(world, noor, days, sleep=3 + days % 2, **legs)
    for days in range(1, 8):
        answer(world, noor, days, sleep=1, heavy_legs=1)
    return noor


def test_each_question_stands_with_its_own_limits(world: World, answered: Athlete) -> None:
    """The numbers of the interface; which end is the worse one; how many flags say nothing."""
    text = seen(world, answered).text
    flags = told(world, answered)
    sleep, legs = flags["items"]
    assert (sleep["unusually_bad"], legs["unusually_bad"]) == (True, False)
    for one, end, scale in ((sleep, "worse", "1 to 5; higher"), (legs, "better", "0 to 10; lower")):
        base = one["baseline"]
        usual = f"usual of Noor Castell is {base['lower']:.1f} to {base['upper']:.1f}"
        line = f"towards the {end} end. The last answers come to {base['weighted']:.1f}; {usual}."
        assert f"{one['text']} {scale} is better" in text and line in text
        assert f"Expected false flags a week: {rate(base['false_flags_per_week'])}." in text
    all_of_them = f"{rate(flags['false_flags_per_week'])} a week from all questions together."
    assert f"{all_of_them} A flag is {flags['meaning']}." in text


def rate(a_week: float) -> str:
    return f"{a_week:.2f}" if a_week >= 0.01 else "under 0.01"


def test_a_day_without_an_answer_stays_empty(world: World, answered: Athlete) -> None:
    """The table has what was answered and nothing in place of what was not."""
    content = browser(world.cast.coach).get(path_of(world, answered)).content.decode()
    rows = dict(re.findall(r'<tr><th scope="row" class="figure">([^<]+)</th>(.*?)</tr>', content))
    cells = {day: re.findall(r"<td[^>]*>([^<]*)</td>", row) for day, row in rows.items()}
    assert cells[short_day(day_of(answered, 10))] == ["3", "3"]
    assert cells[short_day(day_of(answered, 9))] == ["4", ""]
    assert not {"missing", "refused", "not answered"} & set(looked_at_words(content))


def looked_at_words(content: str) -> list[str]:
    return re.findall(r">([^<>]+)<", content.lower())


def test_a_picture_has_the_answers_and_the_band_they_are_held_against(
    world: World, answered: Athlete
) -> None:
    """One ring an answer, one band, the mean of the last seven with its number."""
    shown = seen(world, answered)
    charts = [link for link in shown.links if link.split("?")[0].endswith("chart.svg")]
    assert len(charts) == 2
    svg = browser(world.cast.coach).get(charts[0]).content.decode()
    found = marks(svg)
    assert (found["rect"], found["rule"]) == (1, 1)
    assert found["symbol"] == 55 + 1  # of eight weeks up to today, of which there is no answer yet
    words = [text.text for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    assert f"{told(world, answered)['items'][0]['baseline']['weighted']:.1f}" in words


def test_too_few_answers_have_no_limits_and_no_blame(world: World, noor: Athlete) -> None:
    """34 answers; one question that nobody answered; none of late."""
    ask(world)
    for days in range(1, 35):
        answer(world, noor, days, sleep=3 + days % 2)
    shown = seen(world, noor)
    assert "Too early for limits: they need 35 answers, and there are 34." in shown.text
    assert "Expected false flags" not in shown.text
    assert "No answer in the last 7 days, so nothing is said of it." in shown.text
    (chart,) = (link for link in shown.links if "chart.svg" in link)
    found = marks(browser(world.cast.coach).get(chart).content.decode())
    assert found == {"symbol": 34}
    nothing = chart.replace("sleep", "heavy_legs")
    assert browser(world.cast.coach).get(nothing).status_code == 404


def test_where_nothing_is_asked_it_says_who_says_what_is_asked(world: World, noor: Athlete) -> None:
    assert "Nothing is asked yet." in seen(world, noor).text


def test_one_of_several_forms_is_shown(world: World, answered: Athlete) -> None:
    """By its name; a form that is not there is said beside the field."""
    ask(world, key="night", name="At night", items=[{**SLEEP, "key": "tired", "text": "How tired are you?"}])
    answer(world, answered, 1, form="night", tired=2)
    shown = seen(world, answered, form="night")
    assert "How tired are you?" in shown.text and LEGS["text"] not in shown.text
    assert "Select a valid choice." in seen(world, answered, 400, form="noon").text


def test_answers_on_another_scale_are_of_another_question(world: World, noor: Athlete) -> None:
    """As the interface counts them: neither drawn nor in the table."""
    ask(world)
    answer(world, noor, 2, sleep=4, heavy_legs=9)
    ask(world, items=[SLEEP, {**LEGS, "most": 5.0}])
    answer(world, noor, 1, sleep=3, heavy_legs=5)
    assert [one["answers"] for one in told(world, noor)["items"]] == [2, 1]
    text = seen(world, noor).text
    assert f"{short_day(day_of(noor, 1))} 3 5" in text
    assert text.endswith(f"{short_day(day_of(noor, 2))} 4")


def test_staff_of_a_location_read_no_answers(world: World, answered: Athlete) -> None:
    """As they read no screening; owners do."""
    for role, status in ((Role.LOCATION_STAFF, 403), (Role.OWNER, 200)):
        client = browser(world.cast.members[role])
        assert client.get(path_of(world, answered)).status_code == status
        assert client.get(path_of(world, answered, "/morning/sleep/chart.svg")).status_code == status


def test_whoever_reads_answers_is_written_down(world: World, answered: Athlete) -> None:
    """The page and a picture are a read each, as over the interface; where nothing is asked, nothing is read."""
    client = browser(world.cast.coach)
    for rest in ("", "/morning/sleep/chart.svg"):
        assert client.get(path_of(world, answered, rest)).status_code == 200
    assert client.get(path_of(world, answered, "/noon/sleep/chart.svg")).status_code == 404
    with world.cast.inside():
        rows = list(HealthRead.objects.values_list("kind", "athlete_id", "reader_id"))
    assert rows == 2 * [("wellness", answered.id, world.cast.coach.person.id)]


def test_thirty_answers_cost_as_many_queries_as_three(world: World, noor: Athlete) -> None:
    ask(world)
    client, found = browser(world.cast.coach), []
    client.get("/")
    for days in (range(1, 4), range(4, 31)):
        for number in days:
            answer(world, noor, number, sleep=3)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(path_of(world, noor)).status_code == 200
        found.append(len(queries))
    assert found[0] == found[1], found


def test_a_band_is_explained_where_there_is_one(world: World, answered: Athlete) -> None:
    """And nowhere else: with few answers there are rings alone."""
    newcomer = add_athlete(world, "Ines Calder")
    answer(world, newcomer, 2, sleep=4)
    assert "The band is where" in seen(world, answered).text
    few = seen(world, newcomer).text
    assert "Rings are answers. Questions are never added up" in few

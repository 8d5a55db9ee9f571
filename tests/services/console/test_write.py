"""Writing on the pages: fields or text, checked, stored and published by the interface itself."""

from __future__ import annotations

import copy
import datetime as dt
import html
import json
import re
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from services.console.write import MISSING
from services.console.write_form import without_blanks
from services.demo import documents
from services.tenancy.actor import Role
from tests.scoring.several import EVERY, ROUNDS, document
from tests.services.console.browse import browser, looked_at, page
from tests.services.console.test_write_form import FORM
from tests.support.api import ApiClient
from tests.support.world import SESSION, World, url

pytestmark = pytest.mark.django_db
SAID = {"not_a_key": "No movement is called so here; choose one of the list.", "missing_field": MISSING}


def template_of(world: World, draft: Any = SESSION) -> dict[str, Any]:
    body = {"name": "Harbour rows", "draft": draft}
    made: dict[str, Any] = ApiClient(world.cast.coach.token).post(url(world, "templates"), body).json()
    return made


def stored(world: World, template: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = (
        ApiClient(world.cast.coach.token).get(url(world, f"templates/{template['id']}")).json()
    )
    return found


def fields_of(answer: Any) -> dict[str, str]:
    """The form as a browser would send it back."""
    content = answer.content.decode()
    content = content[content.index('id="writing"') :]
    values: dict[str, str] = {}
    for tag, name in re.findall(r'(<(?:input|textarea)[^>]* name="([^"]+)"[^>]*>)', content):
        if 'type="checkbox"' not in tag and name != "csrfmiddlewaretoken":
            found = re.search(r' value="([^"]*)"', tag)
            values[name] = html.unescape(found[1]) if found else ""
    for name, inner in re.findall(r'<textarea[^>]* name="([^"]+)"[^>]*>([^<]*)</textarea>', content):
        values[name] = html.unescape(inner).removeprefix("\n")
    for name, inner in re.findall(r'<select[^>]* name="([^"]+)"[^>]*>(.*?)</select>', content):
        chosen = re.search(r'value="([^"]*)" selected', inner)
        values[name] = chosen[1] if chosen else ""
    return values


def address(world: World, template: dict[str, Any]) -> str:
    return page(world.cast, f"write/{template['id']}")


def opened(world: World, template: dict[str, Any]) -> dict[str, str]:
    answer = browser(world.cast.coach).get(address(world, template))
    assert answer.status_code == 200
    looked_at(answer)
    return fields_of(answer)


def sent(world: World, template: dict[str, Any], values: dict[str, str], do: str) -> Any:
    return browser(world.cast.coach).post(address(world, template), {**values, "do": do})


def test_from_a_name_to_a_placed_session(world: World) -> None:
    """Begun, written by fields, published, placed at the harbour: what the interface has is what was typed."""
    client, cast = browser(world.cast.coach), world.cast
    begun = client.post(page(cast, "write"), {"name": "Harbour rows"})
    assert begun.status_code == 302
    values = fields_of(client.get(begun["Location"]))
    values |= {
        "title": "Rows by the water",
        "quality": "local_muscular_endurance",
        "0-w0-movement": "Suspension row",
        "0-w0-amount": "60",
        "0-w0-variation": "row_45",
        "0-cap": "20:00",
        "0-c0-kind": "time",
        "0-c0-lower": "4:00",
        "0-c0-upper": "15:00",
    }
    published = client.post(begun["Location"], {**values, "do": "publish"})
    assert published.status_code == 303, looked_at(published).text
    listed = looked_at(client.get(page(cast, "write"))).text
    assert "Harbour rows" in listed and "revision 1" in listed
    shown = client.get(published["Location"])
    assert "Place “Rows by the water”, revision 1" in looked_at(shown).text
    key = re.search(r'name="key" value="([^"]+)"', shown.content.decode())
    assert key
    body = {
        "location": str(cast.harbour.id),
        "group": "",
        "day": "2030-06-03",
        "time": "18:30",
        "key": key[1],
    }
    placed = client.post(published["Location"], body)
    assert placed.status_code == 302
    assert client.post(published["Location"], body)["Location"] == placed["Location"]
    path = placed["Location"].rpartition("/")[2]
    session = ApiClient(cast.coach.token).get(url(world, f"scheduled-sessions/{path}")).json()
    assert (session["title"], session["local_date"]) == ("Rows by the water", "2030-06-03")
    at = dt.datetime.fromisoformat(session["starts_at"]).astimezone(ZoneInfo(cast.harbour.zone))
    assert f"{at:%H:%M}" == "18:30"
    (block,) = (
        ApiClient(cast.coach.token)
        .get(url(world, f"revisions/{session['revision']}"))
        .json()["document"]["blocks"]
    )
    assert block["work"][0] == {
        "key": "a",
        "movement": "horizontal_row",
        "repetitions": 60,
        "as_written": {"variation": "row_45"},
    }
    assert block["aim"]["conditions"] == [{"kind": "time", "lower": 240, "upper": 900}]
    assert block["rules"]["end"] == {"kind": "work_done", "cap_s": 1200}


def test_a_check_is_that_of_the_interface_and_stores_nothing(world: World) -> None:
    """Every fault that the interface tells stands beside its field, and in a list that leads there."""
    template = template_of(world)
    values = opened(world, template)
    wrong = {
        "title": " ",
        "0-w0-movement": "Barrel of herring",
        "0-w1-load": "heavy",
        "0-c2-lower": "40:00",
        "0-c2-upper": "6:00",
        "0-end": "",
    }
    answer = sent(world, template, {**values, **wrong}, "check")
    assert answer.status_code == 200
    shown, content = looked_at(answer), answer.content.decode()
    checks = url(world, "template-checks")
    document = FORM.written({**FORM.filled(SESSION), **wrong}).document
    assert document["blocks"][0]["work"][0]["movement"] == "Barrel of herring"
    told = ApiClient(world.cast.coach.token).post(checks, {"document": document}).json()["problems"]
    assert len(told) > 2
    for one in told:
        said = SAID.get(one["code"]) or one["detail"].replace("`", "")
        assert said in shown.text, one
    assert f"{len(told)} things keep it from being published" in shown.text
    for name in ("0-w0-movement", "0-w1-load", "0-end"):
        assert f'href="#f-{name}"' in content
        assert re.search(f'id="f-{name}-error">[^<]+<', content)
        assert f'aria-describedby="f-{name}-error"' in content
    assert 'id="f-0-w0-amount-error"></p>' in content
    assert 'value="heavy"' in content and 'value="Barrel of herring"' in content
    assert stored(world, template)["version"] == 1
    good = sent(world, template, values, "check")
    assert "Nothing keeps it from being published." in looked_at(good).text


def test_while_somebody_writes_only_what_is_wrong_is_sent(world: World) -> None:
    """A piece of the page: the list, and for each field what is wrong with it, nothing where it was put right."""
    template = template_of(world)
    values = {**opened(world, template), "0-w0-amount": "0", "do": "check"}
    ask = browser(world.cast.coach, headers={"HX-Request": "true"})
    content = ask.post(address(world, template), values).content.decode()
    assert "1 thing keeps it from being published" in content and "<html" not in content
    wrong = dict(re.findall(r'<p class="error" id="f-([^"]+)-error" hx-swap-oob="true">([^<]*)</p>', content))
    assert set(wrong) == {name for name in values if name not in ("tag", "do")}
    assert [name for name, said in wrong.items() if said] == ["0-w0-amount"]
    right = ask.post(address(world, template), {**values, "0-w0-amount": "60"}).content.decode()
    assert "Nothing keeps it from being published." in right
    page_of_it = browser(world.cast.coach).get(address(world, template)).content.decode()
    assert {f'id="f-{name}-error"' in page_of_it for name in wrong} == {True}
    text = ask.post(address(world, template), {**values, "document": "{"})
    assert text.status_code == 200 and "This is no JSON" in text.content.decode()
    assert stored(world, template)["version"] == 1


def test_a_draft_is_stored_with_its_faults_and_not_published(world: World) -> None:
    """What lacks is told; a refusal to publish leaves the draft stored, and nothing published."""
    template = template_of(world)
    values = {**opened(world, template), "0-w0-amount": "0", "name": "Harbour rows II"}
    answer = sent(world, template, values, "store")
    assert answer.status_code == 303
    shown = looked_at(browser(world.cast.coach).get(answer["Location"]))
    assert "Stored." in shown.text and "1 thing keeps it from being published" in shown.text
    kept = stored(world, template)
    assert (kept["version"], kept["name"]) == (2, "Harbour rows II")
    assert kept["draft"]["blocks"][0]["work"][0]["repetitions"] == 0
    values = {**opened(world, template), "0-w1-amount": "-1"}
    refused = sent(world, template, values, "publish")
    assert refused.status_code == 400
    assert "2 things keep it from being published" in looked_at(refused).text
    assert fields_of(refused)["0-w1-amount"] == "-1"
    revisions = ApiClient(world.cast.coach.token).get(url(world, f"templates/{template['id']}/revisions"))
    assert revisions.json()["items"] == []
    again = sent(world, template, {**fields_of(refused), "0-w0-amount": "60", "0-w1-amount": "80"}, "publish")
    assert again.status_code == 303


def test_what_is_published_unchanged_is_not_stored_anew(world: World) -> None:
    template = template_of(world)
    assert sent(world, template, opened(world, template), "publish").status_code == 303
    kept = stored(world, template)
    assert kept["version"] == 1 and kept["draft"] == SESSION


def test_who_comes_second_is_told_and_loses_nothing(world: World) -> None:
    """412 with all that was typed, beside it what is stored now; sent again it takes its place."""
    template = template_of(world)
    values = {**opened(world, template), "0-w0-amount": "45", "title": "Mine"}
    other = copy.deepcopy(SESSION)
    other["blocks"][0]["work"][0]["repetitions"] = 70
    path = url(world, f"templates/{template['id']}")
    changed = ApiClient(world.cast.owner.token).patch(
        path, json={"draft": other}, if_match=f'"{template["id"]}-1"'
    )
    assert changed.status_code == 200
    for do in ("store", "publish"):
        answer = sent(world, template, values, do)
        assert answer.status_code == 412
        shown = looked_at(answer)
        assert "Somebody else changed this session while you were writing." in shown.text
        assert "stored now: 70" in shown.text and f"stored now: {SESSION['title']}" in shown.text
        assert fields_of(answer)["0-w0-amount"] == "45"
    assert stored(world, template)["draft"]["blocks"][0]["work"][0]["repetitions"] == 70
    assert sent(world, template, fields_of(answer), "store").status_code == 303
    assert stored(world, template)["draft"]["title"] == "Mine"


def test_what_does_not_fit_is_a_text_with_faults_by_their_place(world: World) -> None:
    """Points for several blocks: nothing of them is lost, and the way back to fields is refused in words."""
    tables = {"by": "points", "tables": {"rounds": {"a": 1, "b": 0, "c": 1}}}
    told = {**document(ROUNDS, EVERY), "overall": tables}
    template = template_of(world, told)
    values = opened(world, template)
    assert json.loads(values["document"]) == told
    told["quality"] = "juggling"
    wrong = {**values, "document": json.dumps(told)}
    shown = looked_at(sent(world, template, wrong, "check"))
    assert "/quality : Use one of:" in shown.text or "/quality: Use one of:" in shown.text
    assert "more than the fields have place for" in looked_at(sent(world, template, values, "fields")).text
    broken = sent(world, template, {**values, "document": '{"title": '}, "store")
    assert broken.status_code == 400 and "This is no JSON" in looked_at(broken).text
    assert fields_of(broken)["document"] == '{"title": '
    assert "in braces" in looked_at(sent(world, template, {**values, "document": "[1]"}, "check")).text
    assert sent(world, template, values, "store").status_code == 303


def test_fields_become_a_text_and_fields_again(world: World) -> None:
    """With what was typed and not yet stored."""
    template = template_of(world)
    values = {**opened(world, template), "title": "Other words"}
    text = fields_of(sent(world, template, values, "text"))
    assert json.loads(text["document"])["title"] == "Other words"
    again = fields_of(sent(world, template, text, "fields"))
    assert (again["title"], again["0-w0-amount"]) == ("Other words", "60")
    assert stored(world, template)["version"] == 1


def test_one_more_block_and_one_less(world: World) -> None:
    template = template_of(world)
    more = fields_of(sent(world, template, opened(world, template), "block"))
    assert "1-order" in more and more["title"] == SESSION["title"]
    assert sent(world, template, {**more, "1-drop": "yes"}, "store").status_code == 303
    assert len(stored(world, template)["draft"]["blocks"]) == 1


def test_the_demo_s_sessions_are_written_in_fields_where_they_fit(world: World) -> None:
    """Whatever is shown, storing it unchanged changes nothing of what it says."""
    made = [value for value in vars(documents).values() if isinstance(value, dict)]
    told = [value for value in made if "blocks" in value]
    assert len(told) > 2
    for one in told:
        template = template_of(world, one)
        assert sent(world, template, {**opened(world, template), "name": "Else"}, "store").status_code == 303
        assert without_blanks(stored(world, template)["draft"]) == without_blanks(one)


def test_staff_of_a_location_read_and_do_not_write(world: World) -> None:
    template = template_of(world)
    staff = browser(world.cast.staff)
    shown = staff.get(address(world, template))
    assert "fieldset disabled" in shown.content.decode()
    assert "Store the draft" not in looked_at(shown).text
    assert "A new session" not in looked_at(staff.get(page(world.cast, "write"))).text
    for path in ("write", f"write/{template['id']}"):
        assert staff.post(page(world.cast, path), {"name": "Mine"}).status_code == 403
    athlete = browser(world.cast.members[Role.ATHLETE])
    assert athlete.get(page(world.cast, "write")).status_code == 403
    assert stored(world, template)["version"] == 1


@pytest.mark.parametrize(
    ("change", "status", "said"),
    [
        ({"day": ""}, 400, "This field is required."),
        ({"day": "2030-02-30"}, 400, "Enter a valid date."),
        ({"location": "elsewhere"}, 400, "Select a valid choice."),
        ({"day": "2030-03-31", "time": "01:30"}, 400, "The clocks go forward then"),
    ],
)
def test_what_cannot_be_placed_is_told_at_its_field(
    world: World, change: dict[str, str], status: int, said: str
) -> None:
    """In the harbour's own time; 31 March 2030 is the last Sunday of the month."""
    cast = world.cast
    path = page(cast, f"revisions/{world.revision.id}/place")
    body = {
        "location": str(cast.harbour.id),
        "day": "2030-06-03",
        "time": "18:30",
        "key": "7b6f9a52-5d0c-4f0e-9d57-6f1f5f2f0a11",
    }
    answer = browser(cast.coach).post(path, {**body, **change})
    assert answer.status_code == status
    assert said in looked_at(answer).text
    items = ApiClient(cast.coach.token).get(url(world, "scheduled-sessions?from_date=2030-01-01")).json()
    assert items["items"] == []


def test_the_pages_cost_the_same_for_one_and_for_ten(world: World) -> None:
    """Templates in the list; work items of a template."""
    counted: dict[str, list[int]] = {"list": [], "one": []}
    client = browser(world.cast.coach)
    client.get("/")
    for count in (1, 10):
        draft = copy.deepcopy(SESSION)
        item = draft["blocks"][0]["work"][0]
        draft["blocks"][0]["work"] = [{**item, "key": f"k{place}"} for place in range(count)]
        for _ in range(count):
            template = template_of(world, draft)
        for name, path in (("list", page(world.cast, "write")), ("one", address(world, template))):
            with CaptureQueriesContext(connection) as queries:
                assert client.get(path).status_code == 200
            counted[name].append(len(queries))
    assert all(few == many for few, many in counted.values()), counted


def test_a_check_that_is_refused_is_no_good_session(world: World) -> None:
    """The interface takes no whole number that long: that is said, and not that nothing is wrong."""
    template = template_of(world)
    values = opened(world, template) | {"0-rounds": "1e300"}
    text = looked_at(sent(world, template, values, "check")).text
    assert "An integer is larger than" in text

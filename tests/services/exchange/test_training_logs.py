"""Training logs in a table: by the rules of a request, each once, what cannot be meant said row by row."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from athletes.models import TrainingLog
from services.changes.actions import LOW_PRIORITY
from services.changes.models import Change
from services.exchange.known import OTHER
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

DAY = (timezone.now() - dt.timedelta(days=7)).date()
HEAD = "client_id,athlete,modality,effort,minutes,date,distance,mean_heart_rate,highest_heart_rate,note\n"


@pytest.fixture
def world(db: None) -> World:
    made = make_world()
    add_athlete(made, "Ruta Penn", 61.5)
    return made


def sent(world: World, csv: str, **body: Any) -> list[Any]:
    """Of each row its outcome; of an invalid one (column, what to do)."""
    client = ApiClient(world.cast.coach.token)
    made = client.post(url(world, "imports"), {"kind": "training", "csv": csv, **body})
    assert made.status_code == 201, made.content
    drain(world.cast)
    rows = client.get(url(world, f"imports/{made.json()['id']}/rows")).json()["items"]
    return [tuple(row["problems"][0].values()) if row["problems"] else row["outcome"] for row in rows]


def logs(world: World) -> list[TrainingLog]:
    with world.cast.inside():
        return list(TrainingLog.objects.order_by("minutes", "id"))


def test_rows_become_logs_with_their_units(world: World) -> None:
    """Kilometres and minutes with seconds; a date is noon where the athlete lives."""
    csv = HEAD + f"a,Ruta Penn,Running,4.5,38:31,{DAY},8,150,171,along the river\n"
    columns = [
        {"column": "minutes", "means": "minutes", "unit": "min:s"},
        {"column": "distance", "means": "distance", "unit": "km"},
    ]
    assert sent(world, csv, columns=columns) == ["created"]
    (row,) = logs(world)
    assert (row.modality, row.effort, row.distance_m, row.note) == ("running", 4.5, 8000.0, "along the river")
    assert row.minutes == pytest.approx(38.0 + 31.0 / 60.0)
    assert (row.mean_heart_rate, row.highest_heart_rate, row.local_date) == (150.0, 171.0, DAY)


def test_without_a_unit_minutes_are_minutes(world: World) -> None:
    """By its name, where a time elsewhere is in seconds; the number stays what it is, to the last digit."""
    assert sent(world, HEAD + f"a,Ruta Penn,running,4,0.118,{DAY},,,,\n") == ["created"]
    assert logs(world)[0].minutes == 0.118
    in_seconds = [{"column": "minutes", "means": "minutes", "unit": "s"}]
    assert sent(world, HEAD + f"b,Ruta Penn,running,4,90,{DAY},,,,\n", columns=in_seconds) == ["created"]
    assert [row.minutes for row in logs(world)] == [0.118, 1.5]


def test_what_cannot_be_meant_is_said_row_by_row(world: World) -> None:
    """The rules of a request: a kind of training, an effort of 0 to 10, rates that agree, a day that has been."""
    rows = (
        f"a,Ruta Penn,underwater hockey,4,40,{DAY},,,,",
        f"b,Ruta Penn,running,11,40,{DAY},,,,",
        f"c,Ruta Penn,running,4,,{DAY},,,,",
        f"d,Ruta Penn,running,4,1441,{DAY},,,,",
        f"e,Ruta Penn,running,4,40,{DAY},,171,150,",
        "f,Ruta Penn,running,4,40,2031-01-01,,,,",
        "g,Ruta Penn,running,4,40,2005-01-01,,,,",
        "h,Ruta Penn,running,4,40,,,,,",
        f"i,Nobody,running,4,40,{DAY},,,,",
    )
    told = sent(world, HEAD + "".join(f"{row}\n" for row in rows))
    assert [one[0] for one in told] == [
        "modality", "effort", "minutes", "minutes", "mean_heart_rate", "date", "date", "date", "athlete",
    ]  # fmt: skip
    assert "future" in told[5][1] and "10 years ago" in told[6][1] and "Say when" in told[7][1]
    assert logs(world) == []


def test_nothing_is_logged_twice(world: World) -> None:
    """By client_id, by id, by content; a second run of the day that differs is a second run."""
    first = f"a,Ruta Penn,running,4,40,{DAY},,,,\n,Ruta Penn,running,4,41,{DAY},,,,\n"
    assert sent(world, HEAD + first) == ["created", "created"]
    one, other = logs(world)
    more = f"{other.id},Ruta Penn,running,4,41,{DAY},,,,\n,Ruta Penn,running,4,42,{DAY},,,,\n"
    assert sent(world, HEAD + first + more) == ["duplicate", "duplicate", "duplicate", "created"]
    changed = f"{one.id},Ruta Penn,running,4,40.5,{DAY},,,,\na,Ruta Penn,walking,4,40,{DAY},,,,\n"
    assert sent(world, HEAD + changed) == [("client_id", OTHER), ("client_id", OTHER)]
    assert len(logs(world)) == 3


def test_a_dry_run_logs_nothing_and_asks_for_no_recompute(world: World) -> None:
    drain(world.cast)
    with world.cast.inside():
        before = set(Change.objects.filter(kind="athlete").values_list("id", "version"))
    csv = HEAD + f"a,Ruta Penn,running,4,40,{DAY},,,,\nb,Ruta Penn,running,40,40,{DAY},,,,\n"
    assert [one if isinstance(one, str) else one[0] for one in sent(world, csv, dry_run=True)] == [
        "created",
        "effort",
    ]
    with world.cast.inside():
        assert set(Change.objects.filter(kind="athlete").values_list("id", "version")) == before
    assert logs(world) == []


def test_a_table_waits_behind_what_people_send(world: World) -> None:
    """Its recompute is asked for with low priority; the load of its day is there when it is done."""
    drain(world.cast)
    assert sent(world, HEAD + f"a,Ruta Penn,running,4,40,{DAY},,,,\n") == ["created"]
    ruta = world.athletes["Ruta Penn"]
    with world.cast.inside():
        assert Change.objects.get(kind="athlete", subject=ruta.id).priority == LOW_PRIORITY
    path = url(world, f"athletes/{ruta.id}/load-days")
    (day,) = ApiClient(world.cast.coach.token).get(path).json()["items"]
    assert (day["local_date"], day["load_au"]) == (str(DAY), 160.0)


def test_a_client_id_that_no_column_holds_is_a_fault_of_its_row(world: World) -> None:
    """The rows beside it come in; of whatever kind the table is."""
    rows = f"{'k' * 81},Ruta Penn,running,4,40,{DAY},,,,\n{'k' * 80},Ruta Penn,running,4,41,{DAY},,,,\n"
    told = "A client_id has at most 80 characters."
    assert sent(world, HEAD + rows) == [("client_id", told), "created"]
    weighings = f"client_id,athlete,body_mass,date\n{'k' * 81},Ruta Penn,62,{DAY}\n"
    assert sent(world, weighings, kind="weighings") == [("client_id", told)]


@pytest.mark.parametrize(
    "kit",
    [
        '{"items": {"\\ud800": {}}}',
        '{"items": {"barbell": {"loads_kg": [NaN]}}}',
        '{"a":' * 30 + "1" + "}" * 30,
    ],
)
def test_json_that_no_request_could_send_is_a_fault_of_its_row(world: World, kit: str) -> None:
    """Half a character, no number, too deep: the row beside it comes in."""
    cell = kit.replace('"', '""')
    rows = f'client_id,name,location,kit\nx,Ada Moor,Harbour,"{cell}"\ny,Ben Moor,Harbour,\n'
    broken, good = sent(world, rows, kind="athletes")
    assert broken[0] == "kit" and good == "created"


def test_an_instant_outside_of_all_years_is_a_fault_of_its_row(world: World) -> None:
    """By its offset it lies before the first year, or behind the last."""
    head = HEAD.replace("date", "started_at")
    for instant in ("0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00"):
        rows = (f"a,Ruta Penn,running,4,40,{instant},,,,", f"b,Ruta Penn,running,4,40,{DAY}T06:00:00Z,,,,")
        broken, good = sent(world, head + "".join(f"{row}\n" for row in rows))
        assert broken[0] == "started_at" and good in ("created", "duplicate")

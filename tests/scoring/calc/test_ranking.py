"""The official ranking and the ranking by one's own forecast."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm, rankdata

from scoring.calc.ranking import (
    ForecastRow,
    OfficialRow,
    place_in_forecast,
    rank_by_forecast,
    rank_official,
)

LEVELS = tuple(round(0.05 * step, 2) for step in range(1, 20))
FINER = (0.025, *LEVELS, 0.975)


def finished(key, score_s, breaks=0):
    """A row with a score."""
    return OfficialRow(key, "finished", score_s, breaks=breaks)


def capped(key, repetitions, breaks=0):
    """A row without a score but with repetitions."""
    return OfficialRow(key, "capped", repetitions, "higher", breaks)


UNSCORED = OfficialRow("zoe", "unscored", None)


def ranks(rows, tie_break="fewest_breaks"):
    """key -> rank."""
    return {row.key: row.rank for row in rank_official(rows, tie_break=tie_break)}


def test_finishers_then_capped_then_unscored():
    """By score; then by repetitions, more is better; the unscored have no rank."""
    rows = [UNSCORED, capped("cid", 80), finished("ann", 800.0), capped("dora", 90), finished("bo", 790.5)]

    assert ranks(rows) == {"bo": 1, "ann": 2, "dora": 3, "cid": 4, "zoe": None}


def test_ties_share_a_rank_and_the_next_is_skipped():
    """1-2-2-4."""
    rows = [finished("a", 700.0), finished("b", 750.0), finished("c", 750.0), finished("d", 760.0)]

    assert ranks(rows) == {"a": 1, "b": 2, "c": 2, "d": 4}


def test_the_tie_break_is_used_only_where_written():
    """Equal scores: fewer breaks win under fewest_breaks, share the rank under none."""
    rows = [finished("a", 750.0, 6), finished("b", 750.0, 4), capped("c", 50, 3), capped("d", 50, 2)]

    assert ranks(rows) == {"b": 1, "a": 2, "d": 3, "c": 4}
    assert ranks(rows, "none") == {"a": 1, "b": 1, "c": 3, "d": 3}


def test_unknown_breaks_lose_the_tie_break():
    """A capped row without its breaks stands behind one with them."""
    assert ranks([capped("a", 50, None), capped("b", 50, 9)]) == {"b": 1, "a": 2}


def test_equal_sums_tie_in_spite_of_floating_point():
    """0.1 + 0.2 is not 0.3 to a computer, but it is to an athlete."""
    assert 700.1 + 0.2 != 700.3
    assert ranks([finished("a", 700.1 + 0.2), finished("b", 700.3)]) == {"a": 1, "b": 1}


def test_nobody_is_ranked_twice():
    """A key that comes twice is a mistake of the caller."""
    with pytest.raises(ValueError, match="own key"):
        rank_official([finished("a", 1.0), finished("a", 2.0)], tie_break="none")
    with pytest.raises(ValueError, match="tie-break"):
        rank_official([], tie_break="coin")


def test_more_is_better_where_an_amount_is_scored():
    """Repetitions, metres, kilograms: the largest first; equal ones by the tie-break of the rules."""
    rows = [
        OfficialRow("a", "finished", 82.0, "higher", breaks=4, misses=0, split_s=300.0),
        OfficialRow("b", "finished", 90.0, "higher", breaks=9, misses=2, split_s=280.0),
        OfficialRow("c", "finished", 82.0, "higher", breaks=3, misses=1, split_s=290.0),
        OfficialRow("d", "finished", 82.0, "higher"),
        OfficialRow("e", "no_mark", None),
    ]

    assert ranks(rows, "none") == {"b": 1, "a": 2, "c": 2, "d": 2, "e": None}
    assert ranks(rows, "fewest_breaks") == {"b": 1, "c": 2, "a": 3, "d": 4, "e": None}
    assert ranks(rows, "fewest_misses") == {"b": 1, "a": 2, "c": 3, "d": 4, "e": None}
    assert ranks(rows, "split_time") == {"b": 1, "c": 2, "a": 3, "d": 4, "e": None}


RESULTS = st.one_of(
    st.tuples(st.just("finished"), st.integers(0, 5), st.integers(0, 2)),
    st.tuples(st.just("capped"), st.integers(0, 5), st.integers(0, 2)),
    st.tuples(st.just("unscored"), st.just(0), st.just(0)),
)


def row_of(key, result):
    """A row from a drawn (state, value, breaks)."""
    state, value, breaks = result
    score = {"finished": 600.0 + value, "capped": value}.get(state)
    return OfficialRow(key, state, score, breaks=breaks)


@given(st.lists(RESULTS, max_size=12), st.sampled_from(["fewest_breaks", "none"]), st.randoms())
@settings(deadline=None)
def test_ranks_agree_with_scipy_and_not_with_the_order_of_input(results, tie_break, random):
    """scipy.stats.rankdata(method="min") on one number per result is the second implementation."""
    rows = [row_of(f"k{index:02d}", result) for index, result in enumerate(results)]
    single = {}
    for row, (state, value, breaks) in zip(rows, results, strict=True):
        tie = breaks if tie_break == "fewest_breaks" else 0
        if state != "unscored":
            single[row.key] = (value if state == "finished" else 10_000 - value) * 10 + tie
    expected = dict(zip(single, rankdata(list(single.values()), method="min"), strict=True))
    shuffled = rows[:]
    random.shuffle(shuffled)

    ranked = rank_official(rows, tie_break=tie_break)
    assert {row.key: row.rank for row in ranked if row.rank is not None} == expected
    assert rank_official(shuffled, tie_break=tie_break) == ranked


def table(mean, sd):
    """Quantiles of a normal forecast at LEVELS."""
    return tuple(norm.ppf(LEVELS, mean, sd))


def forecast_row(key, score_s, quantiles=None, observations=9, **fields):
    """A row of the ranking by forecast, by default in a forecast of 800 s."""
    return ForecastRow(key, score_s, quantiles or table(800, 50), LEVELS, observations, **fields)


def by_forecast(rows):
    """key -> ranked row."""
    return {row.key: row for row in rank_by_forecast(rows, min_observations=5)}


def test_a_result_is_judged_in_ones_own_forecast():
    """A slower athlete who beats the own forecast stands before a faster one who does not."""
    ranked = by_forecast([forecast_row("fast", 800.0), forecast_row("slow", 1150.0, table(1200, 50))])

    assert (ranked["slow"].rank, ranked["fast"].rank) == (1, 2)
    assert ranked["fast"].quantile == 0.5
    assert ranked["slow"].quantile == pytest.approx(norm.cdf(-1), abs=0.002)  # linear between 5 % steps


def test_equal_quantiles_share_a_rank():
    """1-1-3."""
    rows = [forecast_row("a", 800.0), forecast_row("b", 1200.0, table(1200, 50)), forecast_row("c", 810.0)]

    assert {key: row.rank for key, row in by_forecast(rows).items()} == {"a": 1, "b": 1, "c": 3}


@pytest.mark.parametrize(
    ("fields", "note"),
    [
        ({"observations": 4}, "history_too_short"),
        ({"quantiles": None}, "no_forecast"),
        ({"quantiles": (None,) * 19}, "no_forecast"),
        ({"score": None}, "not_finished"),
        ({"eligible": False}, "not_eligible"),
    ],
)
def test_who_is_not_ranked_and_why(fields, note):
    """Everyone without a fair comparison is listed with the reason and without a rank."""
    row = by_forecast([ForecastRow(**{"key": "a", "score": 800.0, "quantiles": table(800, 50),
                                      "levels": LEVELS, "observations": 9} | fields)])["a"]  # fmt: skip

    assert (row.rank, row.quantile, row.notes) == (None, None, (note,))


def test_an_amount_is_judged_from_the_other_end():
    """Of a forecast of 800 give or take 50 repetitions, 850 leave 16 % better ones, and 750 leave 84 %."""
    rows = [forecast_row("more", 850.0, better="higher"), forecast_row("less", 750.0, better="higher")]
    ranked = by_forecast(rows)

    assert ranked["more"].quantile == pytest.approx(norm.sf(1), abs=0.002)
    assert ranked["less"].quantile == pytest.approx(norm.cdf(1), abs=0.002)
    assert (ranked["more"].rank, ranked["less"].rank) == (1, 2)


def test_forecasts_of_two_versions_stand_in_one_ranking():
    """The same result in the same forecast, told at more levels, has the same place; its tails go on as steeply."""
    finer = tuple(norm.ppf(FINER, 800, 50))
    rows = [forecast_row("old", 790.0), ForecastRow("new", 790.0, finer, FINER, 9)]
    ranked = by_forecast(rows)
    assert (ranked["old"].rank, ranked["new"].rank) == (1, 1)
    assert ranked["old"].quantile == ranked["new"].quantile
    for score in (700.0, 900.0):
        exact = norm.cdf(score, 800, 50)
        assert place_in_forecast(score, finer, FINER).level == pytest.approx(exact, abs=0.003)


def test_the_tail_goes_on_as_steeply_where_the_next_level_is_further():
    """Two scenarios finish: after the second the level rises as between the two, at first."""
    cut = (700.0, 720.0) + (None,) * 19
    before, after = (place_in_forecast(720.0 + more, cut, FINER).level for more in (-0.1, 0.1))
    assert after - 0.05 == pytest.approx(0.05 - before, rel=0.01)


def test_exactly_enough_history_is_enough():
    """The threshold itself counts."""
    assert by_forecast([forecast_row("a", 800.0, observations=5)])["a"].rank == 1


def test_outside_the_table_the_level_stays_inside_zero_and_one():
    """Tails keep the order, are noted, and never say 0 or 1."""
    scores = [300.0, 600.0, 700.0, 710.0, 890.0, 900.0, 1000.0, 5000.0]
    judged = [place_in_forecast(score, table(800, 50), LEVELS) for score in scores]

    levels = [place.shown for place in judged]
    assert levels == sorted(levels)
    assert (levels[0], levels[-1]) == (0.001, 0.999)
    assert all(
        place.notes == ("beyond_forecast_range",) for place in judged
    )  # 717.8 and 882.2 are the 5 % and 95 % points
    assert levels[3] < 0.05 < 0.95 < levels[4]


@pytest.mark.parametrize("first_s", [300.0, 3000.0])
def test_far_outside_only_equal_results_tie(first_s):
    """All are shown 0.001 or 0.999, but the faster one stands first, by tenths of a second."""
    scores = {key: first_s + more for key, more in (("a", 0.0), ("b", 0.1), ("c", 0.1), ("d", 160.0))}
    ranked = by_forecast([forecast_row(key, score) for key, score in scores.items()])

    assert len({row.quantile for row in ranked.values()}) == 1
    assert {key: row.rank for key, row in ranked.items()} == {"a": 1, "b": 2, "c": 2, "d": 4}


def test_a_flat_piece_of_the_table_gives_its_middle():
    """Half the scenarios at one score: that score is at the middle of them."""
    quantiles = (700.0,) * 9 + (800.0,) * 10

    assert place_in_forecast(700.0, quantiles, LEVELS) == (0.25, 0.0)  # (0.05 + 0.45) / 2
    assert place_in_forecast(750.0, quantiles, LEVELS) == (
        pytest.approx(0.475),
        0.0,
    )  # half way from 0.45 to 0.50


def test_a_forecast_that_may_not_finish_leaves_room_for_the_capped():
    """Finishing later than any finishing scenario lies below the level of the first that does not finish."""
    quantiles = (700.0, 720.0, 740.0) + (None,) * 16
    place = place_in_forecast(900.0, quantiles, LEVELS)

    assert place.steps > 0
    assert 0.15 < place.level <= 0.2


@given(
    st.lists(st.floats(300, 2000), min_size=19, max_size=19),
    st.lists(st.floats(100, 4000), min_size=2, max_size=8),
)
@settings(deadline=None)
def test_a_lower_score_never_has_a_higher_level(entries, scores):
    """The level is monotone in the score, whatever the table."""
    judged = [place_in_forecast(score, sorted(entries), LEVELS).order for score in sorted(scores)]

    assert all(low <= high for low, high in itertools.pairwise(judged))

"""What another pacing costs, as the athlete reads it."""

import pytest

from scoring.brief_pace import pace_lines
from scoring.calc.forecast import BlockForecast, OtherPacing, Spread
from scoring.calc.pacing_price import CHANGES
from scoring.expected import other_pacings_of
from scoring.names import Names

ONE = Names(blocks={"main": "Main"})
TWO = Names(blocks={"main": "Main", "finish": "Finish"})


def priced(change, costs, breaks=0.0, *, unit="s", rest_s=60.0, share=0.8):
    """What is told of one change of a pacing of 80 % and 40 s."""
    forecast = BlockForecast(
        (None,) * 19, 1.0, Spread(1, 2, 3), 0.8, 40.0, (), (), 64, unit=unit,
        other_pacings=(OtherPacing(change, rest_s, share, costs, breaks),),
    )  # fmt: skip
    return list(other_pacings_of("main", forecast))


@pytest.mark.parametrize(
    ("change", "more", "said"),
    [
        ("longer_rest", {"costs": 17.6, "breaks": -1.0},
         "Resting at least 60 s instead of 40 s between two sets of the same work costs about 20 s, "
         "with one break fewer."),
        ("shorter_rest", {"costs": 33.0, "breaks": 2.0, "rest_s": 20.0},
         "Going on after 20 s instead of 40 s between two sets of the same work costs about 35 s, "
         "with 2 breaks more."),
        ("smaller_sets", {"costs": 12.0, "share": 0.7},
         "Stopping each set at 70 % of what you have in you instead of 80 % costs about 10 s."),
        ("to_failure", {"costs": 3.2, "share": 1.0, "unit": "repetitions"},
         "Taking each set as far as it goes costs about 3 repetitions."),
        ("same_share", {"costs": 22.0, "rest_s": 20.0},
         "Stopping each set at 80 % of what you have in you, after 20 s, instead of these sets costs about 20 s."),
        ("to_failure", {"costs": 1.2, "share": 1.0, "unit": "repetitions"},
         "Taking each set as far as it goes costs about 1 repetition."),
        ("to_failure", {"costs": 40.4, "share": 1.0, "unit": "m"},
         "Taking each set as far as it goes costs about 40 metres."),
        ("to_failure", {"costs": 6.6, "share": 1.0, "unit": "kcal"},
         "Taking each set as far as it goes costs about 7 kilocalories."),
        ("to_failure", {"costs": 120.0, "share": 1.0, "unit": "kg"},
         "Taking each set as far as it goes costs about 120 kg."),
        ("to_failure", {"costs": 0.25, "share": 1.0, "unit": "rounds"},
         "Taking each set as far as it goes costs about 0.25 rounds."),
    ],
)  # fmt: skip
def test_each_change_is_a_sentence_with_its_price(change, more, said):
    """Rounded to what can be acted on, with the breaks that go with it."""
    assert pace_lines(priced(change, **more), ONE) == [said]


def test_where_there_are_several_blocks_it_says_in_which():
    """The sentence goes on in small letters."""
    (said,) = pace_lines(priced("to_failure", 30.0, share=1.0), TWO)
    assert said == "In Main: taking each set as far as it goes costs about 30 s."


def test_what_is_rounded_to_nothing_or_would_save_is_not_said():
    """Two seconds are none; what saves is in the content but in no sentence."""
    assert priced("longer_rest", 2.0) == []
    saving = priced("shorter_rest", -15.0, rest_s=20.0)
    assert [one["costs"] for one in saving] == [-15]
    assert pace_lines(saving, ONE) == []


@pytest.mark.parametrize("change", CHANGES)
def test_every_change_has_its_words(change):
    """None is left without a sentence."""
    assert pace_lines(priced(change, 60.0), ONE)

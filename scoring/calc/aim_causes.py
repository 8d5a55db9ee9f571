"""Why a condition of an aim was probably missed, or cannot be told: one sentence each.

What the next prescription changes is no part of it: that is read from what is prescribed (``scoring.changes_next``).
"""

from typing import Final

CAUSES: Final = {
    "too_hard_version": "The version was probably too hard.",
    "too_easy_version": "The version was probably too easy.",
    "bad_day": "Far below what was foreseen: ask about fatigue or illness; a single day tells little.",
    "good_day": "Far above what was foreseen: the athlete can do more.",
    "first_set_too_greedy": "The first set left too little for the later ones; plan to stop it earlier.",
    "rests_too_short": "Rests were shorter than planned; keep to the planned rest.",
    "more_breaks_than_planned": "More breaks than planned cost penalties; longer rests save breaks.",
    "sets_too_long": "Sets were longer than planned, so they went nearer to failure; end them at what is planned.",
    "sets_stopped_early": "Sets were ended earlier than planned, so they took less of what was there.",
    "breathing": "Breathing was foreseen to stop the athlete and no set ended by failure: that, not the muscle.",
    "ended_by_pain": "A set was ended by pain: look into that before anything is concluded from the numbers.",
    "not_shown": "The set was stopped before it could show how many repetitions were available.",
    "no_sets": "The result has no sets for this work, so it cannot be told.",
    "no_later_sets": "There was no later set that the floor could fail.",
    "not_finished": "The work was not finished in time, so there is no score to hold against the window.",
    "share_not_known": "What was available before each set is not known, so the share of it cannot be told.",
    "effort_not_reported": "Nobody has reported how hard it felt; ask the athlete.",
    "stopper_not_shown": "The result does not show what stopped the athlete; ask.",
    "stopped_otherwise": "Something else than was aimed at stopped the athlete.",
    "not_believed": "The result waits for a review, or was refused in one: nothing is concluded from it.",
    "under_review": "The result does not add up: nothing is concluded from it until its review is closed.",
    "no_score": "There is no official score yet; the review of the result comes first.",
}

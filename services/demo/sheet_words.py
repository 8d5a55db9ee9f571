"""Words of the sheet for what the service answers in codes, and what it says of safety."""

from __future__ import annotations

from typing import Final

LABELS: Final = {
    "push_up_hands_raised": "push-up, hands",
    "push_up_knees": "push-up, on the knees",
    "push_up_floor": "push-up",
    "push_up_feet_raised": "push-up, feet",
    "squat_supported": "squat, hands on rings",
    "box_squat": "squat to a box",
    "body_weight_squat": "squat",
    "goblet_squat": "kettlebell squat",
    "fan_bike": "bike",
    "overhead_press_dumbbells": "dumbbell press",
    "back_squat_barbell": "back squat",
    "bench_press_barbell": "bench press",
}
HOLDS: Final = {
    "red_flag": "a warning sign was reported",
    "screening_yes": "a yes in the screening",
    "screening_expired": "the screening has expired",
    "screening_missing": "no screening yet",
    "pain": "pain was reported",
    "absence_unconfirmed": "nothing heard for two weeks",
    "set_by_staff": "set by the staff",
}
REASONS: Final = {
    "body_mass_missing": "no body mass on record",
    "equipment_missing": "equipment missing",
    "alone_without_safeties": "nobody there and no safeties for the bar",
    "beyond_curve": "too light to tell how often",
    "no_load_repetition_curve": "no load to choose for this movement",
    "too_hard_at_easiest": "even the easiest version is likely to be too hard",
    "too_easy_at_hardest": "even the hardest version here is likely to be too easy",
    "between_options": "what can be loaded here lies on either side of the window",
    "time_out_of_reach": "the time asked for is out of reach",
    "later_sets_out_of_reach": "later sets as long as asked for are out of reach",
    "score_out_of_reach": "the score asked for is out of reach",
    "share_out_of_reach": "sets of the share of what is possible that is asked for are out of reach",
    "stopped_by_something_else": "something else than asked for stops this athlete",
    "maximal_attempt_needs_coach": "attempts at a maximum are for a coach to decide",
    "kit_in_use": "equipment in use",
    "harder_than_written": "harder than written, for somebody unseen",
    "harder_than_written_new_and_unsure": "harder than written, new and unsure",
    "not_counted_so": "counted in another unit",
    "cap_below_work": "even the least of this work is more than allowed at present",
}
OFFERS: Final = {
    "choose_movement_for_this_equipment": "offer another movement",
    "choose_easier_movement": "offer an easier movement",
    "choose_harder_movement_or_more_repetitions": "offer a harder movement or more repetitions",
    "widen_window_or_change_repetitions": "widen the window or change the repetitions",
    "change_time_window_or_repetitions": "change the time window or the repetitions",
    "choose_movement_without_the_limited_hazard": "offer another movement",
    "record_body_mass": "weigh in first",
    "change_window_of_later_sets": "change the window of later sets",
    "change_score_window_or_amounts": "change the score window or the amounts",
    "change_window_of_shares": "change the window of shares",
    "change_work_or_what_should_stop_the_athlete": "change the work, or what should stop the athlete",
    "warm_up_ladder_without_a_maximal_attempt": "climb the warm-up ladder without an attempt at a maximum",
    "give_fixed_amounts_within_the_cap": "give fixed amounts within what is allowed",
    "choose_other_work_for_the_day": "choose other work for the day",
}
SAFETY: Final = (
    "Stop at pain, dizziness, chest discomfort or unusual breathlessness, and tell the coach. Dark urine",
    "or extreme soreness after much unusual work: see a physician at once. This sheet replaces neither a",
    "physician nor the rules of the gym. Who has an illness, is pregnant or comes back after a break asks",
    "a physician first.",
)

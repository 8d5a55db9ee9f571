"""What is said with a hold: who may release it, and what is offered meanwhile; and the words of reports."""

from __future__ import annotations

from typing import Final

from athletes.safety import HoldCode
from services.tenancy.actor import COACHES, STAFF, Role

_STAFF = "an owner, a coach or staff of the location, with the reason; not the athlete"
_SCREENING = "the athlete, or the staff for the athlete, by a new screening"

RELEASED_BY: Final[dict[HoldCode, str]] = {
    "red_flag": (
        "an owner or a coach who has acknowledged the report, or seen it acknowledged, with the reason and with who"
        " has cleared it, once a physician has been asked and has nothing against it; not the athlete"
    ),
    "screening_yes": _STAFF + "; where a physician has to be asked, after that",
    "screening_expired": _SCREENING,
    "screening_missing": _SCREENING,
    "pain": _STAFF,
    "absence_unconfirmed": (
        "the athlete or the staff by saying how long it was; that there was training all the same is confirmed by an"
        " owner, a coach or staff of the location"
    ),
    "set_by_staff": _STAFF,
}

SAFE_ALTERNATIVES: Final[dict[HoldCode, str]] = {
    "red_flag": (
        "No training today. Rest, do not stay alone and have it looked at; easy walking once a physician has nothing"
        " against it."
    ),
    "screening_yes": (
        "Easy walking or easy movement at a pace at which you can talk, without load and far from failure, until"
        " somebody has looked at your answers with you."
    ),
    "screening_expired": (
        "Familiar, light work at a pace at which you can talk and well short of failure, until you have answered the"
        " screening again; it takes two minutes."
    ),
    "screening_missing": (
        "Familiar, light work at a pace at which you can talk and well short of failure, until you have answered the"
        " screening; it takes two minutes."
    ),
    "pain": (
        "Light work of what does not hurt: other movements, less range, less load, well short of failure; easy"
        " walking and mobility always."
    ),
    "absence_unconfirmed": (
        "The light version: familiar movements at half of your former volume at most, and nothing to failure."
    ),
    "set_by_staff": "Easy movement that the staff agree with; ask them before you begin.",
}

AFTER_STRONG_PAIN: Final = (
    "Nothing more on the day of such pain, also not of what does not hurt. On later days light work of what does not"
    " hurt: other movements, less range, less load, well short of failure; easy walking and mobility."
)
"""In place of the alternative to work that hurts: nobody trains on through strong pain (guidance, strong_pain)."""

MAY_RELEASE: Final[dict[HoldCode, frozenset[Role]]] = {
    "red_flag": COACHES,
    "screening_yes": STAFF,
    "pain": STAFF,
    "absence_unconfirmed": STAFF,
    "set_by_staff": STAFF,
}
"""Roles whose release ends a hold; a code that is not here ends by a new screening alone."""

SHORTEST_CLEARANCE: Final = 20
"""Characters of the reason that ends a red flag. Ours: three or four words; an "ok" tells nobody anything later."""

SITES: Final = (
    "head_or_neck",
    "shoulder",
    "elbow",
    "wrist_or_hand",
    "chest_or_ribs",
    "upper_back",
    "lower_back",
    "abdomen_or_groin",
    "hip",
    "thigh",
    "knee",
    "shin_or_calf",
    "ankle",
    "foot",
)
SIDES: Final = ("left", "right", "both", "middle")

LIMITED_HAZARDS: Final = {
    "shoulder": "shoulder",
    "elbow": "elbow",
    "wrist_or_hand": "wrist",
    "lower_back": "lower_back",
    "hip": "hip",
    "abdomen_or_groin": "hip",
    "knee": "knee",
    "ankle": "ankle",
    "shin_or_calf": "impact",
    "foot": "impact",
}
"""By site of pain, the hazard that a limit may keep away; where nothing is here, a person has to think."""

SIGNS: Final = {
    "chest_pain": "Pain, pressure or tightness in the chest",
    "collapse": "Collapse or loss of consciousness",
    "confusion_or_heat": "Confusion, stumbling or collapse in the heat",
    "dark_urine": "Urine as dark as cola, or a muscle that swells after hard work",
    "severe_breathlessness": "Breathlessness that does not go away at rest",
    "sudden_weakness_or_numbness": "Sudden weakness, numbness, or trouble to speak or to see",
    "racing_or_stumbling_pulse": "A pulse that races or stumbles at rest",
    "blow_to_the_head_or_neck": "A blow to the head or the neck",
    "severe_injury": "An injury with a deformed limb, much blood, or a limb that does not bear",
    "other": "Something else that feels like an emergency",
}
SEVERITY: Final = (
    "0 none; 1-2 I notice it; 3-4 it bothers me; 5-6 I change how I move; 7-8 I have to stop; "
    "9-10 the worst that I can think of"
)

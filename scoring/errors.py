"""What may go wrong with results and prescriptions.

Conflict                409
├── ResultExists               result_exists
├── ResultAlreadyCorrected     result_already_corrected
├── ReviewClosed               review_closed
├── ResultStored               result_already_stored
├── CheckSetReplaced           check_set_already_replaced
├── PrescriptionSuperseded     prescription_superseded
└── OverrideEnded              override_ended
Forbidden               403
└── OwnResult                  own_result
Unprocessable           422
├── NothingPrescribed          nothing_prescribed
├── SessionOver                session_over
├── NotTakingPart              not_taking_part
├── ImplausibleSet             implausible_set
├── NeedsAcknowledgement       needs_acknowledgement
├── HeldForSafety              held_for_safety
└── TooManyAthletes            too_many_athletes
TooManyRequests         429
└── ReachCheckRunning          reach_check_running
"""

from typing import ClassVar

from services.problems import Conflict, Forbidden, TooManyRequests, Unprocessable


class ResultExists(Conflict):
    """The athlete already has a result in this session. The stored one was not touched."""

    code = "result_exists"
    remedy = "To change it, send a correction with a reason (POST …/attempts/{attempt}/corrections)."


class ResultAlreadyCorrected(Conflict):
    """This version of the result was already replaced by a correction; only the latest one can be corrected."""

    code = "result_already_corrected"
    remedy = "Read the latest version of the result and correct that one."


class ReviewClosed(Conflict):
    """Somebody has already dealt with this review."""

    code = "review_closed"
    remedy = "Nothing is left to do; a further change of the result is a correction."


class OwnResult(Forbidden):
    """Nobody closes the review of a result of their own, whatever their role: another is to look at it."""

    code = "own_result"
    remedy = "Ask an owner, another coach or staff of the location; what was mistyped is put right by a correction."


class ResultStored(Conflict):
    """The athlete's result of this session is stored, so nothing is prescribed for it any more."""

    code = "result_already_stored"
    remedy = (
        "What was done belongs into the result: send a correction (POST …/attempts/{attempt}/corrections)."
    )


class CheckSetReplaced(Conflict):
    """This check set was already replaced; only the latest version can be."""

    code = "check_set_already_replaced"
    remedy = "List the check sets of the session and replace the one that stands."


class PrescriptionSuperseded(Conflict):
    """A newer prescription has been issued meanwhile; what was seen is not what would be replaced."""

    code = "prescription_superseded"
    remedy = "Read the athlete's current prescription of this session and decide on that one."


class OverrideEnded(Conflict):
    """This override stands no longer: it was withdrawn or replaced, or what it rested on has changed."""

    code = "override_ended"
    remedy = "Nothing is left to withdraw; a new override is made on the current prescription."


class SessionOver(Unprocessable):
    """The session is over or cancelled, and nothing is prescribed for it any more."""

    code = "session_over"
    remedy = "Send what was done as a result; plan what comes next in a coming session."


class NotTakingPart(Unprocessable):
    """The athlete takes part in this session no longer, so nothing is prescribed for them in it."""

    code = "not_taking_part"
    remedy = (
        "Let them take part again: in the group or at the location of the session, or as a drop-in of the day. A set"
        " that was done without it is sent as a test."
    )


class ImplausibleSet(Unprocessable):
    """The set is far beyond what is known of people, or of the athlete, or its load is not in the kit or far above
    the one that was asked for; a wrong load or count must not become a prescription.
    """

    code = "implausible_set"
    check = "Check load, unit and count, and send what was done; of a pair the load is that of both together."
    by_staff = (
        "If all is true, and no more than the best of the world do, one of the staff who has seen it, not the"
        " athlete, sends it with `confirmed`."
    )
    remedies: ClassVar = {
        "beyond_belief": f"{check} {by_staff}",
        "load_not_in_kit": f"{check} If it was so, send it with `confirmed`.",
        "far_above_asked": f"{check} If it was so, send it with `confirmed`.",
    }
    """By the code of the doubt; what is in none nobody's word opens."""
    remedy = (
        f"{check} If it was so, send it with `confirmed`; what is beyond belief one of the staff confirms."
    )


class NeedsAcknowledgement(Unprocessable):
    """Something speaks against what is to be prescribed, and whoever prescribes it has not named it."""

    code = "needs_acknowledgement"
    remedy = "Choose something else, or name each code of `errors` in `acknowledged`; it is stored with your reason."


class HeldForSafety(Unprocessable):
    """After a warning sign or pain nothing is prescribed until a named person has released the athlete."""

    code = "held_for_safety"
    release = "POST …/athletes/{athlete}/hold-releases"
    """Where a hold ends."""
    remedy = (
        f"Whoever may release the hold does so first, with a reason ({release}); an override cannot stand in for it."
        " What may be done meanwhile stands under `hold` of the prescription."
    )


class TooManyAthletes(Unprocessable):
    """More athletes than one answer works out: 200, and fewer of them the more work the session has."""

    code = "too_many_athletes"
    remedy = (
        "Name fewer of the athletes, or leave them out and read the answer for typical ones; what each is given once"
        " the session is placed is worked out in the background."
    )


class ReachCheckRunning(TooManyRequests):
    """A reach check or a what-if of this organisation is being worked out, and it has one at a time."""

    code = "reach_check_running"
    title = "A reach check or a what-if is running"
    remedy = (
        "Wait for the number of seconds in `Retry-After`, or for the answer of the other, then send it again."
    )


class NothingPrescribed(Unprocessable):
    """The result says "as prescribed", but no prescription with a plan stands behind it."""

    code = "nothing_prescribed"
    remedy = "Send the sets as they were done (`set_log`), or totals; or name a prescription that has a plan."

"""What may go wrong with athletes and what is recorded of them.

Conflict             409
├── ClientIdReused          client_id_reused
├── AlreadyInGroup          already_in_group
├── AlreadyAnswered         already_answered
└── AlreadyCorrected        already_corrected
Unprocessable        422
├── BodyMassMissing         body_mass_missing
├── NotALoad                not_a_load
└── ImplausibleTest         implausible_test
Forbidden            403
└── NotYourLocation         not_your_location
"""

from __future__ import annotations

from services.problems import Conflict, Forbidden, Unprocessable


class ClientIdReused(Conflict):
    """This `client_id` already belongs to something with another content."""

    code = "client_id_reused"
    remedy = "Make a new `client_id` for a new record; to change what is stored, send a correction."


class AlreadyInGroup(Conflict):
    """An athlete is in a group once on any day, and is in this one on one of these days already."""

    code = "already_in_group"
    remedy = "Leave out who is in the group already, or change the days of that membership."


class AlreadyAnswered(Conflict):
    """The athlete has answered this form for that day, and it was something else."""

    code = "already_answered"
    remedy = "Read the answers of that day and change them (PATCH with If-Match)."


class AlreadyCorrected(Conflict):
    """This test was already replaced by a correction; only the latest one can be corrected."""

    code = "already_corrected"
    remedy = "Read the test that replaced it and correct that one."


class BodyMassMissing(Unprocessable):
    """The athlete's own weight is part of this variation's load, and no weighing of the athlete is known."""

    code = "body_mass_missing"
    remedy = "Send a weighing first (POST …/athletes/{athlete}/body-mass), then the test again."


class NotALoad(Unprocessable):
    """With this assistance nothing is left to move, so the set tells nothing about strength."""

    code = "not_a_load"
    remedy = "Check assistance and body mass; the assistance must be smaller than what is moved."


class ImplausibleTest(Unprocessable):
    """The test is far beyond what is known of people; a wrong load, unit or count must not become a prescription."""

    code = "implausible_test"
    check = "Check load, unit and count, and send what was done."
    """All that is to be done where nobody's word opens it."""
    remedy = (
        f"{check} If all is true, and no more than the best of the world do, one of the staff who has seen it, not"
        " the athlete, sends it with `confirmed`."
    )


class NotYourLocation(Forbidden):
    """Staff of a location change the athletes of their own locations only."""

    code = "not_your_location"
    remedy = "Ask a coach, or staff of that location."

"""What may go wrong with results and prescriptions.

Conflict                409
├── ResultExists               result_exists
├── ResultAlreadyCorrected     result_already_corrected
└── ReviewClosed               review_closed
"""

from services.problems import Conflict


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

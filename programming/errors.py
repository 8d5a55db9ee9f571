"""What may go wrong with the programme.

Invalid              400
└── DraftNotPublishable    draft_not_publishable
Conflict             409
├── DraftChanged           draft_changed
├── GroupNameTaken         group_name_taken
├── KeyTaken               key_taken
├── LocalVersionChanged    local_version_changed
├── SessionCancelled       session_cancelled
├── SessionStarted         session_started
└── TemplateArchived       template_archived
Forbidden            403
└── NotYourPlace           not_your_place
"""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import quote

from programming.calc.reader import Problem
from services.problems import Conflict, FieldProblem, Forbidden, Invalid


class DraftNotPublishable(Invalid):
    """The draft is no session yet: something is missing or unknown, or its rules and its aim contradict.

    The pointers lead into the template, below `draft`.
    """

    code = "draft_not_publishable"
    remedy = "Correct the draft at the places listed in `errors`, then publish it again."


class DraftChanged(Conflict):
    """Somebody changed the draft after the version that was to be published."""

    code = "draft_changed"
    remedy = "Read the template again, look at what changed, and publish with its present `version`."


class GroupNameTaken(Conflict):
    """The organisation already has a group with this name."""

    code = "group_name_taken"
    remedy = "Choose another name, or use the group that has it."


class KeyTaken(Conflict):
    """The organisation already has a movement or a variation with this key."""

    code = "key_taken"
    remedy = "Choose another key, or add a version to the variation that has it."


class LocalVersionChanged(Conflict):
    """The location has another version of this session by now than the one that was to be replaced."""

    code = "local_version_changed"
    remedy = "Read the location's version in use, and send its id in `replaces` if it is to be replaced."


class SessionCancelled(Conflict):
    """A cancelled session does not move any more."""

    code = "session_cancelled"
    remedy = "Place the revision anew."


class SessionStarted(Conflict):
    """The session has begun: what it asks for does not change any more."""

    code = "session_started"
    remedy = "Place another session, or write the change into the next one."


class TemplateArchived(Conflict):
    """An archived template is neither changed nor published."""

    code = "template_archived"
    remedy = "Restore the template first, or make a copy of it."


class NotYourPlace(Forbidden):
    """Staff of a location make local versions for their own locations only."""

    code = "not_your_place"
    remedy = "Ask a coach, or staff of that location."


def field_problems(problems: Sequence[Problem], below: str = "") -> list[FieldProblem]:
    """Problems of a document as faults of a body that holds the document at the pointer `below`."""
    return [
        FieldProblem(
            "#" + quote(below + problem.pointer, safe="/~!$&'()*+,;=:@"), problem.code, problem.detail
        )
        for problem in problems
    ]


def unknown_reference(name: str, what: str) -> Invalid:
    """The body names something that is not there, or that the caller may not know of."""
    detail = f"There is no such {what} in this organisation."
    return Invalid(errors=[FieldProblem(f"#/{name}", "unknown_reference", detail)])

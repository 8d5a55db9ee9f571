"""Who may do what, written by hand and independent of what the code declares.

The callers are: the owner, a coach, staff of the harbour, staff of the mill (`other_staff`), the athlete of
the harbour that the requests are about, another athlete (who trains at the mill); and from outside, somebody
without a membership, the owner of another organisation, and nobody (no token).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

ALL = "owner coach staff other_staff athlete other_athlete"
STAFF = "owner coach staff other_staff"
COACHES = "owner coach"
HERE = "owner coach staff"  # those of the staff who work where the athlete trains
OWN = "owner coach staff athlete"  # who may know of the athlete in question
VISITED = "owner coach staff other_staff athlete"  # and who receives that athlete in a session
ANSWERS = "owner coach athlete"  # who reads what the athlete says of their health
OTHERS = "other_staff other_athlete"
LIMITED = "staff other_staff athlete other_athlete"

OUTSIDE: Mapping[str, int] = {"outsider": 404, "foreign_owner": 404, "anonymous": 401}
SIGNED_IN: Mapping[str, int] = {"outsider": 200, "foreign_owner": 200, "anonymous": 401}
OPEN: Mapping[str, int] = {"outsider": 200, "foreign_owner": 200, "anonymous": 200}


@dataclass(frozen=True)
class Rule:
    """What each caller gets; who is not named gets 403.

    allowed  2xx
    hidden   404: they may not know that it is there
    unknown  400: the body names what they may not know of
    inert    2xx with a report that says why nothing was stored
    blind    allowed, but `subject` (a name of an id) is not in their answer
    outside  callers from outside; 200 stands for 2xx
    """

    allowed: str
    hidden: str = ""
    unknown: str = ""
    inert: str = ""
    blind: str = ""
    subject: str = ""
    outside: Mapping[str, int] = field(default_factory=lambda: OUTSIDE)

    def expected(self, caller: str) -> int:
        """The status; 200 stands for any 2xx."""
        if caller in self.outside:
            return self.outside[caller]
        if caller in f"{self.allowed} {self.inert}".split():
            return 200
        if caller in self.hidden.split():
            return 404
        return 400 if caller in self.unknown.split() else 403


# A name after the slash tells a second case of an operation.
RULES: Mapping[str, Rule] = {
    # One's own sign-in, outside of any organisation.
    "sign_in": Rule(ALL, outside=OPEN),
    "accept_invitation": Rule(ALL, outside=OPEN),
    # Only the person whose address is invited; here that is the outsider.
    "join_invitation": Rule("", outside={"outsider": 200, "foreign_owner": 403, "anonymous": 401}),
    "read_second_factor": Rule(ALL, outside=SIGNED_IN),
    "change_password": Rule(ALL, outside=SIGNED_IN),
    "begin_second_factor": Rule(ALL, outside=SIGNED_IN),
    # Of the other organisation nobody has begun a set-up, or has a factor to remove.
    "confirm_second_factor": Rule(ALL, outside={"outsider": 200, "foreign_owner": 409, "anonymous": 401}),
    "remove_second_factor": Rule(ALL, outside={"outsider": 200, "foreign_owner": 409, "anonymous": 401}),
    "read_me": Rule(ALL, outside=SIGNED_IN),
    "choose_units": Rule(ALL, outside=SIGNED_IN),
    "list_tokens": Rule(
        ALL, outside=SIGNED_IN, subject="token", blind="owner staff other_staff athlete other_athlete"
    ),
    "create_token": Rule(ALL, outside=SIGNED_IN),
    "create_token/organisation": Rule(ALL, outside=OUTSIDE),
    "revoke_token": Rule("coach", hidden="owner staff other_staff athlete other_athlete"),
    # The organisation.
    "read_organisation": Rule(ALL),
    "update_organisation": Rule("owner"),
    "list_locations": Rule(ALL),
    "create_location": Rule("owner"),
    "read_location": Rule(ALL),
    "update_location": Rule("owner"),
    "list_memberships": Rule(ALL, subject="membership", blind=LIMITED),
    "read_membership": Rule(COACHES, hidden=LIMITED),
    "update_membership": Rule("owner"),
    "end_membership": Rule("owner"),
    "list_invitations": Rule("owner"),
    "create_invitation": Rule(COACHES),
    "create_invitation/coach": Rule("owner"),
    # The programme: everybody reads what was published, the staff reads drafts, coaches write.
    "list_movements": Rule(ALL),
    "create_movement": Rule(COACHES),
    "read_movement": Rule(ALL),
    "list_variations": Rule(ALL),
    "create_variation": Rule(COACHES),
    "read_variation": Rule(ALL),
    "list_variation_versions": Rule(ALL),
    "create_variation_version": Rule(COACHES),
    "read_catalogue_updates": Rule(COACHES),
    "take_up_catalogue": Rule(COACHES),
    "read_equipment": Rule(ALL),
    "read_kit": Rule(ALL),
    "put_kit": Rule(COACHES),
    "list_templates": Rule(STAFF),
    "create_template": Rule(COACHES),
    "read_template": Rule(STAFF),
    "update_template": Rule(COACHES),
    "list_revisions": Rule(STAFF),
    "publish_revision": Rule(COACHES),
    "read_revision": Rule(ALL),
    "copy_template": Rule(COACHES),
    "archive_template": Rule(COACHES),
    "restore_template": Rule(COACHES),
    "check_template": Rule("", inert=STAFF),
    "compare_revisions": Rule(STAFF),
    # A location's own version: whoever writes the programme, and the staff of that location.
    "list_local_versions": Rule(STAFF),
    "read_local_version": Rule(STAFF),
    "make_local_version": Rule(HERE),
    "use_revision": Rule(HERE),
    "list_groups": Rule(ALL),
    "create_group": Rule(COACHES),
    "read_group": Rule(ALL),
    "update_group": Rule(COACHES),
    "copy_week": Rule(COACHES),
    "place_revision": Rule(COACHES),
    "list_scheduled_sessions": Rule(ALL),
    "schedule_session": Rule(COACHES),
    "read_scheduled_session": Rule(ALL),
    "move_session": Rule(COACHES),
    "cancel_session": Rule(COACHES),
    # Feeds: whoever sees the athlete makes and revokes them, everybody those of a location; the address is the key.
    "list_feeds": Rule(ALL, subject="feed", blind=OTHERS),
    "create_feed": Rule(OWN, unknown=OTHERS),
    "create_feed/location": Rule(ALL),
    "revoke_feed": Rule(OWN, hidden=OTHERS),
    "read_feed": Rule(ALL, outside=OPEN),
    # Imports: the staff sends tables, each row by its own right; coaches see those of others.
    "list_imports": Rule(STAFF, subject="import", blind="staff other_staff"),
    "create_import": Rule(STAFF),
    "read_import": Rule(COACHES, hidden="staff other_staff"),
    "list_import_rows": Rule(COACHES, hidden="staff other_staff"),
    # Exports: each sees their own alone; of an athlete everybody but the staff of locations, of all the owner.
    "list_exports": Rule(ALL, subject="export", blind="owner staff other_staff athlete other_athlete"),
    "create_export": Rule("owner coach athlete", unknown="other_athlete"),
    "create_export/organisation": Rule("owner"),
    "read_export": Rule("coach", hidden="owner staff other_staff athlete other_athlete"),
    "delete_export": Rule("coach", hidden="owner staff other_staff athlete other_athlete"),
    "download_export": Rule("coach", hidden="owner staff other_staff athlete other_athlete"),
    # Athletes: the staff of where they train, and they themselves.
    "list_athletes": Rule(ALL, subject="athlete", blind=OTHERS),
    "create_athlete": Rule(HERE),
    "read_athlete": Rule(OWN, hidden=OTHERS),
    "update_athlete": Rule(OWN, hidden=OTHERS),
    "update_athlete/name": Rule(HERE, hidden=OTHERS),
    "update_athlete/location": Rule(COACHES, hidden=OTHERS),
    "update_athlete/person": Rule(COACHES, hidden=OTHERS),
    "import_athletes": Rule(HERE, inert="other_staff"),
    "list_group_members": Rule(ALL, subject="group_member", blind=OTHERS),
    "add_group_members": Rule(HERE, unknown="other_staff"),
    "read_group_member": Rule(OWN, hidden=OTHERS),
    "change_group_member": Rule(HERE, hidden="other_staff"),
    "remove_group_member": Rule(HERE, hidden="other_staff"),
    "list_body_masses": Rule(OWN, hidden=OTHERS),
    "record_body_mass": Rule(OWN, hidden=OTHERS),
    # Answers about health: not for the staff of a location.
    "list_health_reads": Rule("owner"),
    "list_wellness_forms": Rule(ALL),
    "set_wellness_form": Rule(COACHES),
    "list_wellness_answers": Rule(ANSWERS, hidden="other_athlete", subject="wellness_answer"),
    "answer_wellness_form": Rule(ANSWERS, hidden="other_athlete"),
    "read_wellness_answer": Rule(ANSWERS, hidden="other_athlete"),
    "change_wellness_answer": Rule(ANSWERS, hidden="other_athlete"),
    "remove_wellness_answer": Rule(ANSWERS, hidden="other_athlete"),
    "read_wellness": Rule(ANSWERS, hidden="other_athlete"),
    "list_heart_rates": Rule(ANSWERS, hidden="other_athlete", subject="heart_rates"),
    "state_heart_rates": Rule(ANSWERS, hidden="other_athlete"),
    "take_heart_rates_back": Rule(ANSWERS, hidden="other_athlete"),
    "read_group_wellness": Rule(COACHES),
    "list_training_logs": Rule(OWN, hidden=OTHERS, subject="training_log"),
    "log_training": Rule(OWN, hidden=OTHERS),
    "read_training_log": Rule(OWN, hidden=OTHERS),
    "change_training_log": Rule(OWN, hidden=OTHERS),
    "remove_training_log": Rule(OWN, hidden=OTHERS),
    "list_rest_days": Rule(OWN, hidden=OTHERS, subject="rest_day"),
    "confirm_rest_day": Rule(OWN, hidden=OTHERS),
    "take_rest_day_back": Rule(OWN, hidden=OTHERS),
    "list_load_days": Rule(OWN, hidden=OTHERS),
    "load_what_if": Rule("", inert=OWN, hidden=OTHERS),
    "read_load_summary": Rule(OWN, hidden=OTHERS),
    "read_location_load_summary": Rule(STAFF, subject="athlete", blind="other_staff"),
    "read_group_load_summary": Rule(STAFF),
    "list_limitations": Rule(OWN, hidden=OTHERS),
    "add_limitation": Rule(OWN, hidden=OTHERS),
    "read_limitation": Rule(OWN, hidden=OTHERS),
    "change_limitation": Rule(HERE, hidden="other_staff"),
    "lift_limitation": Rule(HERE, hidden="other_staff"),
    "list_assessments": Rule(OWN, hidden=OTHERS),
    "record_assessment": Rule(OWN, hidden=OTHERS),
    "read_assessment": Rule(OWN, hidden=OTHERS),
    "correct_assessment": Rule(OWN, hidden=OTHERS),
    "list_capacities": Rule(OWN, hidden=OTHERS),
    "read_capacity": Rule(OWN, hidden=OTHERS),
    "read_capacity_history": Rule(OWN, hidden=OTHERS),
    "read_progression": Rule(OWN, hidden=OTHERS),
    "read_group_progression": Rule(STAFF),
    "read_external_load": Rule(OWN, hidden=OTHERS),
    "read_athlete_balance": Rule(OWN, hidden=OTHERS),
    "read_group_balance": Rule(STAFF),
    "read_balance_target": Rule(STAFF),
    "put_balance_target": Rule(COACHES),
    "read_group_balance_target": Rule(STAFF),
    "put_group_balance_target": Rule(COACHES),
    # Safety: who is staff of the place looks after its athletes; nobody releases themselves.
    "list_guidance": Rule(ALL),
    "read_screening_questions": Rule(ALL),
    "read_safety_settings": Rule(ALL),
    "set_safety_settings": Rule(COACHES),
    "list_holds": Rule(STAFF, subject="athlete", blind="other_staff"),
    "read_athlete_holds": Rule(OWN, hidden=OTHERS),
    "set_hold": Rule(HERE, hidden="other_staff"),
    "list_hold_releases": Rule(OWN, hidden=OTHERS, subject="release"),
    "release_hold": Rule(HERE, hidden="other_staff"),
    "list_screenings": Rule(OWN, hidden=OTHERS, subject="screening"),
    "record_screening": Rule(OWN, hidden=OTHERS),
    "void_screening": Rule(OWN, hidden=OTHERS),
    "list_absences": Rule(OWN, hidden=OTHERS, subject="absence"),
    "report_absence": Rule(OWN, hidden=OTHERS),
    "report_absence/new": Rule(HERE, hidden=OTHERS),
    "answer_absence": Rule(OWN, hidden=OTHERS),
    "list_reports": Rule(STAFF, subject="report", blind="other_staff"),
    "list_athlete_reports": Rule(OWN, hidden=OTHERS, subject="report"),
    "create_report": Rule(OWN, hidden=OTHERS),
    "acknowledge_report": Rule(HERE, hidden="other_staff"),
    # Results: a ranking hangs on the wall for every member, a sheet and a log do not.
    "list_prescriptions": Rule(ALL, subject="prescription", blind=OTHERS),
    "read_prescription": Rule(OWN, hidden=OTHERS),
    # On the floor: whoever may see the prescription; who drops in is somebody that the staff decides on.
    "list_check_sets": Rule(OWN, hidden=OTHERS),
    "send_check_set": Rule(OWN, hidden=OTHERS),
    "make_override": Rule("owner coach other_staff", hidden="staff"),  # of the athlete at the mill
    "list_overrides": Rule(ALL, subject="override", blind="staff athlete"),
    "withdraw_override": Rule("owner coach other_staff", hidden="staff"),
    "explain_prescription": Rule(OWN, hidden=OTHERS),
    "profile_prescription": Rule(OWN, hidden=OTHERS),
    "read_brief": Rule(OWN, hidden=OTHERS),
    "profile_attempt": Rule(OWN, hidden=OTHERS),
    "check_reach": Rule("", inert=STAFF),
    "what_if": Rule("", inert="owner coach other_staff", hidden="staff"),  # of the athlete at the mill
    "list_day_changes": Rule(ALL, subject="day_change", blind=OTHERS),
    "make_day_change": Rule(OWN, unknown=OTHERS),
    "make_day_change/drop_in": Rule(COACHES + " staff other_staff", unknown="other_athlete"),
    "end_day_change": Rule(OWN, hidden=OTHERS),
    "read_forecast_checks": Rule(OWN, unknown=OTHERS),  # of the athlete that it names
    "list_forecast_checks": Rule(OWN, hidden=OTHERS, subject="attempt"),
    "list_attempts": Rule(ALL, subject="attempt", blind=OTHERS),
    "submit_attempt": Rule(OWN, unknown=OTHERS),
    "read_attempt": Rule(OWN, hidden=OTHERS),
    "correct_attempt": Rule(OWN, hidden=OTHERS),
    "list_attempt_notes": Rule(OWN, hidden=OTHERS),
    "add_attempt_note": Rule(OWN, hidden=OTHERS),
    "list_reviews": Rule(STAFF, subject="review", blind="other_staff"),
    "read_review": Rule(HERE, hidden="other_staff"),
    "resolve_review": Rule(HERE, hidden="other_staff"),
    "read_ranking": Rule(ALL),
    # The athlete of the harbour comes to the mill with a group: its staff does there what the floor asks for, in that
    # session; who the athlete is, and whether a result is believed, stays with the staff of the harbour.
    "list_prescriptions/visit": Rule(ALL, subject="visiting_prescription", blind="other_athlete"),
    "read_prescription/visit": Rule(VISITED, hidden="other_athlete"),
    "explain_prescription/visit": Rule(VISITED, hidden="other_athlete"),
    "read_brief/visit": Rule(VISITED, hidden="other_athlete"),
    "profile_prescription/visit": Rule(VISITED, hidden="other_athlete"),
    "profile_attempt/visit": Rule(VISITED, hidden="other_athlete"),
    "list_check_sets/visit": Rule(VISITED, hidden="other_athlete"),
    "send_check_set/visit": Rule(VISITED, hidden="other_athlete"),
    "make_day_change/visit": Rule(VISITED, unknown="other_athlete"),
    "submit_attempt/visit": Rule(VISITED, unknown="other_athlete"),
    "list_attempts/visit": Rule(ALL, subject="visiting_attempt", blind="other_athlete"),
    "read_attempt/visit": Rule(VISITED, hidden="other_athlete"),
    "correct_attempt/visit": Rule(VISITED, hidden="other_athlete"),
    "list_attempt_notes/visit": Rule(VISITED, hidden="other_athlete"),
    "add_attempt_note/visit": Rule(VISITED, hidden="other_athlete"),
    "read_athlete/visit": Rule(OWN, hidden=OTHERS),
    "record_assessment/visit": Rule(OWN, hidden=OTHERS),
    "read_review/visit": Rule(HERE, hidden="other_staff"),
    # What hangs, with errors that may quote a value of an athlete.
    "list_changes": Rule(COACHES, subject="change"),
    "retry_change": Rule("owner"),
}

"""Every list that is served has a test which counts its queries at a few rows and at thirty.

The lists are those of the router, so that a new one cannot be forgotten: it fails here until its test is named.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.urls import get_resolver

from services.api.checks import api_views

TESTS = Path(__file__).parents[2]
CATALOGUE = "programming/test_api_lists.py::test_a_list_costs_the_same_for_three_rows_and_thirty"
DOOR = "services/access/test_query_counts.py::test_a_list_costs_the_same_for_few_rows_and_thirty"
GROUPS = "athletes/test_api_groups.py::test_a_list_costs_the_same_for_three_rows_and_thirty"
ATHLETES = "athletes/test_api_athletes.py::test_lists_cost_the_same_for_three_rows_as_for_thirty"
TESTED = "athletes/test_api_assessments.py::test_lists_cost_the_same_for_three_rows_as_for_thirty"
WELLNESS = "athletes/test_api_wellness.py::test_lists_cost_the_same_for_three_rows_as_for_thirty"
LOAD = "athletes/test_api_load.py::test_lists_cost_the_same_for_three_rows_as_for_thirty"
SAFETY = "athletes/test_api_safety.py::test_lists_cost_the_same_for_three_and_thirty"
RESULTS = "scoring/test_query_counts.py::test_a_list_costs_the_same_for_three_rows_and_thirty"
IMPORTS = "services/exchange/test_imports.py::test_lists_cost_the_same_for_three_rows_and_thirty"
WAITING = "scoring/test_query_counts.py::test_what_waits_and_what_is_different_cost_the_same_too"

# Of each list its test, and a word of that test's module which says that it is this list that is counted.
COUNTED = {
    "list_tokens": (DOOR, "tokens"),
    "list_locations": (DOOR, "locations"),
    "list_memberships": (DOOR, "memberships"),
    "list_invitations": (DOOR, "invitations"),
    "list_feeds": (
        "services/exchange/test_feeds.py::test_a_list_costs_the_same_for_three_rows_and_thirty",
        "feeds",
    ),
    "list_exports": (
        "services/exchange/test_exports.py::test_a_list_costs_the_same_for_three_rows_and_thirty",
        "exports",
    ),
    "list_imports": (IMPORTS, "imports"),
    "list_import_rows": (IMPORTS, "rows"),
    "list_movements": (CATALOGUE, "movements"),
    "list_variations": (CATALOGUE, "variations"),
    "list_variation_versions": (CATALOGUE, "versions"),
    "list_templates": (CATALOGUE, "templates"),
    "list_revisions": (CATALOGUE, "revisions"),
    "list_scheduled_sessions": (CATALOGUE, "sessions"),
    "list_local_versions": (
        "programming/test_local_versions.py::test_the_list_costs_the_same_for_three_rows_and_thirty",
        "local-versions",
    ),
    "list_groups": (GROUPS, "groups_of"),
    "list_group_members": (GROUPS, "members_of"),
    "list_athletes": (ATHLETES, "athletes"),
    "list_body_masses": (ATHLETES, "body-mass"),
    "list_limitations": (ATHLETES, "limitations"),
    "list_wellness_forms": (WELLNESS, "wellness-forms"),
    "list_wellness_answers": (WELLNESS, "wellness-answers"),
    "list_heart_rates": (
        "athletes/test_api_heart_rates.py::test_lists_cost_the_same_for_three_rows_as_for_thirty",
        "heart-rates",
    ),
    "list_health_reads": (
        "athletes/test_health_reads.py::test_the_list_costs_the_same_for_three_rows_as_for_thirty",
        "health-reads",
    ),
    "list_training_logs": (LOAD, "training-logs"),
    "list_rest_days": (LOAD, "rest-days"),
    "list_load_days": (LOAD, "load-days"),
    "list_assessments": (TESTED, "assessments"),
    "list_capacities": (TESTED, "capacities"),
    "list_holds": (SAFETY, "holds"),
    "list_reports": (SAFETY, "reports"),
    "list_screenings": (SAFETY, "screenings"),
    "list_absences": (SAFETY, "absences"),
    "list_athlete_reports": (SAFETY, "reports of one"),
    "list_hold_releases": (SAFETY, "hold-releases"),
    "list_attempts": (RESULTS, "attempts"),
    "list_prescriptions": (RESULTS, "prescriptions"),
    "list_reviews": (RESULTS, "reviews"),
    "list_day_changes": (WAITING, "day-changes"),
    "list_changes": (WAITING, "changes"),
    "list_attempt_notes": (
        "scoring/test_notes_and_reviews.py::test_a_list_of_notes_costs_the_same_for_three_and_thirty",
        "notes",
    ),
    "list_forecast_checks": (
        "scoring/test_forecast_trust.py::test_both_cost_the_same_for_three_rows_and_thirty",
        "forecast-checks",
    ),
    "list_check_sets": (
        "scoring/test_check_sets.py::test_a_list_costs_the_same_for_three_rows_and_thirty",
        "check_sets",
    ),
    "list_overrides": (
        "scoring/test_overrides.py::test_a_list_costs_the_same_for_three_rows_and_thirty",
        "overrides",
    ),
}


def served() -> Iterator[str]:
    """The id of each operation that answers with a page."""
    for _, view in api_views(get_resolver()):
        for operation in getattr(view, "operation", {}).values():
            if operation.paged:
                yield operation.id


def test_every_list_that_is_served_is_counted() -> None:
    """No list without a test, and no test of what is no longer served."""
    assert sorted(served()) == sorted(COUNTED)


@pytest.mark.parametrize("listed", COUNTED)
def test_the_test_is_there_and_counts(listed: str) -> None:
    """It catches the queries, and names the list: in itself, in its parameters, or in what fills the rows."""
    (place, word) = COUNTED[listed]
    file, _, name = place.partition("::")
    source = (TESTS / file).read_text()
    (found,) = [
        node for node in ast.parse(source).body if isinstance(node, ast.FunctionDef) and node.name == name
    ]
    lines = source.splitlines()
    first = min([found.lineno, *(one.lineno for one in found.decorator_list)])
    text = "\n".join(lines[first - 1 : found.end_lineno])
    assert "CaptureQueriesContext(" in text or (
        "counted(world" in text and "CaptureQueriesContext(" in source
    )
    lists = [node for node in ast.parse(source).body if isinstance(node, ast.Assign)]
    named = text + "".join(ast.unparse(one) for one in lists if one.targets[0].id in text)
    assert word in named

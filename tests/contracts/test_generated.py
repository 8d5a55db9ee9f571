"""Requests made from the document: whatever fits it or breaks it is answered as the document says, never by a 500.

The library makes them (schemathesis); it derives bodies and parameters from the schemas, and checks status,
media type and body of each answer. The examples are the same for the same selection of tests.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from services.wsgi import application
from tests.contracts.isolation import rolled_back
from tests.contracts.matrix_requests import operations, request_for
from tests.contracts.stage import Stage
from tests.support.api import committed_document
from tests.support.examples import examples

CHECKS = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
)
EXAMPLES = examples(6)
NOBODY = "00000000-0000-4000-8000-000000000000"
# Names of fields that hold an id, and whose id they hold.
FIELDS = {
    "session": "open_session",
    "athlete": "athlete",
    "prescription": "prescription",
    "movement": "movement",
    "revision": "revision",
    "location": "location",
    "locations": "location",
    "person": "member",
    "variation": "row_45",
    "organisation": "organisation",
}


@pytest.fixture(scope="module")
def schema(made_stage: Stage) -> Any:
    """The document with the ids of the stage where it asks for one, so that requests get past a 404."""
    document = copy.deepcopy(committed_document().content)
    for operation_id, (method, path) in operations().items():
        operation = document["paths"][path][method.lower()]
        sent = request_for(operation_id, made_stage.ours).path
        for parameter in operation.get("parameters", []):
            if parameter["in"] == "path":
                parameter["schema"] = {"type": "string", "enum": [sent[parameter["name"]]]}
        for media in operation.get("requestBody", {}).get("content", {}).values():
            _name_ids(document, media["schema"], made_stage)
    made = schemathesis.openapi.from_dict(document)
    made.app = application
    return made


def _name_ids(document: dict[str, Any], schema: Any, stage: Stage) -> None:
    if isinstance(schema, list):
        for inner in schema:
            _name_ids(document, inner, stage)
    if not isinstance(schema, dict):
        return
    if "$ref" in schema:
        _name_ids(document, document["components"]["schemas"][schema["$ref"].split("/")[-1]], stage)
    for name, inner in schema.get("properties", {}).items():
        target = inner.get("items", inner)
        if name in FIELDS and target.get("format") == "uuid":
            target["enum"] = [str(stage.ours.ids[FIELDS[name]]), NOBODY]
    for inner in schema.values():
        _name_ids(document, inner, stage)


@pytest.fixture(autouse=True)
def kept_connection() -> Iterator[None]:
    """Between requests Django lets go of connections; a test's transaction has to survive that."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["fits", "breaks"])
@pytest.mark.parametrize("operation_id", sorted(operations()))
def test_every_answer_is_documented(
    stage: Stage, schema: Any, operation_id: str, mode: GenerationMode
) -> None:
    """No 500, a status, a media type and a body that the document names."""
    operation = schema.find_operation_by_id(operation_id)
    token = stage.token("coach")

    @settings(
        max_examples=EXAMPLES,
        derandomize=True,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def run(case: Any) -> None:
        with rolled_back():
            response = case.call(headers={"Authorization": f"Bearer {token}"})
        case.validate_response(response, checks=CHECKS)

    run()

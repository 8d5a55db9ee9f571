"""The committed OpenAPI document is what the code makes, complete and without guesses."""

import difflib
import json
from pathlib import Path

import jsonschema_rs
import pytest
from drf_spectacular import validation
from drf_spectacular.drainage import GENERATOR_STATS, reset_generator_stats
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiYamlRenderer

from services.api.operation import METHODS
from tests.support.api import DOCUMENT, PROBLEM_TYPE, Document, committed_document

ACCEPT = "make openapi (or: .venv/bin/python manage.py spectacular --file services/api/openapi.yaml)"


@pytest.fixture(scope="module")
def made():
    """The schema as made now, and the warnings that came with it."""
    reset_generator_stats()
    schema = SchemaGenerator().get_schema(request=None, public=True)
    return schema, [*GENERATOR_STATS._warn_cache, *GENERATOR_STATS._error_cache]


def operations(content):
    for path, item in content["paths"].items():
        for method in METHODS:
            if method.lower() in item:
                yield f"{method} {path}", item[method.lower()]


def test_the_generator_had_nothing_to_guess(made):
    """A warning means a part of the document is a guess (`--fail-on-warn`)."""
    assert made[1] == []


def test_the_document_is_valid(made):
    """By the JSON schema of OpenAPI 3.1; held by the compiled validator, as the one in Python takes ten seconds."""
    rules = json.loads((Path(validation.__file__).parent / "openapi_3_1_schema.json").read_text())
    document = json.loads(OpenApiJsonRenderer().render(made[0]))
    validator = jsonschema_rs.validator_for(rules)

    assert document["openapi"].startswith("3.1.")
    assert [
        f"{error.instance_path}: {error.message[:200]}" for error in validator.iter_errors(document)
    ] == []
    assert not validator.is_valid({**document, "openapi": "2.0"})
    assert len(list(operations(made[0]))) > 20


def test_the_committed_document_is_current(made):
    """What clients read is what the service does."""
    now = OpenApiYamlRenderer().render(made[0], renderer_context={}).decode()
    committed = DOCUMENT.read_text() if DOCUMENT.exists() else ""
    changes = list(difflib.unified_diff(committed.splitlines(), now.splitlines(), "committed", "made", n=2))
    assert not changes, f"To accept, if it is meant: {ACCEPT}\n" + "\n".join(changes[:80])


def test_every_operation_is_fit_for_use():
    """Each has an id of its own, a summary, an explanation, and a documented error body for each refusal."""
    seen: set[str] = set()
    for place, operation in operations(committed_document().content):
        assert operation["operationId"] not in seen, place
        seen.add(operation["operationId"])
        assert operation["summary"], place
        assert operation["description"], place
        for status, response in operation["responses"].items():
            if status >= "400":
                assert list(response["content"]) == [PROBLEM_TYPE], f"{place} {status}"
    assert seen


def test_no_summary_breaks_off():
    """It is the beginning of the explanation up to the end of a clause, wherever the lines of that break."""
    for place, operation in operations(committed_document().content):
        explained = " ".join(operation["description"].split())
        begins, summary, onward = explained.partition(operation["summary"])
        assert begins == "" and onward[:1] in {".", ":", ";"}, f"{place}: {summary!r} goes on {onward[:40]!r}"


def test_every_example_is_valid():
    """Each example passes the schema beside it."""
    document = committed_document()
    for place, operation in operations(document.content):
        for media in _media(operation):
            for name, example in media.get("examples", {}).items():
                faults = document.faults(media["schema"], example["value"])
                assert not faults, f"{place} {name}: {faults}"


def _media(operation):
    bodies = [operation.get("requestBody", {}), *operation["responses"].values()]
    return [media for body in bodies for media in body.get("content", {}).values()]


def test_every_text_and_list_of_an_input_has_a_bound():
    """Sizes are bounded at the door, and the document says where."""
    schemas = Document(committed_document().content).content["components"]["schemas"]
    for name, schema in schemas.items():
        if schema.get("additionalProperties") is False:
            for field, rule in schema.get("properties", {}).items():
                kinds = rule.get("type", [])
                if "array" in ([kinds] if isinstance(kinds, str) else kinds):
                    assert "maxItems" in rule, f"{name}.{field}"

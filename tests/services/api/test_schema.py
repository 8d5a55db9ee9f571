"""The document follows from the declarations."""

import re

import pytest
from drf_spectacular.drainage import GENERATOR_STATS, reset_generator_stats
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.validation import validate_schema

from services.api.operation import METHODS
from services.problems import PROBLEMS
from tests.services.api import sample
from tests.support.api import ApiClient, Document

ROOT = "/api/v1/organisations/{organisation}/places"


@pytest.fixture(scope="module")
def content():
    return sample.document().content


def codes_of(operation, status):
    return set(re.findall(r"`([a-z_]+)`", operation["responses"][str(status)]["description"]))


def names(operation, place):
    return {one["name"]: one.get("required", False) for one in operation["parameters"] if one["in"] == place}


def test_the_document_is_valid_and_made_without_a_warning():
    """OpenAPI 3.1.0 by the official JSON schema; the generator had nothing to guess."""
    reset_generator_stats()
    schema = SchemaGenerator(urlconf="tests.services.api.sample").get_schema(request=None, public=True)
    validate_schema(schema)
    assert schema["openapi"] == "3.1.0"
    assert not GENERATOR_STATS, GENERATOR_STATS


def test_a_keyed_create(content):
    """Everything that the runtime can answer to a POST with a key is listed with its codes."""
    post = content["paths"][ROOT]["post"]
    assert post["operationId"] == "create_place"
    assert names(post, "header") == {"Idempotency-Key": True}
    assert set(post["responses"]) == {
        *("201", "400", "401", "403", "404", "409", "413", "415", "422", "500", "503")
    }
    assert codes_of(post, 400) == {
        *("invalid_input", "bad_request", "idempotency_key_missing", "idempotency_key_invalid")
    }
    assert codes_of(post, 409) == {"conflict", "request_in_progress"}
    assert post["security"] == [{"bearer": ["programme:write"]}]
    assert post["x-roles"] == ["coach", "owner"]
    assert set(post["responses"]["201"]["headers"]) == {
        *("Request-Id", "ETag", "Location", "Idempotency-Replayed")
    }
    assert post["tags"] == ["places"]


def test_a_conditional_change(content):
    """If-Match is a required header, and 412 and 428 follow."""
    item = content["paths"][ROOT + "/{place}"]
    assert names(item["patch"], "header") == {"If-Match": True}
    assert {"412", "428"} <= set(item["patch"]["responses"])
    assert {"200", "304"} <= set(item["get"]["responses"])
    assert names(item["get"], "header") == {"If-None-Match": False}
    assert "requestBody" not in item["delete"]


def test_a_page(content):
    """Items and next; limit, cursor and the declared filters, nothing else."""
    get = content["paths"][ROOT]["get"]
    assert names(get, "query") == dict.fromkeys(("limit", "cursor", "zone", "is_remote"), False)
    page = content["components"]["schemas"]["PlaceOutputPage"]
    assert set(page["required"]) == {"items", "next"}
    assert page["properties"]["next"]["type"] == ["string", "null"]
    assert page["properties"]["items"]["items"] == {"$ref": "#/components/schemas/PlaceOutput"}


def test_inputs_are_closed_and_bounded(content):
    """The document promises what the parser enforces: no other field, and every text with its length."""
    place = content["components"]["schemas"]["PlaceInput"]
    assert place["additionalProperties"] is False
    assert place["properties"]["name"] == {"type": "string", "maxLength": 120, "minLength": 1}
    assert place["properties"]["freeze_minutes"]["minimum"] == 0
    assert place["required"] == ["name", "zone"]
    assert "required" not in content["components"]["schemas"]["PatchedPlaceInput"]


def test_public_routes_need_no_token(content):
    """No security, no 401."""
    status = content["paths"]["/api/v1/status"]["get"]
    assert "security" not in status
    assert "401" not in status["responses"]


def test_every_code_in_the_document_has_a_page(content):
    """A documented code leads to its explanation, under the status that the document gives it."""
    seen = 0
    for item in content["paths"].values():
        for method in METHODS:
            for status, response in item.get(method.lower(), {"responses": {}})["responses"].items():
                for code in codes_of({"responses": {status: response}}, status) if status >= "400" else ():
                    assert PROBLEMS[code].status == int(status)
                    seen += 1
    assert seen > 50


def test_the_examples_are_valid(content):
    """An example that its own schema refuses would teach a mistake."""
    document = Document(content)
    media = content["paths"][ROOT]["post"]["requestBody"]["content"]["application/json"]
    (example,) = media["examples"].values()
    assert document.faults(media["schema"], example["value"]) == []
    assert document.faults(media["schema"], {**example["value"], "surprise": 1})


def test_the_client_of_the_tests_finds_what_is_not_promised(content):
    """The checking client can fail: on an undocumented field, status and operation."""
    document = Document(content)
    page = {"$ref": "#/components/schemas/PlaceOutputPage"}
    assert document.faults(page, {"items": [], "next": None}) == []
    assert document.faults(page, {"items": [], "next": None, "count": 3})
    assert document.faults(page, {"items": [{"id": "no uuid"}], "next": None})
    response = type("R", (), {"status_code": 299, "headers": {"Request-Id": "x"}, "content": b""})()
    with pytest.raises(AssertionError, match="status not documented"):
        document.check("GET", "/api/v1/status", response)
    with pytest.raises(AssertionError, match="not in the document"):
        document.check("GET", "/api/v1/nowhere", response)


@pytest.mark.django_db
@pytest.mark.urls("tests.services.api.sample")
class TestPages:
    def test_the_documentation_needs_no_inline_script_or_style(self, client):
        """It works under `script-src 'self'; style-src 'self'`, everything from our own static files."""
        response = client.get("/api/v1/docs")
        page = response.content.decode()
        assert response.status_code == 200
        assert "<style" not in page
        assert " style=" not in page
        assert re.findall(r"<script(?! src=)", page) == []
        assert all(address.startswith("/") for address in re.findall(r'(?:src|href)="([^"]+)"', page)), (
            "an address of another host"
        )
        script = client.get("/api/v1/docs?script=")
        assert script.headers["Content-Type"].startswith("application/javascript")
        assert "/api/v1/openapi.yaml" in script.content.decode()

    def test_the_document_is_served_without_sign_in(self, client):
        """As YAML, and the docs page links to it."""
        response = client.get("/api/v1/openapi.yaml")
        assert response.status_code == 200
        assert response.content.startswith(b"openapi: 3.1.0")

    def test_a_body_that_is_too_large_or_of_another_type(self, cast):
        """413 and 415 are documented and made."""
        api = ApiClient(cast.owner.token, sample.document())
        path = f"/api/v1/organisations/{cast.org.id}/places"
        huge = b'{"name": "' + b"x" * 1_048_576 + b'"}'
        assert api.post(path, body=huge).status_code == 413
        assert (
            api.post(path, body=b"name=x", content_type="application/x-www-form-urlencoded").status_code
            == 415
        )
        assert api.post(path, body=b"{", content_type="application/json").status_code == 400

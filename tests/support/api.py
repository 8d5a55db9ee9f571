"""The client of every HTTP test: each response, 4xx too, is compared with the OpenAPI document."""

from __future__ import annotations

import copy
import json
import re
import uuid
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from django.test import Client
from jsonschema_rs import Draft202012Validator, Registry

DOCUMENT = Path(__file__).resolve().parents[2] / "services" / "api" / "openapi.yaml"
HERE = "urn:document"
PROBLEM_TYPE = "application/problem+json"
_ABSENT: Any = object()
# What any route may answer without listing it: the address or the method is not part of the document.
_OUTSIDE = {404, 405}


class Document:
    """An OpenAPI 3.1 document that can say whether a response is one of those it promises.

    Objects count as closed: a field that the document does not name is a fault here, although clients are
    told to ignore such fields.
    """

    def __init__(self, content: dict[str, Any]) -> None:
        self.content = content
        closed = copy.deepcopy(content)
        _close(closed.get("components", {}))
        self._closed = closed
        self._registry = Registry([(HERE, {"components": closed.get("components", {})})])
        self._validators: dict[str, Draft202012Validator] = {}
        self._routes = sorted(
            ((_pattern(path), path) for path in content["paths"]), key=lambda route: route[1].count("{")
        )

    def operation(self, method: str, path: str) -> dict[str, Any] | None:
        for pattern, template in self._routes:
            if pattern.fullmatch(path):
                found: dict[str, Any] | None = self._closed["paths"][template].get(method.lower())
                return found
        return None

    def check(self, method: str, path: str, response: Any) -> None:
        """Raise AssertionError unless status, media type, headers and body are as documented."""
        status, place = response.status_code, f"{method} {path} -> {response.status_code}"
        assert "Request-Id" in response.headers, place
        operation = self.operation(method, path)
        if operation is None:
            assert status in _OUTSIDE, f"{place}: not in the document"
            self._check_body({"$ref": "#/components/schemas/ProblemOutput"}, response, place)
            return
        documented = operation["responses"].get(str(status))
        assert documented is not None, f"{place}: status not documented ({sorted(operation['responses'])})"
        content = documented.get("content", {})
        if not content:
            assert response.content == b"", f"{place}: a body is not documented"
            return
        media_type = response.headers.get("Content-Type", "").split(";")[0]
        assert media_type in content, f"{place}: {media_type} not documented ({sorted(content)})"
        if media_type.endswith("json"):
            self._check_body(content[media_type]["schema"], response, place)

    def _check_body(self, schema: dict[str, Any], response: Any, place: str) -> None:
        body = json.loads(response.content, parse_constant=_refuse)
        faults = self.faults(schema, body)
        assert not faults, f"{place}: {faults}\n{json.dumps(body, indent=1)[:2000]}"

    def faults(self, schema: dict[str, Any], value: Any) -> list[str]:
        errors = self._validator(schema).iter_errors(value)
        return [f"{'/'.join(map(str, error.instance_path))}: {error.message}" for error in errors]

    def _validator(self, schema: dict[str, Any]) -> Draft202012Validator:
        """Compiled once; it finds what it refers to in the document's components."""
        key = json.dumps(schema, sort_keys=True).replace('"$ref": "#/', f'"$ref": "{HERE}#/')
        if key not in self._validators:
            self._validators[key] = Draft202012Validator(
                json.loads(key), registry=self._registry, validate_formats=True
            )
        return self._validators[key]


def _refuse(literal: str) -> None:
    raise AssertionError(f"{literal} is not JSON")


def _close(schema: Any) -> None:
    if isinstance(schema, dict):
        if "properties" in schema and schema.get("type") == "object":
            schema.setdefault("additionalProperties", False)
        for inner in schema.values():
            _close(inner)
    elif isinstance(schema, list):
        for inner in schema:
            _close(inner)


def _pattern(template: str) -> re.Pattern[str]:
    return re.compile(
        "".join("[^/]+" if part.startswith("{") else re.escape(part) for part in _parts(template))
    )


def _parts(template: str) -> list[str]:
    return re.split(r"(\{[^}]+\})", template)


@cache
def committed_document() -> Document:
    return Document(yaml.load(DOCUMENT.read_text(), yaml.CSafeLoader))  # the one in Python takes seconds


@dataclass
class ApiClient:
    """JSON in, JSON out.

    token     bearer token, "" for none
    document  by default the committed one
    A POST that needs an `Idempotency-Key` gets a new one, unless the call names a key or None.
    """

    token: str = ""
    document: Document | None = None
    raise_errors: bool = True

    def get(self, path: str, **options: Any) -> Any:
        return self.request("GET", path, **options)

    def post(self, path: str, json: Any = _ABSENT, **options: Any) -> Any:
        return self.request("POST", path, json=json, **options)

    def put(self, path: str, json: Any = _ABSENT, **options: Any) -> Any:
        return self.request("PUT", path, json=json, **options)

    def patch(self, path: str, json: Any = _ABSENT, **options: Any) -> Any:
        return self.request("PATCH", path, json=json, **options)

    def delete(self, path: str, **options: Any) -> Any:
        return self.request("DELETE", path, **options)

    def request(
        self,
        method: str,
        path: str,
        *,
        json: Any = _ABSENT,
        body: bytes = b"",
        content_type: str = "application/json",
        headers: dict[str, str] | None = None,
        query: dict[str, Any] | None = None,
        if_match: str | None = None,
        idempotency_key: str | None = _ABSENT,
    ) -> Any:
        """Send and check. `json` is dumped, `body` goes out as it is."""
        document = self.document or committed_document()
        plain_path = path.split("?")[0]
        sent = dict(headers or {})
        if self.token:
            sent.setdefault("Authorization", f"Bearer {self.token}")
        if if_match is not None:
            sent["If-Match"] = if_match
        if idempotency_key is _ABSENT:
            idempotency_key = (
                str(uuid.uuid4()) if _needs_key(document.operation(method, plain_path)) else None
            )
        if idempotency_key is not None:
            sent["Idempotency-Key"] = idempotency_key
        client = Client(raise_request_exception=self.raise_errors)
        data = _dump(json) if json is not _ABSENT else body
        has_body = bool(data) or json is not _ABSENT
        response = client.generic(
            method, path, data, content_type if has_body else "", headers=sent, query_params=query
        )
        document.check(method, plain_path, response)
        return response


def _dump(value: Any) -> bytes:
    return json.dumps(value, default=str).encode()


def _needs_key(operation: dict[str, Any] | None) -> bool:
    parameters = (operation or {}).get("parameters", [])
    return any(one["name"] == "Idempotency-Key" and one.get("required") for one in parameters)


def assert_problem(response: Any, code: str, status: int, *, at: str = "") -> dict[str, Any]:
    """The response is the problem (RFC 9457); `at` is a pointer or parameter among its errors."""
    body: dict[str, Any] = json.loads(response.content)
    assert (response.status_code, body.get("code")) == (status, code), body
    assert response.headers["Content-Type"] == PROBLEM_TYPE
    assert body["status"] == status
    assert body["type"].endswith(f"/problems/{code}")
    assert body["title"]
    assert body["detail"]
    assert body["instance"] == f"urn:uuid:{response.headers['Request-Id']}"
    if at:
        places = [error.get("pointer") or error.get("parameter") for error in body.get("errors", [])]
        assert at in places, body
    return body

"""The document of the athletes' routes: examples that fit, and no warning of the generator."""

from __future__ import annotations

import pytest
from drf_spectacular.drainage import GENERATOR_STATS
from drf_spectacular.generators import SchemaGenerator

from tests.athletes.urls import document

METHODS = {"get", "post", "patch", "delete"}


def operations():
    for path, item in document().content["paths"].items():
        for method, operation in item.items():
            if method in METHODS:
                yield path, method, operation


def test_every_example_fits_its_schema():
    """Requests and responses alike; each operation with a body has one of each."""
    checked = 0
    for path, method, operation in operations():
        places = [operation.get("requestBody", {}), *operation["responses"].values()]
        for place in places:
            for media in place.get("content", {}).values():
                for example in media.get("examples", {}).values():
                    faults = document().faults(media["schema"], example["value"])
                    assert not faults, (method, path, faults)
                    checked += 1
        if "requestBody" in operation:
            assert "examples" in operation["requestBody"]["content"]["application/json"], (method, path)
    assert checked > 20


def test_the_generator_has_nothing_to_warn_of():
    """A field without a type or a doubled name would stand in the document as something else."""
    GENERATOR_STATS.reset()
    SchemaGenerator(urlconf="tests.athletes.urls").get_schema(public=True)
    assert not GENERATOR_STATS, str(GENERATOR_STATS._warn_cache | GENERATOR_STATS._error_cache)


@pytest.mark.parametrize("name", ["repetitions", "one_rm", "effective_kg"])
def test_each_derived_number_has_a_reason_beside_it(name):
    """null is explained by `<field>_reason`, and the row says method, inputs and how much was observed."""
    schemas = document().content["components"]["schemas"]
    for schema in ("FiguresOutput", "CapacityOutput"):
        properties = schemas[schema]["properties"]
        assert {name, f"{name}_reason", "method", "inputs", "observations", "prior_number"} <= set(properties)

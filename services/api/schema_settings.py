"""drf-spectacular's settings, apart from schema.py because the project's settings import them."""

from typing import Any

SPECTACULAR_SETTINGS: dict[str, Any] = {
    "TITLE": "Dosewright",
    "DESCRIPTION": "The programme office of a strength-and-conditioning coaching team.",
    "VERSION": "1.0.0",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
}

"""drf-spectacular's settings, apart from schema.py because the project's settings import them."""

from typing import Any

SPECTACULAR_SETTINGS: dict[str, Any] = {
    "TITLE": "Dosewright",
    "DESCRIPTION": (
        "The programme office of a strength-and-conditioning coaching team.\n\n"
        "Times are RFC 3339 with an offset, units stand in the names of the fields, an undefined number is "
        "null with a reason beside it. Every error has the body `Problem`; its `type` explains it. "
        "Within v1 fields are only added: ignore the ones that you do not know."
    ),
    "VERSION": "1.0.0",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_AUTHENTICATION": [],
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "SCHEMA_PATH_PREFIX": "/api/v1/",
    "APPEND_COMPONENTS": {
        "securitySchemes": {
            "bearer": {
                "type": "http",
                "scheme": "bearer",
                "description": "A token with the scopes that the operation lists.",
            }
        }
    },
    # Not the hook that names enums: a name made up for a shared one changes when another field uses it.
    "POSTPROCESSING_HOOKS": ["programming.api.document_schema.append_component"],
    "GET_LIB_DOC_EXCLUDES": "services.api.schema_parts.classes_without_description",
    "ENABLE_DJANGO_DEPLOY_CHECK": False,
    # From our own static files, so that the strict Content-Security-Policy holds.
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "SWAGGER_UI_SETTINGS": {"deepLinking": True, "persistAuthorization": False},
}

"""Settings from the environment alone; a missing or malformed one stops the start with its name.

DATABASE_URL (app role), DATABASE_OWNER_URL (migrations), DATABASE_RELAY_URL (relay and sweep), REDIS_URL,
SECRET_KEY and ALLOWED_HOSTS are required where they are used; everything else has a default that suits production.
"""

from datetime import timedelta
from pathlib import Path
from typing import Any

import environ
import structlog
from django.core.exceptions import ImproperlyConfigured
from rest_framework.settings import api_settings  # noqa: F401  (fails early when DRF is missing)

from services.api.schema_settings import SPECTACULAR_SETTINGS  # noqa: F401

BASE_DIR = Path(__file__).resolve().parents[2]
env = environ.Env()
env.prefix = ""


def required(name: str) -> str:
    value = env.str(name, default="")
    if not value:
        raise ImproperlyConfigured(f"Set the environment variable {name}; see README.md, Settings.")
    return str(value)


def database(name: str, *, pool: bool = False) -> dict[str, Any]:
    config = dict(env.db_url_config(required(name)))
    if not str(config.get("ENGINE", "")).endswith("postgresql"):
        raise ImproperlyConfigured(
            f"{name} must be a postgres:// URL; the service needs PostgreSQL 15 or newer."
        )
    config |= {"CONN_MAX_AGE": 0 if pool else 60, "CONN_HEALTH_CHECKS": True}
    config["OPTIONS"] = {"connect_timeout": 5, "server_side_binding": True, "prepare_threshold": 3}
    if pool:
        config["OPTIONS"]["pool"] = {
            "min_size": 2,
            "max_size": env.int("DATABASE_POOL", default=8),
            "timeout": 5,
        }
    return config


DEBUG = False
SECRET_KEY = required("SECRET_KEY")
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1"])
PUBLIC_URL = env.str("PUBLIC_URL", default="")

# The web has threads and takes the pool; a worker process has one connection and keeps it.
DATABASES = {"default": database("DATABASE_URL", pool=env.bool("DATABASE_USE_POOL", default=False))}
DATABASES["default"]["ATOMIC_REQUESTS"] = True
for alias, variable in {"owner": "DATABASE_OWNER_URL", "relay": "DATABASE_RELAY_URL"}.items():
    if env.str(variable, default=""):
        DATABASES[alias] = database(variable)

REDIS_URL = required("REDIS_URL")
AUTH_USER_MODEL = "tenancy.Person"
KNOX_TOKEN_MODEL = "access.ApiToken"
REST_KNOX = {
    "TOKEN_TTL": timedelta(days=90),
    "AUTO_REFRESH": True,
    "AUTO_REFRESH_MAX_TTL": timedelta(days=365),
    "MIN_REFRESH_INTERVAL": 3600,
    "AUTH_HEADER_PREFIX": "Bearer",
    "TOKEN_PREFIX": "dosew_",
    "TOKEN_MODEL": "access.ApiToken",
}

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.staticfiles",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "django_filters",
    "knox",
    "axes",
    "services.tenancy.apps.TenancyConfig",
    "services.changes.apps.ChangesConfig",
    "services.api.apps.ApiConfig",
    "services.access.apps.AccessConfig",
    "programming.apps.ProgrammingConfig",
    "athletes.apps.AthletesConfig",
    "scoring.apps.ScoringConfig",
    "services.pipeline.apps.PipelineConfig",
    "services.demo.apps.DemoConfig",
    "services.bench.apps.BenchConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "services.api.middleware.RequestIdMiddleware",
    "services.api.middleware.ProblemMiddleware",
    "django.middleware.common.CommonMiddleware",
]

ROOT_URLCONF = "services.urls"
WSGI_APPLICATION = "services.wsgi.application"
APPEND_SLASH = False
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {"context_processors": ["django.template.context_processors.request"]},
    }
]

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.ScryptPasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("email", "name")},
    },
]
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_USERNAME_FORM_FIELD = "email"
AXES_VERBOSE = False
SILENCED_SYSTEM_CHECKS = ["axes.W002"]  # its middleware is for HTML; the sign-in view answers a locked one

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["services.access.authentication.TokenAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["services.api.parsers.StrictJSONParser"],
    "DEFAULT_SCHEMA_CLASS": "services.api.schema.OperationSchema",
    "EXCEPTION_HANDLER": "services.api.handler.handle_exception",
    "UNAUTHENTICATED_USER": None,
}

LANGUAGE_CODE = "en"
USE_I18N = False
TIME_ZONE = "UTC"
USE_TZ = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
DATA_UPLOAD_MAX_MEMORY_SIZE = 1_048_576

STATIC_URL = "/static/"
STATIC_ROOT = BASE_DIR / ".run" / "static"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SECURE_SSL_REDIRECT = env.bool("SECURE_SSL_REDIRECT", default=False)
SECURE_HSTS_SECONDS = env.int("SECURE_HSTS_SECONDS", default=0)
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "connect-src": ["'self'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
        "base-uri": ["'none'"],
    }
}

# The recompute pipeline (services.changes, services.pipeline).
CHANGE_LEASE_S = env.float("CHANGE_LEASE_S", default=60.0)
CHANGE_IN_FLIGHT = env.int("CHANGE_IN_FLIGHT", default=200)
CHANGE_MAX_TRIES = env.int("CHANGE_MAX_TRIES", default=5)
# When the broker hands the message of a dead worker out again; longer than the longest task may take.
CELERY_VISIBILITY_TIMEOUT_S = env.int("CELERY_VISIBILITY_TIMEOUT_S", default=600)

structlog.configure(
    processors=[
        structlog.contextvars.merge_contextvars,
        structlog.processors.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        structlog.processors.format_exc_info,
        structlog.processors.JSONRenderer(),
    ]
)

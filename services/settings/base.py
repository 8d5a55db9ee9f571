"""Settings from the environment alone; a missing or malformed one stops the start with its name.

Every process needs SECRET_KEY, DATABASE_URL (application role) and REDIS_URL. DATABASE_OWNER_URL is needed by
`migrate` alone, DATABASE_RELAY_URL by the relay and by the worker that runs the sweep. Everything else has a default;
that of ALLOWED_HOSTS, this machine alone, and those of the HTTPS settings are to be set where others come in.
"""

import os
from datetime import timedelta
from pathlib import Path

import structlog
from rest_framework.settings import api_settings  # noqa: F401  (fails early when DRF is missing)

from services.api.schema_settings import SPECTACULAR_SETTINGS  # noqa: F401
from services.settings.readers import Reader

BASE_DIR = Path(__file__).resolve().parents[2]
env = Reader(os.environ)

DEBUG = False
SECRET_KEY = env.required("SECRET_KEY")
ALLOWED_HOSTS = env.names("ALLOWED_HOSTS", default=["localhost", "127.0.0.1"])
PUBLIC_URL = env.text("PUBLIC_URL")

# The web has threads and takes the pool; a worker process has one connection and keeps it.
DATABASE_POOL = env.whole("DATABASE_POOL", default=8, low=1, high=1000)
pooled = env.flag("DATABASE_USE_POOL", default=False)
DATABASES = {"default": env.database("DATABASE_URL", pool_size=DATABASE_POOL if pooled else 0)}
DATABASES["default"]["ATOMIC_REQUESTS"] = True
for alias, variable in {"owner": "DATABASE_OWNER_URL", "relay": "DATABASE_RELAY_URL"}.items():
    if env.text(variable):
        DATABASES[alias] = env.database(variable)

REDIS_URL = env.required("REDIS_URL")
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
    "django_htmx",
    "knox",
    "axes",
    "services.tenancy.apps.TenancyConfig",
    "services.changes.apps.ChangesConfig",
    "services.api.apps.ApiConfig",
    "services.access.apps.AccessConfig",
    "programming.apps.ProgrammingConfig",
    "athletes.apps.AthletesConfig",
    "scoring.apps.ScoringConfig",
    "services.exchange.apps.ExchangeConfig",
    "services.pipeline.apps.PipelineConfig",
    "services.console.apps.ConsoleConfig",
    "services.demo.apps.DemoConfig",
    "services.bench.apps.BenchConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "services.api.middleware.RequestIdMiddleware",
    "services.api.middleware.ProblemMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
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

# How many proxies in front set X-Forwarded-For and X-Forwarded-Proto; without one nobody is believed.
TRUSTED_PROXIES = env.whole("TRUSTED_PROXIES", default=0, low=0, high=10)
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if TRUSTED_PROXIES else None
AXES_CLIENT_IP_CALLABLE = "services.settings.proxies.client_address"

# The pages' sign-in: a signed cookie with a token like any other in it, which can be revoked and is stored hashed.
COOKIES_OVER_HTTP = env.flag("COOKIES_OVER_HTTP", default=False)
SESSION_ENGINE = "django.contrib.sessions.backends.signed_cookies"
SESSION_COOKIE_NAME = "dosewright_pages"
SESSION_COOKIE_AGE = int(timedelta(days=30).total_seconds())
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = not COOKIES_OVER_HTTP
CSRF_FAILURE_VIEW = "services.console.errors.csrf_failure"

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SECURE_SSL_REDIRECT = env.flag("SECURE_SSL_REDIRECT", default=False)
# Whoever watches over the process asks it directly, in plain HTTP.
SECURE_REDIRECT_EXEMPT = ["^livez$", "^readyz$", "^metrics$"]
SECURE_HSTS_SECONDS = env.whole("SECURE_HSTS_SECONDS", default=0, low=0, high=63_072_000)
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'"],
        "connect-src": ["'self'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
        "base-uri": ["'none'"],
    }
}

# The recompute pipeline (services.changes, services.pipeline).
CHANGE_LEASE_S = env.number("CHANGE_LEASE_S", default=60.0, low=1.0, high=3600.0)
CHANGE_IN_FLIGHT = env.whole("CHANGE_IN_FLIGHT", default=200, low=1, high=10_000)
CHANGE_IN_FLIGHT_LOW = env.whole("CHANGE_IN_FLIGHT_LOW", default=40, low=1, high=10_000)
# Where the relay tells what waits and hangs (Prometheus); 0 for nowhere.
RELAY_METRICS_PORT = env.whole("RELAY_METRICS_PORT", default=0, low=0, high=65_535)
CHANGE_MAX_TRIES = env.whole("CHANGE_MAX_TRIES", default=5, low=1, high=100)
# When the broker hands the message of a dead worker out again; longer than the longest task may take (180 s).
CELERY_VISIBILITY_TIMEOUT_S = env.whole("CELERY_VISIBILITY_TIMEOUT_S", default=600, low=200, high=86_400)

structlog.configure(
    processors=[
        structlog.contextvars.merge_contextvars,
        structlog.processors.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        structlog.processors.format_exc_info,
        structlog.processors.JSONRenderer(),
    ]
)

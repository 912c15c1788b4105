"""Settings of the service. Every choice is made by environment variables; `.env.example` lists them."""

from typing import Any

from csp.constants import NONCE, NONE, SELF

from yard.settings import environment
from yard.settings.environment import PROJECT, env
from yard.settings.logs import logging_config, structlog_configure

VAR = environment.var_folder()
DEBUG = env.bool("DJANGO_DEBUG", False)
EMBEDDED = not env.str("CELERY_BROKER_URL", "")
SECRET_KEY = environment.secret_key(DEBUG)
PUBLIC_URL = env.str("PUBLIC_URL", "http://localhost:8000").rstrip("/")
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", ["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS: list[str] = env.list("CSRF_TRUSTED_ORIGINS", [])

ROOT_URLCONF = "yard.urls"
WSGI_APPLICATION = "yard.wsgi.application"
AUTH_USER_MODEL = "yard.User"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_structlog",
    "csp",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "yard",
    "inspections",
    "workshop",
    "api",
    "web",
    # After ours, whose templates stand in for theirs.
    "allauth",
    "allauth.account",
    "allauth.mfa",
]

MIDDLEWARE = [
    "api.contract.speaks_contract",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_structlog.middlewares.RequestMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "web.errors.tells_no_page",
]

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "web.second_factor.context.of_member",
            ],
        },
    }
]

DATABASES = {"default": environment.database()}
CACHES = {"default": environment.cache()}
vars().update(environment.email())
DEFAULT_FROM_EMAIL = env.str("DEFAULT_FROM_EMAIL", "Faying <faying@localhost>")
SERVER_EMAIL = DEFAULT_FROM_EMAIL

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("MinimumLengthValidator", "CommonPasswordValidator", "NumericPasswordValidator")
]
PASSWORD_RESET_TIMEOUT = 24 * 3600
LOGIN_URL = "web:sign-in"
LOGIN_REDIRECT_URL = "web:season"
LOGOUT_REDIRECT_URL = "web:sign-in"
# allauth carries the second factor (web/second_factor) and nothing else of what it could do.
ACCOUNT_ADAPTER = "web.second_factor.adapters.AccountAdapter"
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_EMAIL_NOTIFICATIONS = False
ACCOUNT_REAUTHENTICATION_METHODS = ["password", "mfa"]
MFA_ADAPTER = "web.second_factor.adapters.SecondFactorAdapter"
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_TOTP_TOLERANCE = 1  # phones whose clock is half a minute off
MFA_ALLOW_UNVERIFIED_EMAIL = True
CSRF_FAILURE_VIEW = "web.errors.forged"

LANGUAGE_CODE = "en-gb"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = VAR / "static"
MEDIA_ROOT = VAR / "media"
# Never served as plain files: every picture goes through a view that knows who may see it.
MEDIA_URL = "/media/"
STORAGES = {
    "default": environment.media(),
    "staticfiles": {
        # Compressing takes half a minute: worth it in a yard in production, not at a first start.
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if EMBEDDED
        else "whitenoise.storage.CompressedStaticFilesStorage"
    },
}

# Photos are sent one by one, raw; everything else is small JSON.
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
PHOTO_MAX_BYTES = 25 * 1024 * 1024
PHOTO_MAX_PIXELS = 60_000_000

# --- security -----------------------------------------------------------------------------------
TRUST_PROXY = env.bool("TRUST_PROXY", False)
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if TRUST_PROXY else None
HTTPS = PUBLIC_URL.startswith("https://")
SECURE_SSL_REDIRECT = HTTPS
# The orchestrator asks for these on the inner network, without TLS.
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$"]
SECURE_HSTS_SECONDS = env.int("SECURE_HSTS_SECONDS", 31_536_000 if HTTPS else 0)
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
SECURE_HSTS_PRELOAD = HTTPS
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
X_FRAME_OPTIONS = "DENY"
# Browsers let plain HTTP use keys at localhost alone, where the embedded set-up is tried.
MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = not HTTPS

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF, NONCE],
        "style-src": [SELF, NONCE],
        "img-src": [SELF, "data:", "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}

# --- the API ------------------------------------------------------------------------------------
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "api.authentication.DeviceTokenAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["api.permissions.IsMember"],
    "DEFAULT_PARSER_CLASSES": ["api.parsers.StrictJSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PAGINATION_CLASS": "api.pagination.CursorPages",
    "DEFAULT_FILTER_BACKENDS": ["api.filters.KnownFilters"],
    # What may be sent is said by the schema, not by OPTIONS.
    "DEFAULT_METADATA_CLASS": None,
    "DEFAULT_SCHEMA_CLASS": "api.schema.OwnWords",
    "DEFAULT_THROTTLE_CLASSES": ["api.throttles.MemberThrottle"],
    "DEFAULT_THROTTLE_RATES": {
        "member": env.str("THROTTLE_MEMBER", "1200/min"),
        "sign_in": env.str("THROTTLE_SIGN_IN", "10/min"),
        "owner_link": env.str("THROTTLE_OWNER_LINK", "60/min"),
        "calendar": env.str("THROTTLE_CALENDAR", "60/min"),
    },
    "EXCEPTION_HANDLER": "api.problems.exception_handler",
    "NUM_PROXIES": 1 if TRUST_PROXY else 0,
    "COERCE_DECIMAL_TO_STRING": True,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Faying",
    "DESCRIPTION": "Wooden boats each spring: what was seen, what it means, what it takes, the owner's yes.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["rest_framework.permissions.AllowAny"],
    "SERVE_AUTHENTICATION": [],
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "COMPONENT_SPLIT_REQUEST": True,
    "ENUM_NAME_OVERRIDES": {
        "FindingState": "inspections.models.findings.FindingState",
        "PhotoState": "inspections.models.Photo.State",
        "DueBackKind": "inspections.judgement.vocabulary.DueBackKind.choices",
        "ExposureToWater": "inspections.judgement.vocabulary.Exposure.choices",
        "ExposureOfSurface": "yard.vocabulary.Exposure.choices",
        "StepOutcome": "inspections.models.opening.StepOutcome",
        "EntryOutcome": "api.rooms.entries.OUTCOMES",
        "UnsentOutcome": "api.rooms.unsent.OUTCOMES",
        "OpeningKind": "inspections.templates.document.OpeningKind.choices",
        "JobState": "workshop.models.jobs.JobState",
        "HoldKind": "workshop.models.jobs.HoldKind",
        "TickKind": "workshop.models.work.TickKind",
        "WorkedIn": "workshop.models.jobs.WorkedIn",
        "QuoteState": "workshop.models.quotes.QuoteState",
        "Verdict": "workshop.models.quotes.Verdict",
        "VerdictSaid": "workshop.models.quotes.SAYABLE",
        "DeciderKind": "api.rooms.boats.DECIDERS",
    },
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "api.schema.document_problems",
    ],
}

# --- background work ----------------------------------------------------------------------------
# The outbox table is the queue (yard/outbox). A broker only carries the news that a row is waiting.
CELERY_BROKER_URL = env.str("CELERY_BROKER_URL", "")
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
# No work of ours takes this long: what hangs must not hold a process for ever. Its row is tried again by itself.
CELERY_TASK_TIME_LIMIT = 900
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 3600,
    # A publisher must not hang in a request while the broker is away: the sweep will find the row.
    "socket_connect_timeout": 2,
    "socket_timeout": 5,
    "max_retries": 0,
    "interval_start": 0,
}
CELERY_TASK_PUBLISH_RETRY = False
OUTBOX_LEASE_SECONDS = env.int("OUTBOX_LEASE_SECONDS", 120)
OUTBOX_SWEEP_SECONDS = env.float("OUTBOX_SWEEP_SECONDS", 10.0)
OUTBOX_POLL_SECONDS = env.float("OUTBOX_POLL_SECONDS", 0.1)
OUTBOX_MAX_ATTEMPTS = env.int("OUTBOX_MAX_ATTEMPTS", 6)
OUTBOX_BACKOFF_SECONDS = env.float("OUTBOX_BACKOFF_SECONDS", 5.0)
CELERY_BEAT_SCHEDULE = {
    "sweep-the-outbox": {
        "task": "yard.outbox.sweep",
        "schedule": OUTBOX_SWEEP_SECONDS,
        # While no worker is there to sweep, sweeps must not pile up.
        "options": {"expires": max(OUTBOX_SWEEP_SECONDS, 1.0)},
    },
}

# --- logs ---------------------------------------------------------------------------------------
LOG_FORMAT = env.str("LOG_FORMAT", "console" if EMBEDDED else "json")
LOGGING = logging_config(level=env.str("LOG_LEVEL", "INFO"), format_name=LOG_FORMAT)
DJANGO_STRUCTLOG_CELERY_ENABLED = not EMBEDDED
structlog_configure()

SILENCED_SYSTEM_CHECKS: list[str] = []
FIXTURES_FOLDER = PROJECT / "fixtures"

"""Settings: a local site by default, a production site with LEDGER_PRODUCTION=1."""

from datetime import timedelta
from pathlib import Path

from csp.constants import NONE, SELF

from inspections.project.env import (
    at_least,
    env,
    hosts,
    local_secret,
    production_secret,
    required,
    switch,
)

BASE_DIR = Path(__file__).resolve().parents[2]
LOCAL_DIR = Path(env.str("LEDGER_DIR", default=str(BASE_DIR / ".ledger")))

PRODUCTION = env.bool("LEDGER_PRODUCTION", default=False)
DEBUG = False
if PRODUCTION:
    SECRET_KEY = production_secret("SECRET_KEY")
    ALLOWED_HOSTS = hosts("ALLOWED_HOSTS")
else:
    SECRET_KEY = local_secret(LOCAL_DIR)
    ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]"]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "django_otp",
    "django_otp.plugins.otp_static",
    "django_otp.plugins.otp_totp",
    "django_filters",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "simple_history",
    "django_tasks",
    "django_tasks_db",
    "inventory",
    "inspections",
    "inspections.project.admin_site.LedgerAdminConfig",  # after its frame, in our templates
]

MIDDLEWARE = [
    "inspections.project.request_id.RequestIdMiddleware",
    "inspections.project.traffic.TrafficMiddleware",
    # Outermost, so that what others answer carries their headers too: redirects, static files,
    # and the page of a fault in the session.
    "csp.middleware.CSPMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "inspections.project.packed.PackTextMiddleware",
    "inspections.project.health.ProbesMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "inspections.languages.LanguageMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_otp.middleware.OTPMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "inspections.rights.DistrictsMiddleware",
    "inspections.accounts.guard.SecondFactorMiddleware",
    "inspections.accounts.session_store.SessionUseMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "inspections.project.urls"
WSGI_APPLICATION = "inspections.project.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "inspections.preferences.units",
                "inspections.languages.frame",
            ],
        },
    },
]

DATABASES = {
    "default": env.db("DATABASE_URL", default=f"sqlite:///{LOCAL_DIR / 'ledger.sqlite3'}"),
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"] |= {
        "ENGINE": "inspections.project.sqlite_in_turn",
        "TEST": {"NAME": ":memory:"},
    }
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": env.int("LEDGER_DATABASE_WAIT_S", default=20),
        # The usual cache of 2 MB holds too little of the indexes that a large file of readings
        # fills: pages of them would be written and read again and again.
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-16000;"
        ),
    }
else:
    # The register's wide joins look dear to the planner, which then spends two seconds on compiling
    # a query that takes milliseconds to run.
    DATABASES["default"].setdefault("OPTIONS", {}).setdefault("options", "-c jit=off")

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": at_least("LEDGER_PASSWORD_LENGTH", 8, default=12)},
    },
    {"NAME": "inspections.accounts.passwords.GuessedEarly"},
    {"NAME": "inspections.accounts.passwords.KnownFromBreaches"},
]
BREACHED_PASSWORDS = env.str("LEDGER_BREACHED_PASSWORDS", default="")
"""A sorted file of SHA-1 digests, the agency's own; empty: none."""
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "inspections.rights.DistrictRoles",
]
CAN_MAIL = bool(env.str("EMAIL_URL", default=""))
"""Whether links can be mailed; without, administrators hand them over."""
if CAN_MAIL:
    vars().update(env.email_url("EMAIL_URL"))
    DEFAULT_FROM_EMAIL = required("LEDGER_MAIL_FROM", "give the address that mail comes from.")
PASSWORD_RESET_TIMEOUT = 3 * 24 * 3600
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "login"

LANGUAGE_CODE = "en"
CSRF_FAILURE_VIEW = "inspections.project.failing.not_sent"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LOCALE_PATHS = [BASE_DIR / "inspections" / "locale"]
LANGUAGE_COOKIE_HTTPONLY = True
LANGUAGE_COOKIE_SAMESITE = "Lax"
LANGUAGE_COOKIE_AGE = 365 * 24 * 3600
TIME_ZONE = env.str("LEDGER_TIME_ZONE", default="UTC")
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = LOCAL_DIR / "static"
WHITENOISE_USE_FINDERS = not PRODUCTION
if not PRODUCTION:
    STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # empty; WhiteNoise warns where there is none
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "inspections.project.static_storage.TabletStorage"
        if PRODUCTION
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
REPORT_DIR = LOCAL_DIR / "reports"
MEDIA_ROOT = LOCAL_DIR / "files"
"""Photos; never served by a path, only by views that ask who is asking."""
DATA_UPLOAD_MAX_MEMORY_SIZE = 20 * 1024 * 1024

WORKERS = switch("LEDGER_WORKERS", "1 if processes of `manage.py db_worker` do long jobs, else 0.")
"""Whether long jobs wait for a worker; without, whoever asks for one waits for it."""
TASKS = {
    "default": {
        "BACKEND": "django_tasks_db.DatabaseBackend"
        if WORKERS
        else "django_tasks.backends.immediate.ImmediateBackend"
    }
}
LARGE_REPORT = env.int("LEDGER_LARGE_REPORT", default=150)
"""A report on more elements, bridges or orders than this is made by a job."""
LARGE_IMPORT_KB = env.int("LEDGER_LARGE_IMPORT_KB", default=2048)
"""A file larger than this is checked and taken in by a job."""
JOB_RESULT_DAYS = env.int("LEDGER_JOB_DAYS", default=14)
"""So long the files of a job are kept after its end."""
JOB_SILENT_MIN = env.int("LEDGER_JOB_SILENT_MIN", default=10)
"""A job of which nothing was heard for longer may be started again."""

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "object-src": [NONE],
        "base-uri": [SELF],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
        "img-src": [SELF, "data:"],
    }
}
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "inspections.api.keys.ApiKeyAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["inspections.api.access.RoleAndScope"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["inspections.api.parsing.StrictJSONParser"],
    "DEFAULT_PAGINATION_CLASS": "inspections.api.paging.Pages",
    "DEFAULT_FILTER_BACKENDS": [
        "django_filters.rest_framework.DjangoFilterBackend",
        "inspections.api.paging.KnownOrdering",
    ],
    "DEFAULT_THROTTLE_CLASSES": [
        "inspections.api.throttles.Reads",
        "inspections.api.throttles.Writes",
    ],
    "DEFAULT_THROTTLE_RATES": {
        "reads": env.str("LEDGER_API_READS", default="600/min"),
        "writes": env.str("LEDGER_API_WRITES", default="120/min"),
    },
    "DEFAULT_SCHEMA_CLASS": "inspections.api.schema.Schema",
    "EXCEPTION_HANDLER": "inspections.api.problems.problem_of",
    "URL_FORMAT_OVERRIDE": None,
    "COERCE_DECIMAL_TO_STRING": True,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Bearing and Joint Ledger",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SCHEMA_PATH_PREFIX": "/api/v1",
    # Words stand where they are used: the hook that is left out gathers them under made-up names.
    "POSTPROCESSING_HOOKS": ["inspections.api.schema.without_marks"],
}
SECOND_FACTOR = switch(
    "LEDGER_SECOND_FACTOR", "1 if engineers and administrators must give a second factor, else 0."
)
OTP_TOTP_ISSUER = "Bearing and Joint Ledger"
OTP_ADMIN_HIDE_SENSITIVE_DATA = True

# How often a password may be tried; the limits themselves stand in the handler.
AXES_HANDLER = "inspections.accounts.throttle.Throttle"
AXES_FAILURE_LIMIT = 1
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_COOLOFF_TIME = timedelta(minutes=at_least("LEDGER_SIGN_IN_WAIT_MIN", 1, default=15))
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_CALLABLE = "inspections.accounts.throttle.refused"
AXES_CLIENT_IP_CALLABLE = "inspections.accounts.client.address_of"
AXES_DISABLE_ACCESS_LOG = True
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False

SESSION_ENGINE = "inspections.accounts.session_store"
PROXIES = env.int("LEDGER_PROXIES", default=1 if PRODUCTION else 0)
"""How many proxies of ours a request passes: so many entries of X-Forwarded-For are believed."""
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
if PRODUCTION:
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    LANGUAGE_COOKIE_SECURE = True

# Probes ask a process itself, without the proxy that speaks https.
SECURE_REDIRECT_EXEMPT = ["^healthz$", "^readyz$", "^metrics$"]
METRICS_TOKEN = env.str("LEDGER_METRICS_TOKEN", default="")
METRICS_DIR = env.str("PROMETHEUS_MULTIPROC_DIR", default="")
"""Where server processes share their counts."""

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"request": {"()": "inspections.project.request_id.WithRequestId"}},
    "formatters": {
        "plain": {"format": "%(levelname)s %(name)s %(message)s"},
        "json": {
            "()": "pythonjsonlogger.json.JsonFormatter",
            "fmt": "%(levelname)s %(name)s %(message)s %(request_id)s",
            "rename_fields": {"levelname": "level", "name": "logger"},
            "timestamp": True,
        },
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "filters": ["request"],
            "formatter": "json" if PRODUCTION else "plain",
        }
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "inspections.project.traffic": {"level": "INFO" if PRODUCTION else "WARNING"},
        # It repeats what the line of each request says, with the address as it was typed.
        "django.request": {"level": "ERROR"},
    },
}

"""One set of settings for the demo, a real school and the tests; only the environment differs."""

import atexit
import os
import secrets
import sys
import tempfile
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONCE, NONE, SELF
from django.utils.translation import gettext_lazy as _

from school.env import env_bool, env_list, private_dir, write_once

BASE_DIR = Path(__file__).resolve().parent.parent
TESTING = "pytest" in sys.modules
if TESTING:
    # Tests use a directory of their own, never a school's data; processes that they start inherit it.
    _test_room = tempfile.TemporaryDirectory(prefix="casting-test-")
    atexit.register(_test_room.cleanup)
    os.environ["CASTING_DATA_DIR"] = _test_room.name
DATA_DIR = private_dir(Path(os.environ.get("CASTING_DATA_DIR") or BASE_DIR / ".data"))

DEBUG = env_bool("CASTING_DEBUG")
HTTPS = env_bool("CASTING_HTTPS")
BEHIND_PROXY = env_bool("CASTING_BEHIND_PROXY")
DEMO_ON_LAN = env_bool("CASTING_DEMO_ON_LAN")  # set by `manage.py demo --lan`, for its workers
SECRET_KEY = os.environ.get("CASTING_SECRET_KEY") or write_once(DATA_DIR / "secret", secrets.token_urlsafe(64))
ALLOWED_HOSTS = env_list("CASTING_HOSTS", ["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS] if HTTPS else []

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "csp",
    "django_htmx",
    "school",
    "casting",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "school.packing.PackedPagesMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "school.language.PageLanguageMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "school.access.IdentityMiddleware",
    "school.language.PersonLanguageMiddleware",
    "school.busy.BusyDatabaseMiddleware",
]

ROOT_URLCONF = "school.urls"
WSGI_APPLICATION = "school.wsgi.application"
FORM_RENDERER = "school.forms.widget_writer.WidgetWriter"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "school.access.nonce",
                "school.onward.way_back",
            ],
        },
    }
]


# FULL: an acknowledged write survives a power cut. The log is taken over by `school.write_ahead` alone.
SQLITE_PRAGMAS = {"journal_mode": "wal", "synchronous": 2, "wal_autocheckpoint": 0}


def _sqlite() -> dict[str, Any]:
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": DATA_DIR / "casting.sqlite3",
        # A new one reads the whole schema and prepares every statement anew.
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            "timeout": 10,  # a phone gives up after 15 s, and then nobody tells it why
            "transaction_mode": "IMMEDIATE",
            "init_command": ";".join(f"PRAGMA {name}={value}" for name, value in SQLITE_PRAGMAS.items()),
        },
        # A file, so that tests run with the same journal and locks as a school.
        "TEST": {"NAME": DATA_DIR / "test.sqlite3"},
    }


DATABASES: dict[str, Any] = {
    "default": dj_database_url.parse(os.environ["DATABASE_URL"], conn_max_age=60, conn_health_checks=True)
    if os.environ.get("DATABASE_URL")
    else _sqlite()
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "school.Person"
LOGIN_URL = "sign_in"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "school.join.ReturnCodeHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("sign_in", "name")},
    },
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]

LANGUAGE_CODE = "en"
LANGUAGES = [("en", _("English")), ("es", _("Spanish"))]
LOCALE_PATHS = [BASE_DIR / "school" / "locale", BASE_DIR / "casting" / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = private_dir(DATA_DIR / "static")
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if TESTING
        else "school.static_files.CompressedStaticFiles"
    },
}

FILE_UPLOAD_HANDLERS = [
    "school.uploads.AtMost",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

SESSION_COOKIE_AGE = 14 * 24 * 3600  # of a teacher; `log_in_student` gives a student a longer one
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_HTTPONLY = True  # forms and htmx carry the token in the page
CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF, NONCE],
        "style-src": [SELF, NONCE],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "worker-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
    }
}

# Other hosts of the same domain and the browsers' preload lists are not ours to decide on.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
if not HTTPS:
    # Plain http is for a demo on this machine or a studio's own network. CASTING_HTTPS=1 turns on the redirect,
    # HSTS and secure cookies, and these checks with them.
    SILENCED_SYSTEM_CHECKS += ["security.W004", "security.W008", "security.W012", "security.W016"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {"django": {"handlers": ["console"], "level": "WARNING", "propagate": False}},
}

"""Django's settings: one file, everything that differs between places from the environment.

TRIMWRIGHT_DATA      the folder with the database, photos, papers and copies
TRIMWRIGHT_HOSTS     names and addresses, by commas, under which pages may be asked for, besides this machine's own
TRIMWRIGHT_GUARDED   1: every page is for people who have logged in
TRIMWRIGHT_HTTPS     1: served over HTTPS only, behind a proxy that says so
TRIMWRIGHT_DEBUG     1: Django's own error pages; for working on Trimwright, never for using it
DATABASE_URL         postgresql://…; SQLite in the data folder when it is not set
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from django.utils.translation import gettext_lazy as _
from tzlocal import get_localzone_name

from trimwright.web.folder import data_folder, secret


def env_flag(name: str) -> bool:
    """A yes or no from the environment; anything else is refused."""
    told = os.environ.get(name, "0")
    if told not in ("0", "1", ""):
        raise ValueError(f"{name}={told!r}: write 1 or 0")
    return told == "1"


def env_list(name: str) -> list[str]:
    """Entries by commas."""
    return [each.strip() for each in os.environ.get(name, "").split(",") if each.strip()]


def database(url: str, folder: Path) -> dict[str, Any]:
    """Django's words for the database: PostgreSQL by its address, else SQLite in the data folder.

    WAL lets pages be read while one writes; IMMEDIATE takes the lock before reading, so that two writers wait for
    each other instead of failing; FULL has every commit on the disk before it is acknowledged.
    """
    if not url:
        return {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": folder / "trimwright.sqlite3",
            "OPTIONS": {
                "transaction_mode": "IMMEDIATE",
                "timeout": 20,
                "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
            },
        }
    from psycopg.conninfo import conninfo_to_dict

    told: dict[str, Any] = dict(conninfo_to_dict(url))
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": told.pop("dbname", ""),
        "USER": told.pop("user", ""),
        "PASSWORD": told.pop("password", ""),
        "HOST": told.pop("host", ""),
        "PORT": told.pop("port", ""),
        "CONN_MAX_AGE": 60,
        "OPTIONS": told,
    }


DATA = data_folder()
PHOTOS = DATA / "photos"
PAPERS = DATA / "papers"
COPIES = DATA / "copies"

DEBUG = env_flag("TRIMWRIGHT_DEBUG")
GUARDED = env_flag("TRIMWRIGHT_GUARDED")
SECRET_KEY = secret(DATA)
ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]", *env_list("TRIMWRIGHT_HOSTS")]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "trimwright.web.jobs",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "trimwright.web.security.ContentSecurityPolicy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "trimwright.web.security.Door",
    "trimwright.web.answers.ErrorsAsPages",
]
ROOT_URLCONF = "trimwright.web.urls"
WSGI_APPLICATION = "trimwright.web.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.messages.context_processors.messages",
                "trimwright.web.security.who_asks",
            ],
        },
    },
]

DATABASES = {"default": database(os.environ.get("DATABASE_URL", ""), DATA)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Sessions hold which device asks and who logged in on it; signed, in the browser, so no page waits for a row.
SESSION_ENGINE = "django.contrib.sessions.backends.signed_cookies"
SESSION_COOKIE_AGE = 365 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
MESSAGE_STORAGE = "django.contrib.messages.storage.cookie.CookieStorage"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "trimwright.web.answers.csrf_failure"
X_FRAME_OPTIONS = "DENY"

HTTPS = env_flag("TRIMWRIGHT_HTTPS")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS

LOGIN_URL = LOGOUT_REDIRECT_URL = "door"
LOGIN_REDIRECT_URL = "jobs"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

# A job file may hold 20 MB; a photo comes as a file, which this does not count (see photos.py for its bounds).
DATA_UPLOAD_MAX_MEMORY_SIZE = 20_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000
DATA_UPLOAD_MAX_NUMBER_FILES = 40
FILE_UPLOAD_PERMISSIONS = 0o600

STATIC_URL = "static/"
STATIC_ROOT = DATA / "static"
STATICFILES_FINDERS = [
    "django.contrib.staticfiles.finders.AppDirectoriesFinder",
    "trimwright.web.fonts.FontFinder",
]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
if DEBUG:
    STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    WHITENOISE_USE_FINDERS = True
    WHITENOISE_AUTOREFRESH = True

LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", _("English, days first")), ("en-us", _("English, months first"))]
LANGUAGE_COOKIE_AGE = SESSION_COOKIE_AGE
LANGUAGE_COOKIE_HTTPONLY = True
LANGUAGE_COOKIE_SAMESITE = "Lax"
LANGUAGE_COOKIE_SECURE = HTTPS
LOCALE_PATHS = [Path(__file__).parent / "locale"]
FORMAT_MODULE_PATH = "trimwright.web.formats"
USE_I18N = True
USE_TZ = True
TIME_ZONE = get_localzone_name()
USE_THOUSAND_SEPARATOR = True

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}

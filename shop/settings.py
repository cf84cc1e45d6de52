"""One settings file. What differs between installations comes from the environment."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

from csp.constants import NONE, SELF

from shop.environment import (
    database_config,
    env_bool,
    env_choice,
    env_int,
    env_list,
    env_origin,
    env_secret,
    env_text,
    env_zone,
    kept_secret,
)

BASE_DIR = Path(__file__).resolve().parent.parent
STATE_DIR = Path(env_text("STUBAXLE_STATE", str(BASE_DIR / "var")))

DEBUG = env_bool("STUBAXLE_DEBUG", default=False)
SECRET_KEY = env_secret("STUBAXLE_SECRET_KEY") or kept_secret(STATE_DIR / "secret-key")
BASE_URL = env_origin("STUBAXLE_BASE_URL", "http://localhost:8000")
ALLOWED_HOSTS = [
    *env_list("STUBAXLE_HOSTS", ["localhost", "127.0.0.1", "[::1]"]),
    str(urlsplit(BASE_URL).hostname),
]
CSRF_TRUSTED_ORIGINS = [BASE_URL]
CSRF_FAILURE_VIEW = "shop.views.errors.stale"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.humanize",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "template_partials",
    "csp",
    "axes",
    "shop",
    "diagnostics",
    "jobs",
]

# One instrument's file of 32 MiB with the form around it.
LARGEST_REQUEST = 33 * 2**20

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "shop.web.uploads.NotTooLarge",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.web.middleware.NoNul",
    "shop.web.middleware.KeptByNobody",
    "shop.web.middleware.HtmxTruths",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
                "shop.web.context.place",
            ],
        },
    }
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

DATABASES = {"default": database_config(env_secret("DATABASE_URL"), STATE_DIR)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "shop.User"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
# Passwords cannot be tried out: ten wrong ones for a name from one address shut it for ten minutes.
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AXES_FAILURE_LIMIT = 10
AXES_COOLOFF_TIME = timedelta(minutes=10)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_DISABLE_ACCESS_LOG = True
AXES_LOCKOUT_TEMPLATE = "shop/locked_out.html"

LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"

# Monthly reports go out by mail where a server is set.
MAIL_PORTS = {"starttls": 587, "tls": 465, "none": 25}
MAIL_SECURITY = env_choice("STUBAXLE_MAIL_SECURITY", "starttls", tuple(MAIL_PORTS))
EMAIL_HOST = env_text("STUBAXLE_MAIL_HOST")
EMAIL_PORT = env_int("STUBAXLE_MAIL_PORT", MAIL_PORTS[MAIL_SECURITY], least=1, most=65535)
EMAIL_HOST_USER = env_text("STUBAXLE_MAIL_USER")
EMAIL_HOST_PASSWORD = env_secret("STUBAXLE_MAIL_PASSWORD")
EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL_SECURITY == "starttls", MAIL_SECURITY == "tls"
EMAIL_TIMEOUT = 10
DEFAULT_FROM_EMAIL = env_text("STUBAXLE_MAIL_FROM", "stubaxle@localhost")
# An address, or workshop=address for the reports of that workshop alone.
REPORTS_TO: list[str] = env_list("STUBAXLE_REPORTS_TO", [])

LANGUAGE_CODE = "en-gb"
LOCALE_PATHS = [BASE_DIR / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = env_zone("STUBAXLE_TIME_ZONE")

STATIC_URL = "static/"
STATIC_ROOT = STATE_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if env_bool("STUBAXLE_HASHED_STATIC", default=False)
        else "django.contrib.staticfiles.storage.StaticFilesStorage",
    },
}
WHITENOISE_USE_FINDERS = not env_bool("STUBAXLE_HASHED_STATIC", default=False)

# Nothing loads but what is named here; nothing inline anywhere.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CONTENT_TYPE_NOSNIFF = True

HTTPS = BASE_URL.startswith("https://")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SESSION_COOKIE_AGE = 12 * 60 * 60
SESSION_COOKIE_SAMESITE = "Lax"

DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 400

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}

# The floor above the measuring floor, named as a string: imports point down only.
SESSION_COMPANION = "jobs.companion.JobCompanion"
# And what is kept up to date when more is known of a vehicle; see shop/ports.py.
VEHICLE_FOLLOWER = "jobs.follower.JobFollower"

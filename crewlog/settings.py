"""Settings, read from the environment; a missing or wrong value fails loudly at start."""

import os
import secrets
from pathlib import Path

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from crewlog.mail.url import mail_server, must_not_be_set, sender

BASE_DIR = Path(__file__).resolve().parent.parent


def env_bool(name: str, *, default: bool) -> bool:
    """Read a yes/no variable; anything else is an error rather than a guess."""
    text = os.environ.get(name, "yes" if default else "no").strip().lower()
    if text in {"1", "yes", "true", "on"}:
        return True
    if text in {"0", "no", "false", "off"}:
        return False
    raise ImproperlyConfigured(f"{name} must be yes or no, not {text!r}.")


def env_count(name: str, *, default: int, max_value: int) -> int:
    """Read a whole number from nought up; anything else is an error."""
    text = os.environ.get(name, str(default)).strip()
    if not (text.isascii() and text.isdigit() and int(text) <= max_value):
        raise ImproperlyConfigured(f"{name} must be a whole number from 0 to {max_value}, not {text!r}.")
    return int(text)


def env_list(name: str, *, default: str) -> list[str]:
    return [part.strip() for part in os.environ.get(name, default).split(",") if part.strip()]


def kept_secret(path: Path) -> str:
    """The installation's own key: made once, readable by its owner only."""
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as new:
            new.write(secrets.token_urlsafe(50))
    except FileExistsError:
        pass
    return path.read_text().strip()


VAR_DIR = Path(os.environ.get("CREWLOG_VAR", BASE_DIR / "var"))
VAR_DIR.mkdir(parents=True, exist_ok=True)
DEBUG = env_bool("CREWLOG_DEBUG", default=False)
# On a machine of one's own: plain http, static files straight from the source.
LOCAL = env_bool("CREWLOG_LOCAL", default=DEBUG)
SECRET_KEY = os.environ.get("CREWLOG_SECRET_KEY") or kept_secret(VAR_DIR / "secret-key")
ALLOWED_HOSTS = env_list("CREWLOG_HOSTS", default="localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = env_list("CREWLOG_ORIGINS", default="")
SITE_ADDRESS = os.environ.get("CREWLOG_ADDRESS", "http://127.0.0.1:8000")

INSTALLED_APPS = [
    "crewlog.apps.CrewlogConfig",
    "gear.apps.GearConfig",
    "jobs.apps.JobsConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",  # its widgets' templates, which templates/django/forms partly replaces
    "django_htmx",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "allauth.usersessions",
    "csp",
]

MIDDLEWARE = [
    "crewlog.site.logs.request_log",
    "crewlog.site.probes.probes",
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "crewlog.delivery.compression.CompressedText",  # above WhiteNoise: its files too, where none is collected
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "crewlog.site.middleware.site_headers",  # after WhiteNoise: its files may be kept
    "crewlog.site.middleware.MachineFaults",
    "crewlog.site.middleware.StorableValues",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "crewlog.unsent.middleware.dead_session",
    "crewlog.web.middleware.MemberMiddleware",
    "crewlog.signin.sessions.SessionWatch",
    "crewlog.signin.second_step.SecondStepMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "crewlog.unsent.middleware.NotDoneMiddleware",
    "crewlog.unsent.middleware.accepted_drafts",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
]

ROOT_URLCONF = "crewlog.urls"
WSGI_APPLICATION = "crewlog.wsgi.application"
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["crewlog.templatetags.drafts"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",  # a writer waits for its turn instead of failing half way
    "timeout": 60,  # sixteen sheets issued at once wait for one another
    # FULL: an issued sheet must survive a power cut. Triggers also fire on what REPLACE deletes.
    "init_command": (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; PRAGMA recursive_triggers=ON;"
    ),
}
# A writer waits as long as on SQLite, then is told; a server that does not answer is given up soon.
POSTGRESQL_OPTIONS = {"connect_timeout": 5, "options": "-c lock_timeout=60s"}


def database(url: str) -> dict[str, object]:
    config: dict[str, object] = dict(dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True))
    if config["ENGINE"] == "django.db.backends.sqlite3":
        config["OPTIONS"] = SQLITE_OPTIONS
    else:
        said = config.get("OPTIONS")
        config["OPTIONS"] = POSTGRESQL_OPTIONS | (said if isinstance(said, dict) else {})
    return config


DATABASES = {"default": database(os.environ.get("DATABASE_URL", f"sqlite:///{VAR_DIR / 'crewlog.sqlite3'}"))}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
CACHES = {"default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "crewlog_cache"}}

AUTH_USER_MODEL = "crewlog.User"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "today"
ACCOUNT_LOGOUT_REDIRECT_URL = "account_login"
ACCOUNT_ADAPTER = "crewlog.signin.adapter.ClosedAccountAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_SESSION_REMEMBER = True
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes", "webauthn"]
MFA_TOTP_ISSUER = "Crewlog"

SESSION_COOKIE_AGE = 60 * 60 * 24 * 14
SESSION_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "crewlog.unsent.views.csrf_refused"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = not LOCAL
if not LOCAL:
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365
# Other sites under the same domain are not ours to speak for.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],  # data: for the code that sets up an authenticator
        "font-src": [SELF],
        "connect-src": [SELF],
        "worker-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}

LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", "English")]
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = VAR_DIR / "static"
MADE_DIR = Path(os.environ.get("CREWLOG_MADE", VAR_DIR / "made"))  # fonts, stylesheet, scripts; may be emptied
STATICFILES_FINDERS = [
    "django.contrib.staticfiles.finders.AppDirectoriesFinder",
    "crewlog.delivery.finder.MadeFinder",
]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if LOCAL
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = LOCAL
# Photographs and documents of gear: private, never under a folder that a web server hands out.
FILES_DIR = Path(os.environ.get("CREWLOG_FILES", VAR_DIR / "files"))
# The latest record of each chain, noted outside the database after every commit.
HEADS_DIR = Path(os.environ.get("CREWLOG_HEADS", VAR_DIR / "heads"))
UPLOAD_CAP_BYTES = 20_000_000  # of one file; each form's own limit is lower
FILE_UPLOAD_HANDLERS = [
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "crewlog.files.uploads.CappedUploadHandler",
]
# --- How the site is run (crewlog/site/): log lines, and where weaknesses are reported.
LOG_STYLE = os.environ.get("CREWLOG_LOG", "text")
if LOG_STYLE not in ("text", "json"):
    raise ImproperlyConfigured(f"CREWLOG_LOG must be text or json, not {LOG_STYLE!r}.")
SECURITY_CONTACT = os.environ.get("CREWLOG_SECURITY_CONTACT", "")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"()": "crewlog.site.log_lines.LogLine", "style_of_lines": LOG_STYLE}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "INFO"},
    "loggers": {
        "django": {"handlers": [], "level": "INFO"},
        "django.security.DisallowedHost": {"handlers": [], "propagate": False},  # anybody can write any Host
        "django.request": {"level": "ERROR"},  # our own line says it, without secrets in the address
        "django.server": {"handlers": [], "level": "ERROR", "propagate": True},
        "fontTools": {"level": "WARNING"},  # a line for each table of a font that is made
    },
}
# --- End of how the site is run.

# Mail, proxies and signing in (crewlog.mail, crewlog.signin).
MAIL_SERVER = mail_server(os.environ.get("CREWLOG_EMAIL_URL", ""))
DEFAULT_FROM_EMAIL = SERVER_EMAIL = sender(os.environ.get("CREWLOG_FROM", ""), MAIL_SERVER)
MAIL_IS_SET_UP, EMAIL_BACKEND, EMAIL_FILE_PATH = MAIL_SERVER.is_set_up, MAIL_SERVER.backend, MAIL_SERVER.folder
EMAIL_HOST, EMAIL_PORT, EMAIL_TIMEOUT = MAIL_SERVER.host, MAIL_SERVER.port, MAIL_SERVER.timeout_s
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL_SERVER.user, MAIL_SERVER.password
EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL_SERVER.starttls, MAIL_SERVER.tls
MAIL_TRY_AT_ONCE = True
if MAIL_SERVER.is_set_up and not LOCAL and "CREWLOG_ADDRESS" not in os.environ:
    raise ImproperlyConfigured("CREWLOG_ADDRESS: give the site's address; links in mails begin with it.")
must_not_be_set(os.environ)
PROXIES = env_count("CREWLOG_PROXIES", default=0, max_value=5)
if PROXIES:  # without one in front, the client itself writes this header
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
ACCOUNT_FORMS = {
    "login": "crewlog.signin.forms.SignInForm",
    "reset_password": "crewlog.signin.forms.ForgottenPasswordForm",
}
MFA_FORMS = {
    "authenticate": "crewlog.signin.forms.CodeForm",
    "reauthenticate": "crewlog.signin.forms.CodeAgainForm",
    "add_webauthn": "crewlog.signin.forms.PasskeyForm",
    "edit_webauthn": "crewlog.signin.forms.PasskeyNameForm",
}
MFA_ADAPTER = "crewlog.signin.adapter.SecondStepAdapter"
MFA_PASSKEY_LOGIN_ENABLED = True
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ACCOUNT_EMAIL_NOTIFICATIONS = True
# Wrong passwords and codes are counted by crewlog.signin.limits; mails of a forgotten password by its adapter.
ACCOUNT_RATE_LIMITS = {"login": "", "login_failed": "", "reset_password": "20/m/ip"}

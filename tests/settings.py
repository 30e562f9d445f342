"""Settings for tests: the real ones, with a fast hasher and an in-memory cache."""

import os
from typing import Any

os.environ.setdefault("CREWLOG_DEBUG", "yes")

from crewlog.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
console: Any = LOGGING["handlers"]  # noqa: F405
console["console"]["class"] = "logging.NullHandler"  # tests read lines by caplog
DEBUG = False
WHITENOISE_AUTOREFRESH = True  # static files are not collected for tests
SECURE_SSL_REDIRECT = False
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
# Mail goes to the outbox of Django's tests; tests send it themselves where they look at what was sent.
MAIL_IS_SET_UP = True
MAIL_TRY_AT_ONCE = False

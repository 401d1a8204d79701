"""Settings of the tests: those of the site, with a throwaway book, quick passwords and no throttle.

DATABASE_URL chooses the engine. LEDGER_TEST_BOOK=file keeps the SQLite book in a file, as a mill does (the browser tests).
"""

import os

os.environ.setdefault("LEDGER_SECRET_KEY", "only-for-tests-and-known-to-everybody-who-reads-this")
os.environ.setdefault("LEDGER_ALLOWED_HOSTS", "testserver,localhost,127.0.0.1")
os.environ.setdefault("LEDGER_HTTPS", "0")

from ledger.settings import *  # noqa: F403
from ledger.settings import BASE_DIR, DATABASES, STORAGES

if os.environ.get("LEDGER_TEST_BOOK") == "file" and "sqlite3" in DATABASES["default"]["ENGINE"]:
    DATABASES["default"]["TEST"] = {"NAME": str(BASE_DIR / "var" / "test.sqlite3")}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
WHITENOISE_USE_FINDERS = WHITENOISE_AUTOREFRESH = True
# The throttle has tests of its own, which switch it on.
AXES_ENABLED = False

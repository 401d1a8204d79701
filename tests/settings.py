"""Settings of the tests: those of the site, with a throwaway book, quick passwords and no throttle.

DATABASE_URL chooses the engine. LEDGER_TEST_BOOK=file keeps the SQLite book in a file, as a mill does (the browser tests).
"""

import hashlib
import os
from pathlib import Path

os.environ.setdefault("LEDGER_SECRET_KEY", "only-for-tests-and-known-to-everybody-who-reads-this")
os.environ.setdefault("LEDGER_ALLOWED_HOSTS", "testserver,localhost,127.0.0.1")
os.environ.setdefault("LEDGER_HTTPS", "0")

from ledger.settings import *  # noqa: F403
from ledger.settings import BASE_DIR, DATABASES, STORAGES

if os.environ.get("LEDGER_TEST_BOOK") == "file" and "sqlite3" in DATABASES["default"]["ENGINE"]:
    # In memory where the system has a folder for it: a throwaway book need not outlast a power cut, and each commit asks for that.
    memory = Path("/dev/shm")  # noqa: S108 - the name of the book in it is our own
    folder = memory if os.access(memory, os.W_OK) else BASE_DIR / "var"
    DATABASES["default"]["TEST"] = {"NAME": str(folder / f"ledger-test-{hashlib.sha256(str(BASE_DIR).encode()).hexdigest()[:12]}.sqlite3")}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
WHITENOISE_USE_FINDERS = WHITENOISE_AUTOREFRESH = True
# The throttle has tests of its own, which switch it on.
AXES_ENABLED = False

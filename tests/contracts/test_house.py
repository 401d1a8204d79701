"""What the house keeps out: the admin site, and requirements that are not pinned or tell where they came from."""

from __future__ import annotations

import re
import tomllib

import pytest
from django.conf import settings

from tests.contracts.rooms import ROOT, sources
from tests.contracts.test_floors import imported

TELLS_AN_ADDRESS = re.compile(r"://|index-url|find-links|file:")
PINNED = re.compile(r"^([a-z0-9][a-z0-9.-]*)(?:\[[a-z,-]+\])?==\S+ \\$", re.MULTILINE)
ADMIN = "django.contrib.admin"


def dishonest_lines(text: str) -> list[str]:
    """Lines that name an address, and requirements without an exact version and a hash."""
    found = [line for line in text.splitlines() if TELLS_AN_ADDRESS.search(line)]
    for block in re.split(r"\n(?=\S)", text):
        starts_requirement = block and not block.startswith(("#", " "))
        if starts_requirement and not (PINNED.match(block) and "--hash=sha256:" in block):
            found.append(block.splitlines()[0])
    return found


def normal(name: str) -> str:
    return re.sub(r"[-_.]+", "-", re.split(r"[\[~=<>!; ]", name, maxsplit=1)[0]).lower()


def test_requirements_are_pinned_hashed_and_silent_about_addresses() -> None:
    assert dishonest_lines((ROOT / "requirements.txt").read_text(encoding="utf-8")) == []


def test_requirements_hold_what_the_project_asks_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = {normal(name) for name in [*project["dependencies"], *project["optional-dependencies"]["test"]]}
    pinned = set(PINNED.findall((ROOT / "requirements.txt").read_text(encoding="utf-8")))
    assert asked - pinned == set()


@pytest.mark.parametrize("text", [
    "django>=5.2\n",
    "django==5.2.19\n",
    "--extra-index-url somewhere\n",
    "django @ file:///tmp/django.whl \\\n    --hash=sha256:aa\n",
    "# from https://example.com\n",
])
def test_a_dishonest_requirement_is_seen(text: str) -> None:
    assert dishonest_lines(text) != []


def test_an_honest_requirement_is_left_alone() -> None:
    assert dishonest_lines("django==5.2.19 \\\n    --hash=sha256:aa\n    # via tea-lot-ledger\nnumpy==2.4.6 \\\n    --hash=sha256:bb\n") == []


def test_there_is_no_admin_site() -> None:
    assert [app for app in settings.INSTALLED_APPS if app.startswith(ADMIN)] == []
    assert [file.path for file in sources("lots", "ledger") for _, module in imported(file) if module.startswith(ADMIN)] == []


def test_nothing_opens_a_transaction_for_every_request() -> None:
    # On SQLite every transaction takes the one write lock; a page that only reads must not wait for it.
    assert settings.DATABASES["default"]["ATOMIC_REQUESTS"] is False

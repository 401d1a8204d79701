"""The documents keep up: commands, settings, packages, rooms and pictures that are there are named in them, and no others."""

from __future__ import annotations

import re
import tomllib

import pytest
from django.core.management import get_commands

from tests.browser.pictures import PICTURES
from tests.contracts.rooms import FLOORS, ROOT
from tests.contracts.test_house import normal

SETTING = re.compile(r"\bLEDGER_[A-Z_]+\b")
# Settings that only make and the tests use; Makefile and tests/postgres.sh explain them.
OF_MAKE = {
    "LEDGER_REFERENCE": "names the folder of make conformance",
    "LEDGER_TEST_BOOK": "puts the tests' book into a file",
    "LEDGER_TEST_COMMIT": "lets the tests' server wait for the disk",
    "LEDGER_BENCH_SAMPLES": "how often make bench measures",
    "LEDGER_BENCH_HARVESTS": "how large the smaller book of make bench is",
}


def text(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def unnamed(wanted: set[str], document: str) -> set[str]:
    """What a document does not name in code marks."""
    return {name for name in wanted if not re.search(rf"`[^`\n]*(?<![\w-]){re.escape(name)}(?![\w-])[^`\n]*`", document)}


def our_commands() -> set[str]:
    return {name for name, app in get_commands().items() if app == "lots"}


def settings_read() -> set[str]:
    files = [*(ROOT / "ledger").rglob("*.py"), *(ROOT / "lots").rglob("*.py")]
    return {name for file in files for name in SETTING.findall(file.read_text(encoding="utf-8"))}


def packages() -> set[str]:
    project = tomllib.loads(text("pyproject.toml"))["project"]
    return {normal(name) for name in [*project["dependencies"], *project["optional-dependencies"]["test"]]}


def test_every_command_is_in_the_readme() -> None:
    assert unnamed(our_commands(), text("README.md")) == set()


def test_every_setting_is_in_the_readme_and_none_that_is_not_read() -> None:
    assert unnamed(settings_read() - set(OF_MAKE), text("README.md")) == set()
    assert set(SETTING.findall(text("README.md"))) - settings_read() - set(OF_MAKE) == set()


def test_every_package_is_explained() -> None:
    explained = text("DEVELOPERS.md").split("## 8.")[1].split("## 9.")[0].lower()
    assert {name for name in packages() if not re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", explained)} == set()


def test_every_room_is_on_the_map() -> None:
    chart = text("DEVELOPERS.md").split("## 2.")[0]
    assert {room for room in FLOORS if not re.search(rf"\b{room}\b", chart)} == set()


def test_the_readme_shows_the_pictures_that_are_made() -> None:
    shown = re.findall(r"!\[([^\]]*)\]\(static/img/screens/([\w-]+)\.png\)", text("README.md"))
    assert sorted(name for _, name in shown) == sorted(picture.file for picture in PICTURES)
    assert [name for words, name in shown if len(words) < 30] == []


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md", "CHANGELOG.md"])
def test_files_that_a_document_names_are_there(name: str) -> None:
    named = set(re.findall(r"`((?:lots|ledger|tests|templates|static|fixtures)/[\w./-]+\.\w+)(?::[\w.]+)?`", text(name)))
    made_up = {path for path in named if "roasting" in path}
    assert {path for path in named - made_up if not (ROOT / path).is_file()} == set()


def undefined(document: str) -> list[str]:
    """Places like `lots/record/acts.py:act` whose file does not define the name at its top."""
    places = re.findall(r"`((?:lots|ledger|tests)/[\w./]+\.py):(\w+)(?:\.\w+)?`", document)
    return [f"{path}:{name}" for path, name in places if not re.search(rf"^(?:def |class |)\s*{name}\b", text(path), re.MULTILINE)]


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_names_that_a_document_places_are_there(name: str) -> None:
    assert undefined(text(name)) == []


def test_a_name_that_is_gone_is_seen() -> None:
    document = "`lots/record/acts.py:act`, `lots/desk/recording.py:ActView.post`, `lots/record/acts.py:acted`"
    assert undefined(document) == ["lots/record/acts.py:acted"]


def test_a_name_in_prose_is_not_enough() -> None:
    document = "They verify the book by `manage.py rebuild`. `load_season FILE` loads."
    assert unnamed({"verify", "rebuild", "load_season", "load"}, document) == {"verify", "load"}

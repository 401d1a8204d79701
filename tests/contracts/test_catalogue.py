"""The catalogue: every sentence of the sources has its words in every language, its placeholders, and nothing stale stands in it."""

from __future__ import annotations

import ast
import io
import re
from pathlib import Path
from typing import Any

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import read_mo, write_mo
from babel.messages.pofile import read_po
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from lots.desk.doors import DOORS
from lots.management import catalogue as words
from tests.contracts.rooms import ROOT, Source, listed, source, sources

LANGUAGES = [code for code, _ in settings.LANGUAGES if code != "en"]
FORBIDDEN = re.compile(r"\b(?:please|invalid|delete[sd]?|edit(?:ed|s)?|oops|sorry)\b|!", re.IGNORECASE)
PLACEHOLDER = re.compile(r"%\(\w+\)[sd]|%%|\{\w*\}")
POSITIONAL = re.compile(r"%[sdi]")
A_WORD = re.compile(r"[A-Za-z]{3}")
JAPANESE = re.compile(r"[\u3041-\u30ff\u4e00-\u9fff]")
FULL_WIDTH_FIGURE = re.compile(r"[\uff10-\uff19\uff21-\uff3a\uff41-\uff5a\uff0e\uff0c\u3000\uff01]")
POLITE = re.compile(r"(?:です|ます|ません|ました|ください|でした)(?:。|、|$)")
# Where strangers are spoken to, and so politely; and what carries no Japanese sign in Japanese, each with its reason.
TO_STRANGERS = ("templates/public/", "lots/public/")
A_NUMBER = "counts stand as figures in Japanese"
SIGNS_ALONE = {
    "one": A_NUMBER, "two": A_NUMBER, "three": A_NUMBER, "four": A_NUMBER, "five": A_NUMBER, "six": A_NUMBER, "seven": A_NUMBER,
    "eight": A_NUMBER, "nine": A_NUMBER, "ten": A_NUMBER, "eleven": A_NUMBER, "twelve": A_NUMBER,
    "%(what)s, in kilograms": "the unit is a sign", "CFU/g": "a unit", "kg per 10 a": "a unit", "kg per ha": "a unit",
    "%(mill)s %(zone)s (%(offset)s), %(utc)s UTC": "the name of a time scale",
}
DRAFT = "Draft until a native reader of the trade has signed them"
MACHINE = re.compile(r":\d+$|\b20\d\d-\d\d-\d\d \d\d:\d\d|Creation-Date|Revision-Date|Generated-By|/home/|/tmp/")


def path_of(language: str) -> Path:
    return Path(settings.LOCALE_PATHS[0]) / language / "LC_MESSAGES" / "django.po"


@pytest.fixture(scope="module")
def in_sources() -> Catalog:
    return words.in_sources(ROOT, "ja")


@pytest.fixture(scope="module", params=LANGUAGES)
def language(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def standing(language: str) -> Catalog:
    return words.read(path_of(language), language)


def forms_of(message: Message) -> tuple[str, ...]:
    return (message.id,) if isinstance(message.id, str) else tuple(message.id)


def said(message: Message) -> tuple[str, ...]:
    return (message.string,) if isinstance(message.string, str) else tuple(message.string)


def placeholders(text: str) -> set[str]:
    return set(PLACEHOLDER.findall(text)) - {"%%"}


def disagreeing(message: Message) -> list[str]:
    """Placeholders that a sentence and its words do not share. A language without a plural says what the plural says."""
    forms = [placeholders(form) for form in forms_of(message)]
    may = set().union(*forms)
    return sorted({name for text in said(message) if text for name in (placeholders(text) - may) | (forms[-1] - placeholders(text))})


def keys(catalogue: Catalog) -> set[tuple[str | None, tuple[str, ...]]]:
    return {(message.context, forms_of(message)) for message in words.sentences(catalogue)}


def test_every_sentence_has_its_words(in_sources: Catalog, standing: Catalog) -> None:
    whole = {(m.context, forms_of(m)) for m in words.sentences(standing) if words.has_words(m)}
    missing = [forms[0] for context, forms in sorted(keys(in_sources) - whole, key=str)]
    assert missing == [], listed(missing)


def test_nothing_in_it_is_stale_or_fuzzy(in_sources: Catalog, standing: Catalog) -> None:
    assert sorted(keys(standing) - keys(in_sources), key=str) == []
    assert [words.english(m) for m in words.sentences(standing) if m.fuzzy] == []
    assert list(standing.obsolete) == []


def test_the_file_is_as_make_messages_writes_it(language: str) -> None:
    assert path_of(language).read_bytes() == words.up_to_date(ROOT, path_of(language), language).file


def test_nothing_of_a_day_or_a_machine_stands_in_it(language: str) -> None:
    lines = path_of(language).read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if not line.startswith("msg") and MACHINE.search(line)] == []
    assert DRAFT in "\n".join(lines[:6])


def test_placeholders_agree(standing: Catalog) -> None:
    found = [f"{words.english(m)}: {names}" for m in words.sentences(standing) if (names := disagreeing(m))]
    assert found == [], listed(found)


def test_placeholders_are_named(in_sources: Catalog) -> None:
    # One figure may stand without a name where Django itself fills it in.
    found = [form for m in words.sentences(in_sources) for form in forms_of(m) if len(POSITIONAL.findall(PLACEHOLDER.sub("", form))) > 1]
    assert found == [], listed(found)


def test_it_compiles(language: str, standing: Catalog) -> None:
    with path_of(language).open("rb") as file:
        strict = read_po(file, locale=language, abort_invalid=True)
    faults = [f"{words.english(message)}: {errors}" for message, errors in strict.check()]
    assert faults == [], listed(faults)
    compiled = io.BytesIO()
    write_mo(compiled, strict)
    compiled.seek(0)
    again = read_mo(compiled)
    assert len(words.sentences(again)) == len(words.sentences(standing))
    assert again.get("Stones").string == "石臼"


def test_the_english_is_in_words_of_the_house(in_sources: Catalog) -> None:
    found = [form for m in words.sentences(in_sources) for form in forms_of(m) if FORBIDDEN.search(form)]
    assert found == [], listed(found)


def test_the_japanese_is_japanese() -> None:
    standing = words.read(path_of("ja"), "ja")
    bare = [
        words.english(m) for m in words.sentences(standing)
        if A_WORD.search(PLACEHOLDER.sub("", words.english(m))) and not any(map(JAPANESE.search, said(m)))
        and words.english(m) not in SIGNS_ALONE
    ]
    wide = [text for m in words.sentences(standing) for text in said(m) if FULL_WIDTH_FIGURE.search(text)]
    assert bare == [], listed(bare)
    assert wide == [], listed(wide)


def test_the_desk_speaks_plainly_and_strangers_are_spoken_to_politely() -> None:
    standing = words.read(path_of("ja"), "ja")
    polite = [
        text for m in words.sentences(standing) for text in said(m)
        if POLITE.search(text) and not any(place.startswith(TO_STRANGERS) or "parts/" in place for place, _ in m.locations)
    ]
    assert polite == [], listed(polite)


def test_make_messages_finds_it_whole(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("messages", check=True)
    assert " 0 without words" in capsys.readouterr().out


# What the finder finds ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "found"), [
    ('_("Stop")', [(None, ("Stop",))]),
    ('gettext_lazy("One " "line")', [(None, ("One line",))]),
    ('ngettext("%(n)s tub", "%(n)s tubs", n)', [(None, ("%(n)s tub", "%(n)s tubs"))]),
    ('pgettext("kind of pack", "tin")', [("kind of pack", ("tin",))]),
    ('npgettext("a bag", "bag", "bags", n)', [("a bag", ("bag", "bags"))]),
    ("_(word)", []),
    ('say("Stop")', []),
])
def test_sentences_of_python_are_found(text: str, found: list[words.Found]) -> None:
    assert list(words.calls(text.encode())) == found


@pytest.mark.parametrize(("text", "found"), [
    ('<p>{% translate "Look once" %}</p>', [(None, ("Look once",))]),
    ('{% translate "tin" context "kind of pack" %}', [("kind of pack", ("tin",))]),
    ("{% blocktranslate with n=x|g:0 %}It's {{ n }} at 5 %{% endblocktranslate %}", [(None, ("It's %(n)s at 5 %%",))]),
    ("{% blocktranslate count n=x %}{{ n }} bag{% plural %}{{ n }} bags{% endblocktranslate %}", [(None, ("%(n)s bag", "%(n)s bags"))]),
    ('{% include "a.html" with do=_("Look") %}', [(None, ("Look",))]),
    ('  <p>(\n{{ x|default:_("none") }}', [(None, ("none",))]),
    ("<p>It's (not closed</p>\n    {# a note #}", []),
])
def test_sentences_of_templates_are_found(text: str, found: list[words.Found]) -> None:
    assert list(words.calls_of_template(text)) == found


@pytest.fixture
def small(tmp_path: Path, settings: Any) -> tuple[Path, Path]:
    """A project with one source: that source, and the file of its catalogue."""
    (tmp_path / "lots").mkdir()
    settings.BASE_DIR, settings.LOCALE_PATHS = tmp_path, [tmp_path / "locale"]
    return tmp_path / "lots" / "a.py", tmp_path / "locale" / "ja" / "LC_MESSAGES" / "django.po"


def test_a_catalogue_keeps_its_words_and_drops_what_is_gone(small: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    code, file = small
    code.write_text('_("Stop")\n_("Look")\n', encoding="utf-8")
    call_command("messages")
    assert "ja: without words: Stop\nja: without words: Look\nja: 2 sentences, 2 without words." in capsys.readouterr().out
    file.write_text(file.read_text(encoding="utf-8").replace('msgid "Stop"\nmsgstr ""', 'msgid "Stop"\nmsgstr "止める"'), encoding="utf-8")
    code.write_text('\n\n_("Stop")\n_("Weigh")\n', encoding="utf-8")
    call_command("messages")
    assert "no longer in the sources: Look\nja: without words: Weigh" in capsys.readouterr().out
    kept = words.read(file, "ja")
    assert (kept.get("Stop").string, kept.get("Look"), file.read_text(encoding="utf-8").count("a.py:")) == ("止める", None, 0)


def test_the_check_writes_nothing_and_fails_where_words_are_missing(small: tuple[Path, Path]) -> None:
    code, file = small
    code.write_text('_("Stop")\n', encoding="utf-8")
    with pytest.raises(CommandError, match="behind the sources"):
        call_command("messages", check=True)
    assert not file.exists()


# Titles ---------------------------------------------------------------------------------------------------------------


TITLE = re.compile(r"{% block title %}{% translate \"([^\"]+)\" %}{% endblock %}")
UNDER = re.compile(r"{% block other_title %}(.*?){% endblock %}")
BESIDE = re.compile(r'{% if house.language == "ja" %}(.*?){% else %}(.*?){% endif %}')


def wrong_title(text: str, standing: Catalog) -> str:
    """What is wrong with the title in the other language under a page's title; nothing where it is the same title."""
    title, under = TITLE.search(text), UNDER.search(text)
    if title is None:
        return ""
    if under is None:
        return "" if title[1] in {str(door.english) for door in DOORS} else f"“{title[1]}” is no door, and no other title stands under it"
    pair = BESIDE.search(under[1])
    if pair is None:
        return "" if f'{{% other_title "{title[1]}" %}}' in under[1] else f"“{title[1]}” has another title under it"
    japanese = getattr(standing.get(title[1]), "string", "")
    return "" if pair.groups() == (title[1], japanese) else f"“{title[1]}” is {japanese} in the catalogue, and {pair[2]} under the title"


def test_the_title_in_the_other_language_is_the_same_title() -> None:
    standing = words.read(path_of("ja"), "ja")
    pages = sorted((ROOT / "templates").rglob("*.html"))
    found = [f"{path.name}: {fault}" for path in pages if (fault := wrong_title(path.read_text(encoding="utf-8"), standing))]
    assert found == [], listed(found)


@pytest.mark.parametrize(("under", "fault"), [
    ("", "is no door"), ('{% block other_title %}{% other_title "Stones" %}{% endblock %}', "has another title"),
    ('{% block other_title %}{% if house.language == "ja" %}Take a tub off{% else %}桶{% endif %}{% endblock %}', "桶を下ろす in the catalogue"),
    ('{% block other_title %}{% other_title "Take a tub off" %}{% endblock %}', ""),
])
def test_a_wrong_title_is_seen(under: str, fault: str) -> None:
    said = wrong_title('{% block title %}{% translate "Take a tub off" %}{% endblock %}' + under, words.read(path_of("ja"), "ja"))
    assert (fault in said) if fault else said == ""


# Names under which nobody finds a sentence ---------------------------------------------------------------------------


def hidden_calls(file: Source) -> list[str]:
    """Gettext under a name that the finder does not know, and sentences that are put together before they are looked up."""
    found = []
    for node in ast.walk(file.tree):
        if isinstance(node, ast.ImportFrom) and node.module == "django.utils.translation":
            found += [f"{file.path}:{node.lineno}: {a.name} as {a.asname}" for a in node.names if a.asname and a.asname not in words.CALLS]
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in words.CALLS:
            built = [arg for arg in node.args if isinstance(arg, (ast.JoinedStr, ast.BinOp)) and any(
                isinstance(part, ast.Constant) and isinstance(part.value, str) for part in ast.walk(arg))]
            found += [f"{file.path}:{node.lineno}: a sentence put together inside of {node.func.id}()"] * bool(built and node.func.id == "_")
    return found


def test_no_sentence_hides_from_the_finder() -> None:
    found = [breach for file in sources("lots", "ledger") for breach in hidden_calls(file)]
    assert found == [], listed(found)


@pytest.mark.parametrize(("text", "count"), [
    ("from django.utils.translation import gettext as _now", 1), ("from django.utils.translation import gettext as _", 0),
    ('_(f"Lot {lot}")', 1), ('_("Lot %s" % lot)', 1), ('_("Lot %(lot)s") % {"lot": lot}', 0), ('_("Lot " "book")', 0),
])
def test_a_hidden_sentence_is_seen(text: str, count: int) -> None:
    assert len(hidden_calls(source("lots/desk/bad.py", text))) == count


def test_an_odd_sentence_is_seen() -> None:
    catalogue = words.House(locale="ja", fuzzy=False)
    catalogue.add("%(lot)s is here", "%(lott)s")
    catalogue.add(("%(n)s bag of %(lot)s", "%(n)s bags of %(lot)s"), ("%(n)s袋",))
    assert [disagreeing(m) for m in words.sentences(catalogue)] == [["%(lot)s", "%(lott)s"], ["%(lot)s"]]
    assert [bool(FORBIDDEN.search(text)) for text in ("Please wait", "Deleted.", "credit", "Take it back.")] == [True, True, False, False]

"""Templates: every word stands in a translate tag, and nothing stands inline that the content security policy would refuse."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.template.base import Lexer, Token, TokenType

from tests.contracts.rooms import ROOT, Source, is_docstring_of, listed, source, sources

TEMPLATES = ROOT / "templates"
# What is the same in every language, each with its reason.
EVERYWHERE = {
    "kg": "a unit", "g/h": "a unit", "a": "a unit: the are", "Enter": "stands so on the key", "Esc": "stands so on the key",
    "F1": "stands so on the key",
}
ITS_OWN_NAME = "a language offers itself by its own name"
OTHER_TITLE = "the title in the language that the page is not in, as a pair beside the translated one"
# Whole files, each with its reason.
BILINGUAL = {
    "500.html": "shown when nothing can be relied on, the catalogue neither: both languages stand side by side",
    "403_csrf.html": "shown before it is known who reads it, and in which language: both stand side by side",
}
# Words that stand untranslated on purpose: by file and words, each with its reason.
UNTRANSLATED: dict[tuple[str, str], str] = {
    ("403.html", "Not this door"): OTHER_TITLE,
    ("403.html", "この入口は使えない"): OTHER_TITLE,
    ("404.html", "No such page"): OTHER_TITLE,
    ("404.html", "頁がない"): OTHER_TITLE,
    ("desk/locked_out.html", "Rest a quarter of an hour"): OTHER_TITLE,
    ("desk/locked_out.html", "十五分お待ち"): OTHER_TITLE,
    ("desk/sign_in.html", "Sign in"): OTHER_TITLE,
    ("desk/sign_in.html", "入る"): OTHER_TITLE,
    ("public/base.html", "English"): ITS_OWN_NAME,
    ("public/base.html", "日本語"): ITS_OWN_NAME,
}

# Code that makes markup with a style inside, each with its reason.
STYLED = {"lots/drawing/paper.py": "for papers, which no browser reads: their renderer does not carry the sheet into a drawing"}

A_LETTER = re.compile(r"[^\W\d_]")
# A literal that reads like words, not like a key or the name of a field.
LIKE_WORDS = re.compile(r"[A-Z\s]|[^\x00-\x7f]")
LITERAL = re.compile(r"""(?<!_\()(?<!class=)(["'])(.*?)\1""")
ENDS = {"blocktranslate": "endblocktranslate", "blocktrans": "endblocktrans", "comment": "endcomment"}
A_CLASS = "block kind"  # the block stands inside of a class attribute
# Tags whose literals are translated, looked up in the catalogue, keys, or names of files and pages.
NO_WORDS = frozenset({
    "translate", "trans", "blocktranslate", "blocktrans", "other_title", "load", "extends", "url", "static", "if", "elif", "mark",
    "verdict", "block_text",
})
# Attributes that a person reads or hears. Sentences for scripts stand in data attributes; one word there is a key.
READ = re.compile(r"title|alt|placeholder|label|summary|aria-(?:label|description|roledescription|valuetext|placeholder)")
GAP = "\f"  # white space to a parser of markup, wherever a tag or a variable stood


def templates() -> list[Path]:
    return sorted(path for path in TEMPLATES.rglob("*") if path.is_file())


def own_name(path: Path) -> str:
    return path.relative_to(TEMPLATES).as_posix()


def tag_of(token: Token) -> str:
    return token.contents.split(maxsplit=1)[0] if token.token_type is TokenType.BLOCK else ""


def tokens(text: str) -> Iterator[Token]:
    """The tokens of a template without what stands inside of a translation, a comment or the block that names a class."""
    until = ""
    for token in Lexer(text).tokenize():
        tag = tag_of(token)
        if until:
            until = "" if tag == until else until
        else:
            until = "endblock" if token.contents == A_CLASS else ENDS.get(tag, "")
            yield token


def literals(text: str) -> Iterator[str]:
    """Words in quotation marks inside of tags and variables that nothing translates."""
    for token in tokens(text):
        if token.token_type in {TokenType.VAR, TokenType.BLOCK} and tag_of(token) not in NO_WORDS:
            found = [words for _, words in LITERAL.findall(token.contents)]
            yield from (words for words in found if A_LETTER.search(words) and LIKE_WORDS.search(words))


class Markup(HTMLParser):
    """Gathers the words and the inline code of a page's markup."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.inline: list[str] = []
        self.element = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.element = tag
        if tag == "style":
            self.inline.append("a <style> element")
        for name, value in attrs:
            if name == "style" or name.startswith("on"):
                self.inline.append(f"{name}= on <{tag}>")
            if (value or "").strip().lower().startswith("javascript:"):
                self.inline.append(f"a script in {name}= on <{tag}>")
            is_button = name == "value" and dict(attrs).get("type") in {"submit", "button", "reset"}
            if READ.fullmatch(name) or is_button or (name.startswith("data-") and " " in (value or "").strip()):
                self.take(value or "")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.element = ""

    def handle_endtag(self, tag: str) -> None:
        self.element = ""

    def handle_data(self, data: str) -> None:
        if self.element == "script" and data.strip():
            self.inline.append("a <script> with a text of its own")
        elif self.element != "style":
            self.take(data)

    def take(self, text: str) -> None:
        for run in text.split(GAP):
            words = re.sub(r"^\W+|\W+$", "", " ".join(run.split()))
            if A_LETTER.search(words) and words not in EVERYWHERE:
                self.words.append(words)


def markup(text: str) -> Markup:
    return Markup("".join(token.contents if token.token_type is TokenType.TEXT else GAP for token in tokens(text)))


def untranslated(text: str) -> list[str]:
    return [*markup(text).words, *literals(text)]


def only_in_other_title(text: str) -> list[str]:
    """Words that a page shows in the other language, and that no translate tag beside them brings into the catalogue."""
    shown = [words for token in tokens(text) if tag_of(token) == "other_title" for _, words in LITERAL.findall(token.contents)]
    kept = {words for token in tokens(text) if tag_of(token) in {"translate", "trans"} for _, words in LITERAL.findall(token.contents)}
    return [words for words in shown if words not in kept]


MARKUP_INLINE = re.compile(r"<\w[^<>]*\s(?:style|on[a-z]+)=|<style\b|<script\b(?![^>]*\bsrc=)", re.IGNORECASE)


def inline_in_code(file: Source) -> list[str]:
    prose = {id(doc.value) for node in ast.walk(file.tree) if (doc := is_docstring_of(node))}
    strings = [node for node in ast.walk(file.tree) if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in prose]
    return [f"{file.path}:{node.lineno}: inline style or script" for node in strings if MARKUP_INLINE.search(str(node.value))]


def test_every_word_of_a_template_is_marked_for_translation() -> None:
    files = templates()
    assert files
    found = [
        f"templates/{own_name(path)}: “{words}” stands outside of a translate tag"
        for path in files if own_name(path) not in BILINGUAL
        for words in untranslated(path.read_text(encoding="utf-8")) if (own_name(path), words) not in UNTRANSLATED
    ]
    assert found == [], listed(found)


def test_every_exception_still_stands_and_has_a_reason() -> None:
    there = {(own_name(path), words) for path in templates() for words in untranslated(path.read_text(encoding="utf-8"))}
    assert [key for key, reason in UNTRANSLATED.items() if key not in there or len(reason) < 20] == []
    assert [name for name, reason in BILINGUAL.items() if len(reason) < 20 or not (TEMPLATES / name).is_file()] == []
    assert [words for words, reason in EVERYWHERE.items() if len(reason) < 6] == []


def test_the_title_in_the_other_language_is_in_the_catalogue() -> None:
    found = [f"templates/{own_name(path)}: {words}" for path in templates() for words in only_in_other_title(path.read_text(encoding="utf-8"))]
    assert found == [], listed(found)


def test_no_template_holds_inline_style_or_script() -> None:
    found = [f"templates/{own_name(path)}: {what}" for path in templates() for what in markup(path.read_text(encoding="utf-8")).inline]
    assert found == [], listed(found)


def test_no_markup_from_code_holds_inline_style_or_script() -> None:
    pages = ("lots/desk", "lots/public", "lots/templatetags", "lots/drawing")
    found = [breach for file in sources(*pages) if file.path not in STYLED for breach in inline_in_code(file)]
    assert found == [], listed(found)
    assert [path for path, reason in STYLED.items() if len(reason) < 20 or not (ROOT / path).is_file()] == []


@pytest.mark.parametrize(("text", "words"), [
    ("<p>Stop the lot</p>", "Stop the lot"),
    ("<p>{{ mass }} bags.</p>", "bags"),
    ("<p>{% if a %}Yes{% else %}{% translate 'No' %}{% endif %}</p>", "Yes"),
    ('<img alt="A stone">', "A stone"),
    ('<input type="submit" value="Save">', "Save"),
    ('<button aria-label="Close">×</button>', "Close"),
    ('<form data-unsent="Nothing is lost."></form>', "Nothing is lost"),
    ("<p>石臼</p>", "石臼"),
    ('{{ name|default:"not known yet" }}', "not known yet"),
    ('{% include "parts/entry.html" with do="Look" %}', "Look"),
    ("{% comment %}Words{% endcomment %}<b>Words</b>", "Words"),
])
def test_an_untranslated_word_is_seen(text: str, words: str) -> None:
    assert untranslated(text) == [words]


@pytest.mark.parametrize("text", [
    '<p class="lead">{% translate "Stop the lot" %} · {{ mass }}&nbsp;kg, {{ share }} %</p>',
    "<p>{% blocktranslate with n=count %}{{ n }} bags{% endblocktranslate %}</p>",
    "{# a note #}<!-- a note --><a href=\"{% url 'today' %}\" data-pad-key=\"back\" class=\"go\">→</a>",
    '{{ text|default:_("Nothing here yet.") }}{% include "parts/said.html" with entries=open name="code" %}',
    "{% block kind %}dossier{% endblock %}{% block body %}×{% endblock %}",
    '{% if language == "JA" %}{% mark "adds up" %}{% endif %}',
])
def test_translated_words_and_markup_are_left_alone(text: str) -> None:
    assert untranslated(text) == []


@pytest.mark.parametrize("text", [
    '<p style="color: red">×</p>', "<style>p { color: red }</style>", "<script>go()</script>", '<button onclick="go()">×</button>',
    '<a href="javascript:go()">×</a>', '<p {% if a %}style="{{ width }}"{% endif %}>×</p>', '<body{% if a %} onload="go()"{% endif %}>',
])
def test_inline_style_and_script_are_seen(text: str) -> None:
    assert len(markup(text).inline) == 1


def test_a_script_of_its_own_file_is_left_alone() -> None:
    assert markup('<script type="module" src="{% static "js/act.js" %}"></script><p class="on" data-style="a">×</p>').inline == []


@pytest.mark.parametrize(("text", "count"), [
    ("MARK = '<i style=\"width: 1em\">'", 1), ("MARK = '<svg onload=go()>'", 1), ("MARK = '<script>go()</script>'", 1),
    ("MARK = '<i class=\"style\">'", 0), ("MARK = '<script src=\"a.js\"></script>'", 0), ("def f():\n    'No <style> here.'", 0),
])
def test_inline_style_and_script_from_code_are_seen(text: str, count: int) -> None:
    assert len(inline_in_code(source("lots/desk/bad.py", text))) == count


def test_a_title_that_only_the_other_language_shows_is_seen() -> None:
    assert only_in_other_title('{% translate "Sieve" %}{% other_title "Stones" %}') == ["Stones"]
    assert only_in_other_title('{% translate "Stones" %}{% other_title "Stones" %}{% other_title %}') == []

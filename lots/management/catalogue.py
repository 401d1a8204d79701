"""The catalogue of words in other languages: found in the sources, written in one form whatever the machine and the day."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_python
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

#: The names under which sources may call gettext, as Babel wants them: which argument is what.
CALLS: Mapping[str, Any] = {
    "_": None, "gettext": None, "gettext_lazy": None, "gettext_noop": None,
    "ngettext": (1, 2), "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2), "pgettext_lazy": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3), "npgettext_lazy": ((1, "c"), 2, 3),
}
HEADER = """\
# The words of Tea Lot Ledger in another language.
# Draft until a native reader of the trade has signed them: no term here has been signed yet.
# `make messages` finds the sentences in the sources and keeps what stands here; nothing else is typed by hand but msgstr.
#"""
# Text of a template between its tags is blanked out by Django; what a call looks like stays.
Found = tuple[str | None, tuple[str, ...]]


class House(Catalog):
    """A catalogue without days and names of programs in its head, so that two machines write the same bytes."""

    @property
    def mime_headers(self) -> list[tuple[str, str]]:  # type: ignore[override]
        """The head of the file."""
        return [
            ("Project-Id-Version", "Tea Lot Ledger"), ("Language", str(self.locale_identifier)),
            ("Plural-Forms", self.plural_forms), ("MIME-Version", "1.0"),
            ("Content-Type", "text/plain; charset=utf-8"), ("Content-Transfer-Encoding", "8bit\n"),
        ]


@dataclass(frozen=True, slots=True)
class Change:
    """A catalogue brought up to date: its bytes, how many sentences, which have no words, which are gone from the sources."""

    file: bytes
    whole: int
    missing: tuple[str, ...]
    dropped: tuple[str, ...]


def calls(text: bytes) -> Iterator[Found]:
    """The sentences that Python text gives to gettext: each with its context and its one or two forms."""
    for _, name, given, _ in extract_python(io.BytesIO(text), list(CALLS), [], {}):
        parts = list(given) if isinstance(given, (list, tuple)) else [given]
        wanted = CALLS[name] or (1,)
        context = next((parts[place[0] - 1] for place in wanted if isinstance(place, tuple)), None)
        forms = tuple(parts[place - 1] for place in wanted if isinstance(place, int) and place <= len(parts))
        if forms and all(isinstance(form, str) for form in forms):
            yield context, forms


def calls_of_template(text: str) -> Iterator[Found]:
    """The sentences that a template has translated."""
    lines = (line.lstrip() for line in templatize(text).splitlines())
    return calls("\n".join(lines).encode())


def sources(root: Path) -> Iterator[tuple[str, list[Found]]]:
    """Every source with the sentences in it, by path."""
    python = [path for top in ("ledger", "lots") for path in (root / top).rglob("*.py") if "migrations" not in path.parts]
    for path in sorted([*python, *(p for p in (root / "templates").rglob("*") if p.is_file())]):
        text = path.read_text(encoding="utf-8")
        found = calls(text.encode()) if path.suffix == ".py" else calls_of_template(text)
        yield path.relative_to(root).as_posix(), list(found)


def in_sources(root: Path, language: str) -> Catalog:
    """Return an empty catalogue of all sentences in the sources, in the order of their first file."""
    catalogue = House(locale=language, fuzzy=False, header_comment=HEADER)
    for path, found in sources(root):
        for context, forms in found:
            catalogue.add(forms[0] if len(forms) == 1 else forms, locations=[(path, 0)], context=context)
    return catalogue


def read(path: Path, language: str) -> Catalog:
    """Return the catalogue that stands in a file; an empty one where there is none yet."""
    if not path.is_file():
        return House(locale=language, fuzzy=False)
    with path.open("rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


def sentences(catalogue: Catalog) -> list[Message]:
    """Return the sentences of a catalogue without its head."""
    return [message for message in catalogue if message.id]


def english(message: Message) -> str:
    """Return the English of a sentence, in one number."""
    return message.id if isinstance(message.id, str) else message.id[0]


def has_words(message: Message) -> bool:
    """Say whether a sentence has its words in the language."""
    return all(message.string) if isinstance(message.string, (list, tuple)) else bool(message.string)


def up_to_date(root: Path, path: Path, language: str) -> Change:
    """Return the catalogue of a language anew: every sentence of the sources, with the words that it has in the file."""
    wanted, had = in_sources(root, language), read(path, language)
    for message in sentences(wanted):
        before = had.get(message.id, message.context)
        if before is not None:
            message.string, message.user_comments = before.string, before.user_comments
    return Change(
        as_file(wanted), len(sentences(wanted)), tuple(english(m) for m in sentences(wanted) if not has_words(m)),
        tuple(english(m) for m in sentences(had) if wanted.get(m.id, m.context) is None),
    )


def as_file(catalogue: Catalog) -> bytes:
    """Return the bytes of a catalogue's file: by source, one sentence a line, names of files without numbers of lines."""
    file = io.BytesIO()
    write_po(file, catalogue, width=0, sort_by_file=True, include_lineno=False)
    return file.getvalue().rstrip(b"\n") + b"\n"

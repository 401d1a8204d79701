"""The two languages of the book, for rooms that know no framework: a sentence is written twice and picked here."""

from __future__ import annotations

from typing import Self


def is_japanese(language: str) -> bool:
    """Whether ``language`` ("ja", "ja-JP", "en" …) asks for Japanese; anything else is English."""
    return language.lower().replace("_", "-").split("-")[0] == "ja"


def pick(language: str, english: str, japanese: str) -> str:
    """The sentence in the asked language."""
    return japanese if is_japanese(language) else english


class Said(str):
    """A sentence in both languages; as a text it is English."""

    __slots__ = ("japanese",)

    def __new__(cls, english: str, japanese: str) -> Self:
        """Take both sentences."""
        said = super().__new__(cls, english)
        said.japanese = japanese
        return said

    japanese: str

    def text(self, language: str = "en") -> str:
        """The sentence in the asked language."""
        return pick(language, str(self), self.japanese)


class Refused(ValueError):
    """A figure that cannot be, with its sentence for the person at the desk in both languages; ``str()`` is English."""

    def __init__(self, english: str, japanese: str) -> None:
        super().__init__(english)
        self.english = english
        self.japanese = japanese

    def text(self, language: str = "en") -> str:
        """The sentence in the asked language."""
        return pick(language, self.english, self.japanese)

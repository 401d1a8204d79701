"""What a recorder answers when it does not write."""

from __future__ import annotations


class NotWritten(Exception):
    """Nothing was written. ``sentence`` says what, which lot, how much and what to do; ``field`` names the faulty field."""

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class Refused(NotWritten):
    """A promise that cannot be kept, or an entry that cannot be understood."""


class Questioned(NotWritten):
    """A fact that the book cannot explain. Asked once; given again with a reason it is taken and marked."""

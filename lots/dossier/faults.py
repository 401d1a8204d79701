"""What a paper answers when it cannot be made."""

from __future__ import annotations


class PaperFault(Exception):
    """No paper was made. ``sentence`` says what is in the way and what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence

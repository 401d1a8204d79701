"""The one error of the journal room."""

from __future__ import annotations


class JournalError(ValueError):
    """Something cannot stand in the journal, or is not what the journal wrote; the text is a full sentence."""

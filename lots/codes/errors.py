"""The one error of the codes room."""

from __future__ import annotations


class CodeError(ValueError):
    """No code can be made of what was given; the text is a full sentence."""

"""Lines that a hand seldom needs stay folded under the form, named in one line, so that the everyday form is short."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any, ClassVar

from lots.desk.forms.base import ActForm, Line


class Folded(ActForm):
    """An act with folded lines. ``seldom`` names them with one short word each; they open by themselves where one of them
    has a fault or an answer."""

    seldom: ClassVar[Mapping[str, Any]] = MappingProxyType({})
    #: Lines that may stay empty without saying so: their label or the form as a whole says it.
    unmarked: ClassVar[Sequence[str]] = ()

    def line(self, name: str) -> Line:
        """Return one line as the page draws it; by then the form has been read."""
        drawn = super().line(name)
        if name in self.unmarked:
            self.fields[name].required = True
        return drawn

    @property
    def figure_lines(self) -> list[Line]:
        """The figures of every day."""
        return [line for line in super().figure_lines if line.field.name not in self.seldom]

    @property
    def rest_lines(self) -> list[Line]:
        """Everything else of every day."""
        return [line for line in super().rest_lines if line.field.name not in self.seldom]

    @property
    def seldom_lines(self) -> list[Line]:
        """The folded lines, in the order of the form."""
        return [line for line in self.lines if line.field.name in self.seldom]

    @property
    def seldom_words(self) -> list[str]:
        """What is folded, one short word a line."""
        return [str(self.seldom[line.field.name]) for line in self.seldom_lines]

    @property
    def seldom_open(self) -> bool:
        """Whether the folded lines stand open."""
        return any(line.fault or self.answered(line) for line in self.seldom_lines)

    def answered(self, line: Line) -> bool:
        """Tell whether a folded line was given another answer than the one that stood there."""
        if not self.is_bound:
            return False
        typed: Any = line.field.data
        return bool(getattr(typed, "text", typed)) and str(typed) != str(line.field.initial or "")

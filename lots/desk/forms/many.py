"""A scan line that takes many codes: each Enter adds one, an empty line moves on."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import ScanField, Scanned
from lots.desk.forms.widgets import CODE_ATTRS, Drawn, one

LINES_MOST = 500
_COUNTED = re.compile(r"(?P<code>.+?)[\s×xX*:;,]+(?P<first>\d{1,7})(?:\s*(?:-|–|to|から)\s*(?P<last>\d{1,7}))?\s*")


@dataclass(frozen=True, slots=True)
class ScannedLine:
    """One line of a scan list: what was scanned, and the count or the numbers that were typed behind it."""

    scanned: Scanned
    pack_count: int | None = None
    first_no: int | None = None


class ManyTicket(Drawn, forms.Textarea):
    """The scan ticket with room for many codes, one a line."""

    template_name = "desk/parts/many.html"

    def __init__(self) -> None:
        super().__init__({**CODE_ATTRS, "data-scan": "", "data-many": "", "rows": 3})

    def value_from_datadict(self, data: Any, _files: Any, name: str) -> str:
        """Return the lines as they were typed."""
        return one(data, name)


class ManyScanField(ScanField):
    """Many codes, one a line; cleaned to a tuple of `ScannedLine`. ``counted`` lets a count or a range stand behind."""

    widget = ManyTicket
    default_error_messages: ClassVar[dict[str, Any]] = {
        "many": _("That is more than %(most)d lines. Send them in two parts."),
        "twice": _("%(typed)s stands there twice."),
        "range": _("%(typed)s: the last number comes before the first."),
    }

    def __init__(self, *, counted: bool = False, **kwargs: Any) -> None:
        kwargs.setdefault("help_text", _("One a line; each Enter adds one, Enter on an empty line moves on."))
        super().__init__(**kwargs)
        self.counted = counted

    def to_python(self, value: Any) -> tuple[ScannedLine, ...] | None:
        """Return what the lines are the codes of."""
        typed = [line.strip() for line in re.split(r"[\r\n]+", str(value or "")) if line.strip()]
        if len(typed) > LINES_MOST:
            raise ValidationError(self.error_messages["many"], code="many", params={"most": LINES_MOST})
        return tuple(self.read_line(line) for line in typed) or None

    def read_line(self, typed: str) -> ScannedLine:
        """Return one line."""
        scanned = super().to_python(typed)
        match = _COUNTED.fullmatch(typed) if self.counted else None
        if scanned is None or scanned.kind != "name" or match is None:
            return ScannedLine(scanned)  # type: ignore[arg-type]
        code = super().to_python(match.group("code"))
        first, last = int(match.group("first")), match.group("last")
        if last is None:
            return ScannedLine(code, first)  # type: ignore[arg-type]
        if int(last) < first:
            raise ValidationError(self.error_messages["range"], code="range", params={"typed": typed})
        return ScannedLine(code, int(last) - first + 1, first)  # type: ignore[arg-type]

    def validate(self, value: Any) -> None:
        """Refuse lines that cannot be codes, and the same line twice."""
        forms.Field.validate(self, value)
        seen: set[tuple[str, int | None]] = set()
        for line in value or ():
            super().validate(line.scanned)
            key = (line.scanned.folded, line.first_no)
            if key in seen:
                raise ValidationError(self.error_messages["twice"], code="twice", params={"typed": line.scanned.typed})
            seen.add(key)

    def prepare_value(self, value: Any) -> Any:
        """Return the lines as they were typed, each with an end, so that the next scan begins a new one."""
        return f"{value}\n" if isinstance(value, str) and value and not value.endswith("\n") else value

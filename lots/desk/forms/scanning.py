"""The field that takes scans: a lot, a pack, or the name of a machine, a plot or a person."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from lots.codes.links import code_from_scan, kind_of
from lots.codes.signs import fold
from lots.desk.forms.widgets import ScanTicket

NAME_SIGNS_MAX = 40


@dataclass(frozen=True, slots=True)
class Scanned:
    """What was scanned or typed: ``kind`` "lot", "pack" or "name" (machine, plot, person, the maker's own reference);
    ``code`` folded for lots and packs, capitals without outer spaces for names; ``typed`` as it came."""

    kind: str
    code: str
    typed: str

    @property
    def folded(self) -> str:
        """The text as codes are compared: no hyphens, O read as 0, I and L as 1."""
        return fold(self.typed)


class ScanField(forms.Field):
    """A lot, a pack, a machine, a plot: scanned or typed in any spelling. ``kinds`` says what is wanted here."""

    part: ClassVar[str] = "scan"
    never_filled: ClassVar[bool] = False
    widget = ScanTicket
    default_error_messages = {
        "required": _("Nothing was scanned. Scan the code, or type it."),
        "long": _("That is longer than any code here. Scan it again."),
        "lot": _("%(typed)s is no lot code of ours. Look at the label and scan it again; one sign may be worn."),
        "pack": _("%(typed)s is no pack code of ours. Look at the pack and scan it again; one sign may be worn."),
        "name": _("%(typed)s is the code of a lot or pack. Something else is wanted here."),
    }

    def __init__(self, *, kinds: Sequence[str] = ("lot", "pack", "name"), **kwargs: Any) -> None:
        kwargs.setdefault("help_text", _("Or type it. Enter moves on."))
        super().__init__(**kwargs)
        self.kinds = tuple(kinds)

    def to_python(self, value: Any) -> Scanned | None:
        """Return what the text is the code of."""
        typed = str(value or "").strip()
        if not typed:
            return None
        kind = kind_of(typed)
        if kind:
            return Scanned(kind, code_from_scan(typed) or "", typed)
        return Scanned("name", unicodedata.normalize("NFKC", typed).strip().upper(), typed)

    def validate(self, value: Any) -> None:
        """Refuse what cannot be a code, and a code of the wrong kind."""
        super().validate(value)
        if value is None:
            return
        if value.kind == "name" and len(value.code) > NAME_SIGNS_MAX:
            raise ValidationError(self.error_messages["long"], code="long")
        if value.kind not in self.kinds:
            wanted = "name" if value.kind != "name" and "name" in self.kinds else self.kinds[0]
            raise ValidationError(self.error_messages[wanted], code=wanted, params={"typed": value.typed})

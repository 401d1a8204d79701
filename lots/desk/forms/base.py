"""The form that carries one human act: its id, its question, its refusals, and where the pen goes.

The id is made when the form is first shown and is kept through errors and questions, so that a form that is sent twice
is one act. A question is asked once: the same content with a reason is then taken.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.http import QueryDict
from django.utils.functional import cached_property
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from lots.desk.forms.fields import FigureField, MassField
from lots.desk.forms.widgets import one
from lots.record.errors import NotWritten, Questioned

ACT_ID, ASKED, REASON, OWN_REASON = "act_id", "act_asked", "act_reason", "act_reason_own"
OWN = (ACT_ID, ASKED, REASON, OWN_REASON, "csrfmiddlewaretoken")
REASON_SIGNS_MAX = 200


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a form as the page draws it."""

    field: forms.BoundField
    part: str
    fault: str
    more: str
    candidates: tuple[tuple[str, str], ...]
    last: str
    read: str

    @property
    def template(self) -> str:
        """The part that draws this line."""
        return "parts/widgets/group.html" if self.field.use_fieldset else "parts/widgets/line.html"


def whole_id(text: str) -> uuid.UUID | None:
    """Return an act's id if it is a UUID of version 4, else None."""
    try:
        found = uuid.UUID(text)
    except ValueError:
        return None
    return found if found.version == 4 else None


def content_mark(data: Mapping[str, Any]) -> str:
    """Return the mark of what was typed, by which an answer is known to belong to a question."""
    lists = data.lists() if isinstance(data, QueryDict) else ((name, [data[name]]) for name in data)
    typed = sorted((name, [str(v).strip() for v in values]) for name, values in lists
                   if name not in OWN and not name.endswith("_anchor"))
    return hashlib.sha256(json.dumps(typed, ensure_ascii=False).encode()).hexdigest()[:32]


class ActForm(forms.Form):
    """One act. Subclasses name their fields in the order of the hands and say ``main_act``."""

    main_act: ClassVar[Any] = _("Write it down")
    leave_act: ClassVar[Any] = _("Leave, save nothing")
    usual_reasons: ClassVar[tuple[Any, ...]] = (
        _("Weighed again, the same figure"), _("The paper ticket says so"), _("Something was not weighed"),
    )
    action = ""
    live_url = ""
    leave_url = ""
    required_css_class = ""
    use_required_attribute = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.question = ""
        self.reason_missing = False
        self._last: dict[str, str] = {}
        self._read: dict[str, str] = {}
        for name, field in self.fields.items():
            if getattr(field, "never_filled", False) and (name in self.initial or field.initial is not None):
                raise ValueError(f"{name} is read off by a person; it is never filled in beforehand.")

    # The act ---------------------------------------------------------------------------------------------------------

    @cached_property
    def act_id(self) -> uuid.UUID:
        """The id of the act: the one that came with the form, else a fresh one."""
        return (whole_id(one(self.data, ACT_ID)) if self.is_bound else None) or uuid.uuid4()

    @cached_property
    def mark(self) -> str:
        """The mark of what was typed."""
        return content_mark(self.data) if self.is_bound else ""

    @property
    def reason(self) -> str:
        """The reason given to a question about exactly this content, else nothing."""
        if not self.is_bound or one(self.data, ASKED) != self.mark:
            return ""
        return (one(self.data, OWN_REASON) or one(self.data, REASON))[:REASON_SIGNS_MAX]

    @property
    def facts(self) -> dict[str, Any]:
        """What was typed, cleaned: hand it to the recorder by name."""
        return dict(self.cleaned_data)

    def full_clean(self) -> None:
        """Clean. A form that lost its id is sent once more, because nobody can tell whether it was sent before."""
        super().full_clean()
        if self.is_bound and whole_id(one(self.data, ACT_ID)) is None:
            self.add_error(None, gettext("This page had lost the number of its entry. It has a new one: send it again."))

    def so_far(self) -> dict[str, Any]:
        """What is good yet of a form that is still being typed. Never raises."""
        self.full_clean()
        return {name: value for name, value in self.cleaned_data.items() if value is not None}

    def ask(self, sentence: str) -> None:
        """Ask once. The page comes back with the question; the same content with a reason is then taken."""
        self.question = sentence
        self.reason_missing = one(self.data, ASKED) == self.mark

    def refuse(self, sentence: str, field: str = "") -> None:
        """Say why nothing was written, beside a field if one is named."""
        self.add_error(field if field in self.fields else None, sentence)

    def heed(self, answer: NotWritten) -> None:
        """Take the recorder's answer: ask its question, or say its refusal beside the field that it names."""
        if isinstance(answer, Questioned):
            self.ask(answer.sentence)
        else:
            self.refuse(answer.sentence, answer.field)

    # What the page knows ---------------------------------------------------------------------------------------------

    def last_time(self, name: str, value: Any) -> None:
        """Show beside a field what was typed last time. None shows nothing."""
        field = self.fields[name]
        if value is not None:
            self._last[name] = field.shown(value) if isinstance(field, FigureField) else str(value)

    def set_read(self, name: str, sentence: str) -> None:
        """Say under a scan line what was scanned."""
        self._read[name] = sentence

    def scale_places(self, name: str, places: int, capacity_kg: Decimal | int | None = None) -> None:
        """Take decimals and capacity of a mass from the scale."""
        field = self.fields[name]
        if not isinstance(field, MassField):
            raise TypeError(f"{name} is no mass.")
        field.set_scale(places, capacity_kg)

    # What the page draws ---------------------------------------------------------------------------------------------

    @property
    def faulty(self) -> list[str]:
        """Names of the faulty fields in the order of the hands."""
        return [name for name in self.fields if name in self.errors]

    @property
    def pen(self) -> str:
        """Where the pen is when the page opens: the first faulty line, else the first that is still empty. A question and
        a refusal of the whole keep it."""
        if self.question or self.non_field_errors():
            return ""
        drawn = ("scan", "figure")  # above the rest, whatever the order of the fields
        seen = sorted(
            (name for name in self.fields if not self[name].is_hidden),
            key=lambda name: drawn.index(part) if (part := getattr(self.fields[name], "part", "rest")) in drawn else len(drawn),
        )
        empty = [name for name in seen if not self.is_bound and not self[name].initial]
        return next(iter([*self.faulty, *empty, *seen]), "")

    def line(self, name: str) -> Line:
        """Return one line as the page draws it."""
        bound, field = self[name], self.fields[name]
        if name == self.pen:
            field.widget.attrs["autofocus"] = True
        errors = self.errors.as_data().get(name, []) if self.is_bound else []
        offered = tuple((errors[0].params or {}).get("candidates", ())) if errors else ()
        fault = " ".join(str(m) for e in errors for m in e.messages)
        more = self.more_faults if self.faulty and name == self.faulty[0] else ""
        part = getattr(field, "part", "rest")
        return Line(bound, part, fault, more, offered, self._last.get(name, ""), self._read.get(name, ""))

    @property
    def more_faults(self) -> str:
        """The one line that counts the other faulty lines."""
        others = len(self.faulty) - 1
        if others < 1:
            return ""
        if others == 1:
            return gettext("One more line below needs a hand.")
        return gettext("%d more lines below need a hand.") % others

    @cached_property
    def lines(self) -> list[Line]:
        """All lines in the order of the hands."""
        return [self.line(name) for name in self.fields if not self[name].is_hidden]

    @property
    def scan_lines(self) -> list[Line]:
        """The lines that take scans."""
        return [line for line in self.lines if line.part == "scan"]

    @property
    def figure_lines(self) -> list[Line]:
        """The lines that take figures."""
        return [line for line in self.lines if line.part == "figure"]

    @property
    def rest_lines(self) -> list[Line]:
        """Everything else."""
        return [line for line in self.lines if line.part not in {"scan", "figure"}]

    @property
    def hidden_answers(self) -> list[tuple[str, str]]:
        """Names and values that travel unseen: the act's id, and which content a question was about."""
        return [(ACT_ID, str(self.act_id)), *([(ASKED, self.mark)] if self.question else [])]

"""What stands under a form: what was just recorded there, and what waits for the next hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from lots.desk.step_words import step_sentence, step_what
from lots.desk.words import joined, mass, material_word, unbroken
from lots.models import Flow
from lots.read.recent import Recent, RecentLine
from lots.read.waiting import Waiting


@dataclass(frozen=True, slots=True)
class Line:
    """One ruled entry under a form: time, what in bold, one sentence, one link."""

    at: dt.datetime
    what: str
    sentence: str
    url: str = ""
    do: str = ""
    day_only: bool = False

    @property
    def what_shown(self) -> SafeString:
        """What stands in bold, its codes kept whole."""
        return unbroken(self.what)

    @property
    def sentence_shown(self) -> SafeString:
        """The sentence, its codes kept whole."""
        return unbroken(self.sentence)

    @property
    def today(self) -> bool:
        """Whether it happened on this day of the mill."""
        return timezone.localtime(self.at).date() == timezone.localdate()


def state_of(step: Recent) -> str:
    """Return whether a step still stands as it was written."""
    if step.taken_back:
        return _("Taken back: it did not happen.")
    return _("Corrected since.") if step.corrected else ""


def out_words(line: RecentLine) -> str:
    """Return one weighing: "vein and stem 8.39 kg"."""
    return _("%(what)s %(mass)s") % {"what": material_word(line.role), "mass": mass(line.mass_mg, line.decimals_count)}


def fed_words(lines: Sequence[RecentLine]) -> str:
    """Return what went in: "From C26-LT1, 58.73 kg."."""
    if not lines:
        return ""
    names = list(dict.fromkeys(line.lot for line in lines))
    first = names[0] if len(names) == 1 else _("%(lot)s and %(count)d more") % {"lot": names[0], "count": len(names) - 1}
    places = max((line.decimals_count for line in lines if line.decimals_count is not None), default=None)
    return _("From %(lots)s, %(mass)s.") % {"lots": first, "mass": mass(sum(line.mass_mg for line in lines), places)}


def step_line(step: Recent, what: str = "", sentence: str = "") -> Line:
    """Return one recorded step as an entry, with the way to correct it."""
    outs = step.of(Flow.Kind.OUT)
    said = sentence or (made_words(step) if outs else step_sentence(step))
    name = _("%(lot)s, %(what)s") % {"lot": outs[0].lot, "what": out_words(outs[0])} if outs else step_what(step)
    state = state_of(step) if outs or sentence else ""
    whole = joined((said, state))
    return Line(step.at, what or _("%(what)s.") % {"what": name}, whole, correct_url(step), _("Correct"))


def made_words(step: Recent) -> str:
    """Return what a step made besides its first lot, what it lost and what went in."""
    more = (*step.of(Flow.Kind.OUT)[1:], *step.of(Flow.Kind.LOST))
    rest = _("%(what)s.") % {"what": _(", ").join(out_words(line) for line in more)} if more else ""
    return joined((rest[:1].upper() + rest[1:], fed_words(step.of(Flow.Kind.IN))))


def correct_url(step: Recent) -> str:
    """Return where a step is corrected: its weighings, or whether it happened at all."""
    if step.taken_back or step.stage == "correcting":
        return ""
    weighed = any(line.decimals_count is not None for line in step.lines)
    return reverse("corrections-adjust" if weighed else "corrections-reverse", args=[step.step])


def for_hands(lines: Sequence[Line], *, may_correct: bool) -> list[Line]:
    """Return entries with the way to correct them, or without it for those who only read."""
    return [line if may_correct else replace(line, url="", do="") for line in lines]


def recorded(steps: Sequence[Recent]) -> list[Line]:
    """Return recorded steps as entries."""
    return [step_line(step) for step in steps]


def ready(lots: Sequence[Waiting], page: str, scan: str, do: str) -> list[Line]:
    """Return lots that wait, each with a link that puts it into a scan line of a page."""
    return [
        Line(
            lot.since_at, _("%(lot)s, %(what)s.") % {"lot": lot.name, "what": material_word(lot.material)},
            _("%(mass)s in the book.") % {"mass": mass(lot.book_mg)},
            f"{reverse(page)}?{urlencode({scan: lot.code})}", do,
        )
        for lot in lots
    ]

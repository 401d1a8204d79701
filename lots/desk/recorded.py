"""What stands under a form: what was just recorded there, and what waits for the next hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _

from lots.desk.words import mass, material_word
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


def state_of(step: Recent) -> str:
    """Return whether a step still stands as it was written."""
    if step.taken_back:
        return _("Taken back: it did not happen.")
    return _("Corrected since.") if step.corrected else ""


def out_words(line: RecentLine) -> str:
    """Return one weighing: "vein and stem 8.39 kg"."""
    return _("%(what)s %(mass)s") % {"what": material_word(line.role), "mass": mass(line.mass_mg)}


def fed_words(lines: Sequence[RecentLine]) -> str:
    """Return what went in: "From C26-LT1, 58.73 kg."."""
    if not lines:
        return ""
    names = list(dict.fromkeys(line.lot for line in lines))
    first = names[0] if len(names) == 1 else _("%(lot)s and %(count)d more") % {"lot": names[0], "count": len(names) - 1}
    return _("From %(lots)s, %(mass)s.") % {"lots": first, "mass": mass(sum(line.mass_mg for line in lines))}


def step_line(step: Recent, what: str = "", sentence: str = "") -> Line:
    """Return one recorded step as an entry, with the way to correct it."""
    outs, losses = step.of(Flow.Kind.OUT), step.of(Flow.Kind.LOST)
    name = _("%(lot)s, %(what)s.") % {"lot": outs[0].lot, "what": out_words(outs[0])} if outs else step.machine
    rest = _("%(what)s.") % {"what": _(", ").join(out_words(o) for o in (*outs[1:], *losses))} if outs[1:] or losses else ""
    said = sentence or " ".join(part for part in (rest.capitalize(), fed_words(step.of(Flow.Kind.IN))) if part)
    url = "" if step.taken_back else reverse("corrections-adjust", args=[step.step])
    return Line(step.at, what or name, " ".join(part for part in (said, state_of(step)) if part), url, _("Correct"))


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

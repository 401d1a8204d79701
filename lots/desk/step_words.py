"""One recorded step in words, as the first page, the book of a lot and the page of an entry say it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.sale_words import sale_sentences
from lots.desk.saying import capital, listed, machine_word, paragraph
from lots.desk.words import language, mass, material_word, stage_word
from lots.dossier.words import kind_word
from lots.models import Flow
from lots.read.names import opened
from lots.read.outgoing import packs_sent_at
from lots.read.recent import Recent, RecentLine
from lots.trade.units import number_text, signed_kg_text

NAMED_MAX = 3


def step_what(step: Recent) -> str:
    """Return where it happened: "Stones, pair 5"."""
    place = machine_word(step.machine) if step.machine else ""
    if step.stage in {"milling", "cleaning"} and place:
        return _("%(stage)s, %(place)s") % {"stage": stage_word(step.stage), "place": place[:1].lower() + place[1:]}
    return stage_word(step.stage)


def step_sentences(steps: Sequence[Recent]) -> dict[int, str]:
    """Return what happened in each of some steps, the consignments among them with consignee and packs."""
    gone = packs_sent_at([s.step for s in steps if s.stage == "dispatch"])
    names = opened(name for _code, name, _packs in gone.values())
    sent = {step: sent_words(names.get(name) or code, packs) for step, (code, name, packs) in gone.items()}
    told = {**sent, **sale_sentences(steps)}
    return {s.step: step_sentence(s, told.get(s.step, "")) for s in steps}


def step_sentence(step: Recent, sent: str = "") -> str:
    """Return what happened: what came out, what was lost, what went in, and whether it still stands."""
    if step.stage == "correcting":
        return corrected(step)
    parts = {"load": loaded, "close": closed, "shelf": counted}
    said = sent or parts.get(step.part, made)(step)
    return paragraph([said, standing(step)])


def sent_words(consignee: str, packs: Mapping[str, int]) -> str:
    """Return what went to whom: "240 tins and 40 bags to Cafe Delta."."""
    counts = listed([f"{number_text(n, 0)} {kind_word(kind, n)}" for kind, n in packs.items() if n])
    return _("%(packs)s to %(name)s.") % {"packs": counts, "name": consignee.rstrip(".")}


def standing(step: Recent) -> str:
    """Return whether a step still stands as it was written."""
    if step.taken_back:
        return _("Taken back: it did not happen.")
    return _("Corrected since.") if step.corrected else ""


def one_line(line: RecentLine) -> str:
    """Return one weighing: "R26-LM1, refined leaf 47.55 kg"."""
    what = _("%(what)s %(mass)s") % {"what": material_word(line.role), "mass": mass(line.mass_mg)}
    return _("%(lot)s, %(what)s") % {"lot": line.lot, "what": what} if line.lot else what


def from_words(lines: Sequence[RecentLine]) -> str:
    """Return what went in: "From C26-LM1, 61.85 kg."."""
    if not lines:
        return ""
    names = list(dict.fromkeys(line.lot for line in lines))
    if len(names) > NAMED_MAX:
        names = [ngettext("%(count)d lot", "%(count)d lots", len(names)) % {"count": len(names)}]
    return _("From %(lots)s, %(mass)s.") % {
        "lots": _(", ").join(names), "mass": mass(sum(line.mass_mg for line in lines)),
    }


def made(step: Recent) -> str:
    """Return what a step made, lost and took."""
    outs = [one_line(line) for line in step.of(Flow.Kind.OUT, Flow.Kind.LOST)]
    first = _("%(what)s.") % {"what": _("; ").join(outs)} if outs else ""
    return paragraph([first, from_words(step.of(Flow.Kind.IN))])


def loaded(step: Recent) -> str:
    """Return a charge."""
    lines = step.of(Flow.Kind.IN)
    return _(" ").join(
        _("%(mass)s of %(lot)s charged.") % {"mass": capital(mass(line.mass_mg)), "lot": line.lot} for line in lines
    )


def closed(step: Recent) -> str:
    """Return the end of a run with its left-over."""
    outs = step.of(Flow.Kind.OUT)
    if not outs:
        return _("Run closed; nothing was left over.")
    return _("Run closed; left over: %(what)s.") % {"what": one_line(outs[0])}


def counted(step: Recent) -> str:
    """Return a stock count by its difference to the book."""
    lines = step.of(Flow.Kind.DIFFERENCE)
    names = _(", ").join(dict.fromkeys(line.lot for line in lines if line.role == "counted"))
    bags = sum(1 for line in lines if line.role != "counted")
    differ = sum(line.mass_mg for line in lines)
    more = ngettext("weighed with %(count)d bag of left-over", "weighed with %(count)d bags of left-over", bags) % {
        "count": bags} if bags else ""
    what = _(", ").join(part for part in (names, more) if part)
    if not differ:
        return _("%(lots)s: as the book has it.") % {"lots": what}
    return _("%(lots)s: %(mass)s against the book.") % {"lots": what, "mass": signed_kg_text(differ, 3, language())}


def corrected(step: Recent) -> str:
    """Return a correction by its signed lines."""
    lines = [
        _("%(lot)s, %(what)s %(mass)s") % {
            "lot": line.lot, "what": material_word(line.role), "mass": signed_kg_text(line.mass_mg, 3, language()),
        }
        for line in step.lines
    ]
    said = _("%(what)s.") % {"what": _("; ").join(lines)} if lines else ""
    return paragraph([_("Taken back: it did not happen."), said]) if step.part == "reverse" else said

"""The process steps of a dossier, and who had the leaf when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.dossier import words
from lots.dossier.eyes import Eyes
from lots.read.dossiers import LotDossier
from lots.read.lot_way import WayStep
from lots.read.stops import Stop


@dataclass(frozen=True, slots=True)
class StepRow:
    """One process step as printed."""

    stage: str
    machine: str
    when: str
    steps: str
    badges: str
    cleaned: str
    note: str


@dataclass(frozen=True, slots=True)
class CustodyRow:
    """One place in the chain of custody: when, what, who has it, and under which paper."""

    when: str
    what: str
    who: str
    paper: str


def step_rows(way: Sequence[WayStep]) -> list[StepRow]:
    """Return the process steps."""
    return [
        StepRow(
            stage=words.stage_word(step.stage), machine=f"{step.machine_name} ({step.machine})" if step.machine else _("none named"),
            when=span_words(step), steps=words.count(step.step_count), badges=_(", ").join(step.badges), cleaned=cleaned_words(step),
            note=note_words(step),
        )
        for step in way
    ]


def span_words(step: WayStep) -> str:
    """Return from when to when a step lasted."""
    first, last = words.mill_day(step.first_at), words.mill_day(step.last_at)
    return first if first == last else _("%(first)s to %(last)s") % {"first": first, "last": last}


def cleaned_words(step: WayStep) -> str:
    """Return when the machine was cleaned before, or that the book has no such entry."""
    if step.cleaned is None:
        return _("no clean-down before it is in the book") if step.machine else ""
    how = _("opened") if step.cleaned.opened else _("not opened")
    said = _("%(when)s, %(how)s (entry %(entry)s)") % {
        "when": words.mill_day(step.cleaned.at), "how": how, "entry": words.count(step.cleaned.entry),
    }
    return f"{said}{_(': ')}{step.cleaned.result}" if step.cleaned.result else said


def note_words(step: WayStep) -> str:
    """Return what only this stage knows."""
    if step.note_um:
        return _("screen of %(width)s µm") % {"width": words.count(step.note_um)}
    return ngettext("%(count)s pass", "%(count)s passes", step.pass_count) % {"count": step.pass_count} if step.pass_count else ""


def custody_rows(facts: LotDossier, eyes: Eyes) -> list[CustodyRow]:
    """Return where the leaf was, from the field to the consignees."""
    own = [facts.trace.own] if facts.trace.own else []
    rows = [custody_row(stop, facts, eyes) for stop in (*facts.trace.path, *own)]
    series = {one.series: one for one in facts.trace.series}
    for sent in facts.trace.consignments:
        it = series[sent.series]
        count = sent.pack_count - sent.returned_count
        packs = f"{words.count(count)} {words.kind_word(it.pack, count)}, {it.lot.name}"
        paper = _(", ").join(part for part in (sent.document_no if eyes.sees_all else "", sent.carrier if eyes.sees_all else "") if part)
        rows.append(CustodyRow(words.moment(sent.happened_at), packs, eyes.consignee(sent), paper))
    return rows


def custody_row(stop: Stop, facts: LotDossier, eyes: Eyes) -> CustodyRow:
    """Return one stop of the chain."""
    field = next((f for f in facts.fields if f.share.harvest in stop.steps), None)
    who = _("the mill")
    if field is not None:
        named = field.grower if eyes.sees_grower(field.share.plot) else ""
        who = _("from %(grower)s to the mill") % {"grower": named} if named else _("from the grower to the mill")
    when = words.moment(stop.first_at) if stop.first_at == stop.last_at else _("%(first)s to %(last)s") % {
        "first": words.moment(stop.first_at), "last": words.moment(stop.last_at),
    }
    return CustodyRow(when, f"{words.stage_word(stop.stage)} {stop.name}", who, _("entry %(entry)s") % {"entry": words.count(stop.entry)})

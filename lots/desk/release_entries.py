"""Results, decisions, tastings and complaints as entries of pages, and the acts of the door."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext as _

from lots.desk.access import may
from lots.desk.saying import Said, paragraph, short_day_text
from lots.desk.ways import way
from lots.desk.words import joined, language
from lots.dossier.lab_words import (
    BEARS,
    answer_word,
    compared_words,
    complaint_words,
    decision_words,
    found_words,
    report_words,
    source_words,
    tasting_words,
    worst_answer,
)
from lots.models import Complaint, Hold, LabResult, Limit, Lot, SampleTaken, SensoryNote
from lots.read.complaints import complaints_of
from lots.read.holding import standing
from lots.read.limits import Compared, compared, limits_on
from lots.read.names import lot_name, opened
from lots.read.releases import RELEASE, Decision, decisions_of
from lots.read.results import is_by_result, results_of
from lots.trade.weighing import Verdict


@dataclass(frozen=True, slots=True)
class Act:
    """One way on: its words and its address."""

    do: str
    href: str


def result_entries(rows: Sequence[LabResult], limits: Sequence[Limit], day: dt.date) -> list[Said]:
    """Return results, each beside every limit that speaks of it."""
    return [result_entry(row, compared(row, limits, day)) for row in rows]


def result_entry(row: LabResult, told: Sequence[Compared]) -> Said:
    """Return one result; the worst of its answers bears the mark."""
    worst = worst_answer(told)
    says = [f"{answer_word(one.found.answer)}{_(': ')}{compared_words(one, language())}" for one in told]
    sources = [_("%(what)s.") % {"what": source_words(one.limit)} for one in told]
    return Said(
        what=_("%(parameter)s: %(found)s.") % {"parameter": row.parameter, "found": found_words(row)}, side=lot_name(row.lot).name,
        sentence=joined([
            *(joined((text[:1].upper() + text[1:], source)) for text, source in zip(says, sources, strict=True)),
            "" if told else _("No limit in the tables speaks of it."), _("%(report)s.") % {"report": report_words(row)},
        ]),
        verdict=BEARS[worst] if worst else None, word=answer_word(worst) if worst else "",
        href=way("release-report", row.pk) if row.file_name else way("entry", row.step.entry_id),
        do=_("The report") if row.file_name else _("See the entry"),
    )


def decision_entries(found: Iterable[Decision]) -> list[Said]:
    """Return decisions, the newest first."""
    return [
        Said(
            sentence=decision_words(one), side=short_day_text(one.row.step.happened_at),
            verdict=Verdict.STOP if one.part != RELEASE else Verdict.ADDS_UP if one.counts else Verdict.LOOK,
            word=_("not released") if one.part != RELEASE else _("released") if one.counts else _("does not count"),
            href=way("release-confirm", one.row.pk) if one.row.needs_second and not one.second and not one.stale
            else way("entry", one.row.step.entry_id),
            do=_("Confirm it") if one.row.needs_second and not one.second and not one.stale else _("See the entry"),
        )
        for one in reversed(list(found))
    ]


def second_entries(found: Iterable[Decision]) -> list[Said]:
    """Return the releases that wait for a second person."""
    return [
        Said(what=_("%(lot)s.") % {"lot": lot_name(one.row.lot).name}, sentence=decision_words(one),
             side=short_day_text(one.row.step.happened_at), href=way("release-confirm", one.row.pk), do=_("Confirm it"))
        for one in found
    ]


def stopped_entries() -> list[Said]:
    """Return what a result or a decision has stopped."""
    rows = Hold.objects.filter(standing(), kind=Hold.Kind.HOLD).select_related("lot", "entry").order_by("pk")
    return [
        Said(what=_("%(lot)s.") % {"lot": lot_name(row.lot).name}, sentence=_("%(reason)s.") % {"reason": row.reason.rstrip(".。")},
             side=short_day_text(row.happened_at), verdict=Verdict.STOP, word=_("stopped"), href=way("release-lot", row.lot.code),
             do=_("Its results"))
        for row in rows if is_by_result(row)
    ]


def sample_entries(rows: Iterable[SampleTaken]) -> list[Said]:
    """Return samples that wait for their result."""
    return [
        Said(
            what=_("Sample %(number)s.") % {"number": row.sample_no}, side=short_day_text(row.step.happened_at),
            sentence=paragraph([
                _("Of lot %(lot)s, %(method)s.") % {"lot": lot_name(row.lot).name, "method": row.method},
                _("For %(laboratory)s.") % {"laboratory": row.laboratory.code} if row.laboratory else "",
                _("Seal %(number)s.") % {"number": row.seal_no} if row.seal_no else "",
            ]), href=way("release-result", sample_no=row.sample_no), do=_("Enter its result"),
        )
        for row in rows
    ]


def tasting_entries(rows: Iterable[SensoryNote]) -> list[Said]:
    """Return tastings."""
    return [
        Said(what=_("Badge %(badge)s.") % {"badge": row.taster.code}, sentence=tasting_words(row), side=short_day_text(row.tasted_on),
             href=way("entry", row.step.entry_id), do=_("See the entry"))
        for row in rows
    ]


def complaint_entries(rows: Sequence[Complaint]) -> list[Said]:
    """Return complaints; two on one lot say so."""
    names = opened(row.contact for row in rows)
    count = {row.lot_id: sum(1 for other in rows if other.lot_id == row.lot_id) for row in rows}
    return [
        Said(
            what=_("%(lot)s.") % {"lot": lot_name(row.lot).name}, side=short_day_text(row.received_on),
            sentence=joined([
                complaint_words(row, names.get(row.contact, "")),
                _("%(count)d complaints speak of this lot.") % {"count": count[row.lot_id]} if count[row.lot_id] > 1 else "",
            ]),
            verdict=Verdict.STOP if row.seriousness == Complaint.Seriousness.HEALTH else None,
            word=_("somebody fell ill") if row.seriousness == Complaint.Seriousness.HEALTH else "",
            href=way("release-lot", row.lot.code), do=_("The lot's results"),
        )
        for row in rows
    ]


def tested(lot: Lot) -> dict[str, list[Said]]:
    """Return what the lot book tells of tests: results beside the limits of today, decisions, complaints."""
    today = timezone.localdate()
    found = Lot.objects.select_related("step").get(pk=lot.pk)
    return {
        "results": result_entries(results_of(found), limits_on(today), today), "decisions": decision_entries(decisions_of([lot.pk])),
        "complaints": complaint_entries(complaints_of([found])),
    }


def release_acts(request: HttpRequest, lot: str = "") -> list[Act]:
    """Return what a hand can do here, as far as this person may."""
    asked = {"lot": lot} if lot else {}
    offered = [
        *([("release-decide", Act(_("Decide on this lot"), way("release-decide", lot))),
           ("lot", Act(_("Its lot book"), way("lot", lot)))] if lot else []),
        ("release-sample", Act(_("Take a sample"), way("release-sample", **asked))),
        ("release-result", Act(_("Enter a result"), way("release-result", **asked))),
        ("release-tasting", Act(_("Note a tasting"), way("release-tasting", **asked))),
        ("release-complaint", Act(_("Take a complaint"), way("release-complaint", **asked))),
        *([] if lot else [
            ("release-cultivars", Act(_("Compare cultivars"), way("release-cultivars"))),
            ("registers-list", Act(_("Limit tables"), way("registers-list", "limit_row"))),
            ("release-limits", Act(_("Put in a table of limits"), way("release-limits"))),
        ]),
    ]
    return [one for page, one in offered if one.href and may(request.user, page)]

"""One entry of the journal: in words, then as the bytes that carry the proof."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, override
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.saying import Said, clock_text, day_text, listed, paragraph
from lots.desk.step_words import step_sentences, step_what
from lots.desk.ways import way
from lots.desk.words import entry_number, language, material_word, stage_word
from lots.models import Hold
from lots.read.authorising import lacking
from lots.read.entries import EntryPage, entry_page
from lots.read.recent import Recent
from lots.read.retention import entry_kept

LOTS_SHOWN_MAX = 60


@require_safe
def entry(request: HttpRequest, seq: int) -> HttpResponse:
    """Show one entry, or say that the journal has none at that place."""
    page = entry_page(seq)
    if page is None:
        raise Http404(_("The journal has no entry %(number)s.") % {"number": entry_number(seq)})
    with override("en" if language() == "ja" else "ja"):
        other_title = _("Entry %(number)s") % {"number": entry_number(seq)}
    return render(request, "desk/entry.html", {
        "page": page, "title": _("Entry %(number)s") % {"number": entry_number(seq)}, "other_title": other_title, "lead": lead(page),
        "steps": step_entries(request, page.steps), "holds": [hold_entry(*hold) for hold in page.holds],
        "lots": page.lots[:LOTS_SHOWN_MAX], "more_lots": max(0, len(page.lots) - LOTS_SHOWN_MAX),
        "before": way("entry", seq - 1) if seq else "", "after": "" if page.is_last else way("entry", seq + 1),
        "kept": kept_words(page), "lacks": lacks(page), "happened": both_clocks(page.happened_at),
        "recorded": both_clocks(page.recorded_at),
        "corrects": page.corrects, "corrected_by": page.corrected_by, "rows": rows(page),
    })


def lead(page: EntryPage) -> str:
    """Return when it happened, when it was written, and by whom."""
    by = _(" by badge %(badge)s") % {"badge": page.badge} if page.badge else ""
    happened = _("It happened on %(day)s at %(clock)s") % {
        "day": day_text(page.happened_at), "clock": clock_text(page.happened_at)}
    written = _("and was written on %(day)s at %(clock)s%(by)s.") % {
        "day": day_text(page.recorded_at), "clock": clock_text(page.recorded_at), "by": by}
    asked = _("The book asked: %(question)s") % {"question": page.questioned} if page.questioned else ""
    reason = _("Reason: %(reason)s.") % {"reason": page.reason.rstrip(".")} if page.reason else ""
    return paragraph([_("%(happened)s %(written)s") % {"happened": happened, "written": written}, asked, reason])


def both_clocks(at: dt.datetime) -> str:
    """Return a moment by the mill's clock, with its zone, and in UTC."""
    local = timezone.localtime(at)
    return _("%(mill)s %(zone)s (%(offset)s), %(utc)s UTC") % {
        "mill": f"{local:%Y-%m-%d %H:%M:%S}", "zone": timezone.get_current_timezone_name(), "offset": local.isoformat()[-6:],
        "utc": f"{at.astimezone(dt.UTC):%Y-%m-%d %H:%M:%S}",
    }


def kept_words(page: EntryPage) -> str:
    """Return until when the entry is kept, and by which rule; nothing while no rule is entered."""
    kept = entry_kept(page.seq, page.kind, page.recorded_at)
    if kept is None:
        return ""
    return _("until %(day)s, by rule %(rule)s (%(source)s)") % {
        "day": day_text(kept.until_on), "rule": kept.rule.code, "source": kept.rule.source,
    }


def lacks(page: EntryPage) -> str:
    """Return for what the badge had no authorisation on that day; nothing where it had, or where the house enters none."""
    stages = frozenset(step.stage for step in page.steps)
    missing = lacking(page.badge, stages, timezone.localtime(page.happened_at).date())
    if not missing:
        return ""
    return _("Badge %(badge)s had no authorisation for: %(stages)s.") % {
        "badge": page.badge, "stages": listed([stage_word(stage) for stage in missing]),
    }


def step_entries(request: HttpRequest, steps: Sequence[Recent]) -> list[Said]:
    """Return the steps of the entry in words."""
    sentences = step_sentences(steps)
    return [step_entry(request, step, sentences[step.step]) for step in steps]


def step_entry(request: HttpRequest, step: Recent, sentence: str) -> Said:
    """Return one step of the entry, with the way to correct it."""
    correctable = step.stage != "correcting" and not step.taken_back and may(request.user, "corrections-adjust")
    return Said(
        what=_("%(what)s.") % {"what": step_what(step)}, sentence=sentence, side=clock_text(step.at),
        href=way("corrections-adjust", step.step) if correctable and step.lines else "", do=_("Correct it"),
    )


def hold_entry(kind: str, lot: object, reason: str) -> Said:
    """Return a hold, recall or release of the entry in words."""
    words = {
        Hold.Kind.HOLD: _("%(lot)s is stopped."), Hold.Kind.RECALL: _("%(lot)s is fetched back."),
        Hold.Kind.RELEASE: _("%(lot)s is released."),
    }
    name, material = lot.name, lot.material  # type: ignore[attr-defined]
    return Said(
        what=words[Hold.Kind(kind)] % {"lot": name}, sentence=_("%(reason)s.") % {"reason": reason.rstrip(".")},
        side=material_word(material), href=way("lot", lot.code), do=_("Open its lot book"),  # type: ignore[attr-defined]
    )


def rows(page: EntryPage) -> str:
    """Return how many rows of the book the entry carries."""
    total = sum(count for _table, count in page.row_counts)
    return ngettext("%(count)d row of the book", "%(count)d rows of the book", total) % {"count": total}

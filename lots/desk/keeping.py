"""Kept samples: where they stand, what a round met, what is due, and disposal before a witness."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.forms.kept import DisposalForm, PlaceForm, RoundForm
from lots.desk.forms.packing import packs_of
from lots.desk.forms.plain import Answers
from lots.desk.many_packs import seen_of, seen_words
from lots.desk.recording import ActView
from lots.desk.saying import Said, day_text, listed, short_day_text
from lots.desk.scanned import lot_code
from lots.desk.series_words import series_of, series_told
from lots.desk.words import joined, language
from lots.models import SampleDisposal, SamplePlace, Staff
from lots.read.kept_samples import KeptSeries, RoundTold, kept_samples, last_round, round_told
from lots.read.names import lot_name, opened
from lots.read.persons import badge_of
from lots.read.registers import in_force
from lots.record import keeping
from lots.record.acts import Act, Receipt
from lots.trade.units import date_text, number_text
from lots.trade.weighing import Verdict

PAGES = ("packing-samples-place", "packing-samples-round", "packing-samples-dispose")


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """Show what is kept, and what is due or missing."""
    told, kept = last_round(), kept_samples()
    return render(request, "desk/keeping.html", {
        "samples": [sample_entry(request, one) for one in kept], "round": round_words(told) if told else "",
        "due": due_words(kept), **{page.replace("-", "_"): may(request.user, page) for page in PAGES},
    })


class SamplesView(ActView):
    """A screen about one series of kept samples."""

    door = "packing-samples"

    def so_far(self, _form: Any, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which series it is."""
        return {"reads": {"lot": series_told(facts.get("lot"), series_of(facts.get("lot")))}}

    def after(self, _receipt: Receipt, _form: Any) -> str:
        """Back to all that is kept."""
        return reverse("packing-samples")


class PlaceView(SamplesView):
    """The place of a series of samples."""

    form_class = PlaceForm
    template_name = "desk/keeping_place.html"
    page = "packing-samples-place"

    def write(self, act: Act, form: PlaceForm) -> Receipt:
        """Write the place down."""
        facts = form.cleaned_data
        return keeping.place(act, lot=lot_code(facts["lot"]), place=facts["place"], happened_at=facts["happened_at"])

    def said(self, receipt: Receipt, _form: PlaceForm) -> str:
        """Return the place and the day that follows from the rule."""
        row = SamplePlace.objects.select_related("unit__lot").get(pk=receipt.step)
        words = {"lot": lot_name(row.unit.lot).name, "place": row.place, "until": date_text(row.keep_until_on, language())}
        return _("%(lot)s: the samples stand at %(place)s and stay until %(until)s.") % words


class RoundView(SamplesView):
    """A walk past the samples."""

    form_class = RoundForm
    template_name = "desk/keeping_round.html"
    page = "packing-samples-round"

    def write(self, act: Act, form: RoundForm) -> Receipt:
        """Write the round down."""
        facts = form.cleaned_data
        return keeping.walk_round(act, seen=seen_of(facts["seen"]), happened_at=facts["happened_at"])

    def said(self, receipt: Receipt, _form: RoundForm) -> str:
        """Return what is missing and what is due."""
        return joined([round_words(round_told(receipt.step or 0)), due_words(kept_samples())])

    def so_far(self, _form: RoundForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say what was scanned so far, and nothing of what should stand there."""
        return {"reads": {"seen": seen_words(facts.get("seen") or ())}}


class DisposalView(SamplesView):
    """Samples that are thrown away."""

    form_class = DisposalForm
    template_name = "desk/keeping_dispose.html"
    page = "packing-samples-dispose"

    def options(self) -> dict[str, Any]:
        """Return who can be a witness: everybody of the house but the one who writes."""
        own = badge_of(self.request.user.get_username())
        rows = [row for row in in_force(Staff) if row.code != own]
        names = opened(row.name for row in rows)
        return {"people": Answers([(row.code, names.get(row.name, row.code)) for row in rows])}

    def write(self, act: Act, form: DisposalForm) -> Receipt:
        """Write the disposal down."""
        facts = form.cleaned_data
        return keeping.dispose(
            act, lot=lot_code(facts["lot"]), pack_count=facts["pack_count"], how=facts["how"], witness=facts.get("witness") or "",
            happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: DisposalForm) -> str:
        """Return what was disposed of."""
        row = SampleDisposal.objects.select_related("unit__lot").get(pk=receipt.step)
        words = {"count": samples_text(row.pack_count), "lot": lot_name(row.unit.lot).name}
        return _("%(count)s of %(lot)s disposed of.") % words


def samples_text(count: int) -> str:
    """Return a count of samples."""
    return ngettext("%(count)s sample", "%(count)s samples", count) % {"count": number_text(count, 0)}


def round_words(told: RoundTold) -> str:
    """Return a round in words: how many were met, and which are missing where."""
    said = _("Round of %(day)s: %(seen)s of %(expected)s samples met.") % {
        "day": day_text(told.at), "seen": number_text(told.seen_count, 0), "expected": number_text(told.expected_count, 0),
    }
    missing = [
        _("%(count)s of %(lot)s (%(place)s)") % {"count": samples_text(count), "lot": lot.name, "place": place or _("no place written")}
        for lot, place, count in told.missing
    ]
    return joined([said, _("Missing: %(what)s.") % {"what": listed(missing)} if missing else _("None is missing.")])


def due_words(kept: list[KeptSeries]) -> str:
    """Return which samples may be disposed of."""
    due = [one.lot.name for one in kept if one.due(timezone.localdate())]
    return _("Due for disposal: %(lots)s.") % {"lots": listed(due)} if due else _("None is due for disposal.")


def sample_entry(request: HttpRequest, one: KeptSeries) -> Said:
    """Return one series of samples as an entry."""
    today = timezone.localdate()
    where = _("At %(place)s") % {"place": one.place} if one.place else _("No place is written down")
    said = _("%(where)s, %(count)s, to stay until %(until)s.") % {
        "where": where, "count": samples_text(one.here_count), "until": date_text(one.until_on, language()),
    }
    met = _("The last round missed %(count)s.") % {"count": samples_text(one.missing_count)} if one.missing_count else ""
    verdict, word, page, do = Verdict.ADDS_UP, _("kept"), "packing-samples-place", _("Write another place")
    if not one.place or one.missing_count:
        verdict, word, do = Verdict.LOOK, _("look"), _("Write their place")
    if one.due(today):
        verdict, word, page, do = Verdict.LOOK, _("due"), "packing-samples-dispose", _("Dispose of them")
    opens = may(request.user, page)
    return Said(
        what=_("%(lot)s, %(packs)s.") % {"lot": one.lot.name, "packs": packs_of(one.unit.product)}, sentence=joined([said, met]),
        side=short_day_text(one.unit.packed_on), verdict=verdict, word=word,
        href=f"{reverse(page)}?lot={one.lot.code}" if opens else "", do=do if opens else "",
    )

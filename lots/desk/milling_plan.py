"""Can it be promised? An order on the stones: which pair does what, when it is ground, and what falls due on the way."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from lots.desk.forms.milling_plan import PlanForm
from lots.desk.saying import capital, count_word, pair_word, paragraph
from lots.desk.words import language
from lots.planning.milling import DRESSING_H, MillingPlan, PairAhead, milling_plan
from lots.read.milling_plan import pairs_ahead
from lots.trade.units import kg_text, short_date_text, time_text, usual_places


@dataclass(frozen=True, slots=True)
class PairRow:
    """What one pair does of an order."""

    pair: str
    rate_g_per_h: float
    begins_at: dt.datetime
    ground_h: float
    mass_mg: int
    dressing: str


@require_safe
def plan(request: HttpRequest) -> HttpResponse:
    """Ask how much powder is wanted, and show when the stones will have ground it."""
    now = timezone.now()
    form = PlanForm(request.GET or None)
    pairs, silent = pairs_ahead(now)
    context = {"form": form, "lead": waiting_words(pairs, silent)}
    if pairs and form.is_valid():
        found = milling_plan(form.cleaned_data["order_mg"], pairs)
        context |= {"lead": lead(found, pairs, silent, now), "rows": rows(found, pairs, now), "promised": True}
    return render(request, "desk/milling_plan.html", context)


def waiting_words(pairs: list[PairAhead], silent: list[str]) -> str:
    """Return what the plan will take, before anything was asked."""
    if not pairs:
        return _("No stone pair has given a tub yet, so nothing can be said about hours.")
    count = ngettext("%(count)s stone pair can be planned with.", "%(count)s stone pairs can be planned with.", len(pairs)) % {
        "count": count_word(len(pairs)),
    }
    return paragraph([capital(count), silent_words(silent)])


def lead(found: MillingPlan, pairs: list[PairAhead], silent: list[str], now: dt.datetime) -> str:
    """Return when an order is ground, in a sentence that can be read aloud."""
    words = {
        "mass": kg_text(found.order_mg, usual_places(found.order_mg), language()), "when": when(now, found.finish_h),
        "early": when(now, found.earliest_h), "late": when(now, found.latest_h),
        "pairs": ngettext("%(count)s pair", "%(count)s pairs", len(pairs)) % {"count": count_word(len(pairs))},
    }
    said = _("%(mass)s of powder on %(pairs)s, round the clock, is ground by %(when)s (between %(early)s and %(late)s as rates scatter).")
    return paragraph([said % words, silent_words(silent)])


def silent_words(silent: list[str]) -> str:
    """Return which pairs are left out, because nobody knows what they give."""
    if not silent:
        return ""
    return _("Left out, no tub since the dressing: %(pairs)s.") % {"pairs": _(", ").join(map(pair_word, silent))}


def when(now: dt.datetime, hours: float) -> str:
    """Return a moment some hours from now: "12-03 Thu 14:20"."""
    local = timezone.localtime(now + dt.timedelta(hours=hours))
    return f"{short_date_text(local, language())} {time_text(local)}"


def rows(found: MillingPlan, pairs: list[PairAhead], now: dt.datetime) -> list[PairRow]:
    """Return the pairs with their share of the order."""
    return [
        PairRow(
            pair_word(pair.code), pair.rate_g_per_h, timezone.localtime(now + dt.timedelta(hours=pair.free_in_h)), share.ground_h,
            round(share.mass_mg), dressing_words(share.dressed_at_h, now),
        )
        for pair, share in zip(pairs, found.shares, strict=True)
    ]


def dressing_words(due_h: tuple[float, ...], now: dt.datetime) -> str:
    """Return when a pair is to be dressed on the way, and how long it stands."""
    if not due_h:
        return _("none on the way")
    first = _("now") if due_h[0] == 0 else when(now, due_h[0])
    return _("due %(when)s, %(hours)s h counted for it") % {"when": first, "hours": f"{DRESSING_H:.0f}"}

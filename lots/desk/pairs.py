"""Stone pairs in words: what a pair does, at which rate, and when a hand is needed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.balance.throughput import rate_sentence
from lots.desk.words import decimals, joined, language
from lots.read.stones import PairNow, RunFacts
from lots.trade.units import hours_text, short_date_text, time_text
from lots.trade.weighing import Verdict


@dataclass(frozen=True, slots=True)
class WallRow:
    """One ruled row of the wall: number, verdict and state, a sentence, rate, time, and the next act."""

    number: str
    code: str
    verdict: Verdict | None
    state: str
    sentence: str
    rate_g_per_h: float | None
    usual: str
    at: dt.datetime | None
    at_words: str
    url: str
    do: str


def wall_row(pair: PairNow) -> WallRow:
    """Return a pair as the wall shows it."""
    verdict, state = state_of(pair)
    page, do = next_act(pair)
    dry_at = pair.run.dry_at if pair.run else None
    return WallRow(
        pair.number, pair.code, verdict, state, sentence_of(pair), pair.last.rate_g_per_h if pair.last else None, usual_words(pair),
        dry_at, dry_words(dry_at), f"{reverse(page)}?pair={pair.code}", do,
    )


def state_of(pair: PairNow) -> tuple[Verdict | None, str]:
    """Return what is said large: a verdict with its words, else what the pair does."""
    if pair.run and pair.not_emptied_after:
        return Verdict.LOOK, _("look: was it emptied?")
    if pair.state.verdict is Verdict.STOP:
        return Verdict.STOP, _("stop: too slow, dress it")
    if pair.state.verdict is Verdict.LOOK:
        return Verdict.LOOK, _("look: the rate falls")
    if pair.run is None:
        return None, _("stands idle")
    return None, _("hopper dry") if is_dry(pair.run) else _("milling")


def is_dry(run: RunFacts) -> bool:
    """Tell whether the hopper should be empty by now."""
    return run.dry_at is not None and run.dry_at <= timezone.now()


def next_act(pair: PairNow) -> tuple[str, str]:
    """Return the page and the words of the next act at a pair."""
    if pair.run is None:
        return ("milling-dressing", _("Log a dressing")) if pair.state.verdict is Verdict.STOP else ("milling-load", _("Charge it"))
    return "milling-tub", _("Take a tub off")


def sentence_of(pair: PairNow) -> str:
    """Return what stands under the state."""
    parts = [_("%(leaf)s, %(run)s.") % {"leaf": pair.run.leaf, "run": run_words(pair.run)} if pair.run else idle_words(pair)]
    if pair.run and pair.not_emptied_after:
        parts.append(_("No left-over and no clean-down after %(job)s. Keep its first tub apart.") % {"job": pair.not_emptied_after})
    if pair.state.verdict in {Verdict.LOOK, Verdict.STOP}:
        parts.append(rate_sentence(pair.state, language()))
    parts.append(dressed_words(pair))
    return joined(parts)


def dressed_words(pair: PairNow) -> str:
    """Return how long a pair has run since it was dressed."""
    return _("%(hours)s since dressing.") % {"hours": hours_text(pair.dressed_h, 0, language())}


def run_words(run: RunFacts) -> str:
    """Return the job of a run, and how far it is."""
    job = _("job %(job)s") % {"job": run.job} if run.job else _("a run without a job")
    if not run.tub_count:
        return _("%(job)s, no tub off yet") % {"job": job}
    tubs = ngettext("%(count)d tub off", "%(count)d tubs off", run.tub_count) % {"count": run.tub_count}
    return _("%(job)s, %(tubs)s") % {"job": job, "tubs": tubs}


def idle_words(pair: PairNow) -> str:
    """Return since when a pair stands, and whether it was opened and cleaned since."""
    if pair.closed_at is None:
        return _("No run is in the book yet.")
    cleaned = pair.cleaned_at is not None and pair.cleaned_at >= pair.closed_at
    tail = _("opened and cleaned since") if cleaned else _("not opened and cleaned since")
    return _("Last job %(job)s, ended %(when)s; %(tail)s.") % {
        "job": pair.last_job or _("without a name"), "when": when_words(pair.closed_at), "tail": tail,
    }


def usual_words(pair: PairNow) -> str:
    """Return the band in which a pair runs after dressing."""
    if pair.usual_g_per_h is None:
        return ""
    low, high = pair.usual_g_per_h
    return _("%(low)s to %(high)s") % {"low": decimals(low), "high": decimals(high)}


def dry_words(at: dt.datetime | None) -> str:
    """Return the words under the time when a hopper runs dry."""
    if at is None:
        return ""
    local = timezone.localtime(at)
    ran = _("ran dry") if at <= timezone.now() else _("runs dry")
    return ran if local.date() == timezone.localdate() else f"{ran} {short_date_text(local.date(), language())}"


def when_words(at: dt.datetime) -> str:
    """Return a moment of these days: the time today, else day and time."""
    local = timezone.localtime(at)
    if local.date() == timezone.localdate():
        return time_text(local)
    return f"{short_date_text(local.date(), language())} {time_text(local)}"


def wall_sentence(pairs: list[PairNow]) -> str:
    """Return the first sentence of the wall: how many pairs mill, and when the next hand is needed."""
    running = [pair for pair in pairs if pair.run]
    if not running:
        return ngettext("The one pair stands idle.", "All %(count)d pairs stand idle.", len(pairs)) % {"count": len(pairs)}
    first = ngettext("%(count)d of %(all)d pairs mills.", "%(count)d of %(all)d pairs mill.", len(running)) % {
        "count": len(running), "all": len(pairs),
    }
    timed = [(pair.run.dry_at, pair.number) for pair in running if pair.run and pair.run.dry_at]
    if not timed:
        return first
    at, number = min(timed)
    words = {"number": number, "when": when_words(at)}
    if at <= timezone.now():
        return joined([first, _("Pair %(number)s ran dry at %(when)s.") % words])
    return joined([first, _("Next hand at the stones: %(when)s, pair %(number)s.") % words])

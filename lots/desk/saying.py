"""Sentences of the reading pages, and the entries in which they stand."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from lots.balance.closure import close
from lots.balance.words import amount_text, balance_sentence
from lots.desk.words import language
from lots.read.balances import BalanceNode
from lots.read.faults import residual_mg
from lots.read.origins import OriginShare
from lots.trade.units import date_text, kg_text, number_text, percent_text, short_date_text
from lots.trade.weighing import Expectation, Verdict

COUNTED_UP_TO = 12


@dataclass(frozen=True, slots=True)
class Said:
    """One ruled entry: a figure or words left of the seam, verdict (with a word of its own where it is not a balance's), what
    in bold, a sentence, one way on."""

    what: str = ""
    sentence: str = ""
    side: str = ""
    small: str = ""
    big_mg: float | None = None
    verdict: Verdict | None = None
    word: str = ""
    href: str = ""
    do: str = ""


def count_word(count: int) -> str:
    """Return a count as a sentence has it: words up to twelve, figures beyond."""
    words = (
        pgettext("a count", "no"), _("one"), _("two"), _("three"), _("four"), _("five"), _("six"), _("seven"), _("eight"), _("nine"),
        _("ten"), _("eleven"), _("twelve"),
    )
    return words[count] if 0 <= count <= COUNTED_UP_TO else number_text(count, 0)


def capital(text: str) -> str:
    """Return a sentence that begins with a capital."""
    return text[:1].upper() + text[1:]


def small_first(text: str) -> str:
    """Return a sentence that goes on after another one: its first letter small, a code or name left as it is."""
    first = text.split(" ", 1)[0]
    return text if first.upper() == first and len(first) > 1 else text[:1].lower() + text[1:]


def listed(words: Sequence[str]) -> str:
    """Return words in a row: "4, 5 and 6"."""
    if len(words) < 2:
        return "".join(words)
    return _("%(first)s and %(last)s") % {"first": _(", ").join(words[:-1]), "last": words[-1]}


def both(first: str, second: str) -> str:
    """Return two sentences as one: "Sorting lost 2.4 kg too many and the shelf holds 2.6 kg too many."."""
    if language() == "ja":
        return first + second
    return f"{first.rstrip('.')} and {small_first(second)}"


def paragraph(sentences: Iterable[str]) -> str:
    """Return sentences as one text."""
    return ("" if language() == "ja" else " ").join(s for s in sentences if s)


def pair_word(code: str) -> str:
    """Return a stone pair as people call it: "Pair 5"."""
    number = re.search(r"(\d+)$", code)
    return _("Pair %(number)s") % {"number": number.group(1)} if number else code


def machine_word(code: str) -> str:
    """Return a machine as people call it: the stone pairs by number, others by their code."""
    return pair_word(code) if code.startswith("SP") else code


def day_text(moment: dt.datetime | dt.date) -> str:
    """Return a day at the mill with its weekday."""
    local = timezone.localtime(moment).date() if isinstance(moment, dt.datetime) else moment
    return date_text(local, language())


def short_day_text(moment: dt.datetime | dt.date) -> str:
    """Return a day at the mill within the year: "07-11 Sat"."""
    local = timezone.localtime(moment).date() if isinstance(moment, dt.datetime) else moment
    return short_date_text(local, language())


def clock_text(moment: dt.datetime) -> str:
    """Return the time at the mill."""
    return f"{timezone.localtime(moment):%H:%M}"


def share_text(share_frac: float, places: int = 1) -> str:
    """Return a share in per cent."""
    return percent_text(share_frac, places, language())


def sum_text(mass_mg: float, places: int = 1) -> str:
    """Return a mass in kg with a fixed count of decimals."""
    return kg_text(mass_mg, places, language())


# Leaf ----------------------------------------------------------------------------------------------------------------


def cultivar_word(origin: OriginShare) -> str:
    """Return a cultivar's name in the language of the page."""
    return (language() == "ja" and origin.cultivar_ja) or origin.cultivar


def plot_words(origin: OriginShare) -> str:
    """Return a harvest's plot, cultivar and state: "P5 Long Mist, Okuyutaka, organic"."""
    if origin.harvest is None:
        return _("not known")
    return _(", ").join([f"{origin.plot} {origin.plot_name}", cultivar_word(origin), certified(origin.state)])


def certified(state: str) -> str:
    """Return how a plot is certified."""
    words = {"organic": _("organic"), "in conversion": _("in conversion"), "conventional": _("conventional")}
    return words.get(state, state)


def plots_said(origins: Iterable[OriginShare]) -> str:
    """Return the plots of some harvests by code and name, each once."""
    names = [f"{o.plot} {o.plot_name}" if o.harvest is not None else _("leaf of unknown origin") for o in origins]
    return listed(list(dict.fromkeys(names)))


def flush_word(flush_no: int) -> str:
    """Return the round of plucking in words."""
    words = {1: _("first flush"), 2: _("second flush"), 3: _("third flush")}
    return words.get(flush_no, _("flush %(number)d") % {"number": flush_no})


# Balances ------------------------------------------------------------------------------------------------------------


def node_stage_word(stage: str) -> str:
    """Return a stage as a fault names it: "sorting", "shelf"."""
    words = {
        "drying": _("oven"), "refining": _("sorting"), "counting": _("shelf"), "milling": _("stones"), "sieving": _("sieve"),
        "packing": _("packing"), "combining": _("bin"), "blending": _("blend"),
        "hiring": _("mill for hire"),
    }
    return words.get(stage, stage)


def node_name(node: BalanceNode) -> str:
    """Return what a balance is about: a lot, or a stone pair in its job."""
    if node.stage != "milling":
        return node.name
    pair = pair_word(node.machine)
    return _("%(pair)s, job %(job)s") % {"pair": pair, "job": node.job} if node.job else pair


def node_sentence(node: BalanceNode) -> str:
    """Return a balance in one sentence; why it cannot be judged in the language of the page."""
    if node.balance.verdict is Verdict.CANNOT:
        return close(node.lines, Expectation(node.stage, 0.0, 0.0), language()).why
    return balance_sentence(node.balance, node.stage, language())


def headline(node: BalanceNode) -> str:
    """Return a balance as a headline behind its verdict: "Stop: 2.4 kg missing"."""
    size = amount_text(residual_mg(node), language=language())
    missing = residual_mg(node) > 0
    words = {
        Verdict.STOP: (_("Stop: %(mass)s missing"), _("Stop: %(mass)s too much")),
        Verdict.LOOK: (_("Look: %(mass)s missing"), _("Look: %(mass)s too much")),
    }
    if node.balance.verdict in words:
        return words[node.balance.verdict][0 if missing else 1] % {"mass": size}
    return _("Adds up") if node.balance.verdict is Verdict.ADDS_UP else _("Cannot be judged")


def days_ago(days: int) -> str:
    """Return how long ago something was."""
    return ngettext("%(days)s day ago", "%(days)s days ago", days) % {"days": number_text(days, 0)}

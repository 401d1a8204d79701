"""Today: who waits for a hand, what does not add up, what is open, what was written last."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.checks import check_entries
from lots.desk.fault_words import fault_entries, slow_entries
from lots.desk.office_today import office_entries
from lots.desk.saying import (
    Said,
    capital,
    clock_text,
    count_word,
    day_text,
    days_ago,
    listed,
    pair_word,
    paragraph,
    short_day_text,
    sum_text,
)
from lots.desk.step_words import step_sentences, step_what
from lots.desk.today_packs import pack_entries
from lots.desk.today_sale import sale_entries
from lots.desk.ways import way
from lots.desk.words import entry_number, language, mass, material_word, stage_word
from lots.models import Hold
from lots.read.recent import Recent
from lots.read.stones import PairNow, RunFacts
from lots.read.today import LEAF, Batch, Today
from lots.read.today import today as read_today
from lots.trade.units import day_title_text, moisture_text, percent_text

#: So many hours before a hopper runs dry it is named among what waits for a hand. Common practice, no source.
SOON_H = 3
SHOWN_MAX = 6


def today(request: HttpRequest) -> HttpResponse:
    """Show the first page."""
    facts = read_today(timezone.now())
    office = office_entries(facts.newest_at, facts.now)
    day = timezone.localtime(facts.now).date()
    other = "en" if language() == "ja" else "ja"
    waits = [*waiting(facts), *pack_entries()]
    return render(request, "desk/today.html", {
        "title": day_title_text(day, language()), "other_day": day_title_text(day, other), "lead": lead(facts, len(waits)),
        "waiting": waits, "faults": [*office.organic, *fault_entries(facts.faults), *slow_entries(facts.slow)],
        "checks": check_entries(facts.now),
        "sale": sale_entries(), "office": office.notes, "open": open_jobs(facts.milling), "written": written(facts.recent),
    })


# The first sentence --------------------------------------------------------------------------------------------------


def lead(facts: Today, waiting_count: int) -> str:
    """Return the sentence that can be read aloud across the room."""
    if facts.newest_at is None:
        return _("The book has no leaf yet. The first entry of the year is leaf coming in.")
    return paragraph([quiet(facts), stones(facts), hands(waiting_count), unexplained(facts)])


def quiet(facts: Today) -> str:
    """Return that nothing was written for some days, and since when."""
    if facts.newest_at is None or facts.days_quiet_count < 2:
        return ""
    return _("The last entry is of %(day)s, %(ago)s.") % {
        "day": day_text(facts.newest_at), "ago": days_ago(facts.days_quiet_count),
    }


def stones(facts: Today) -> str:
    """Return which pairs are milling what."""
    if not facts.pairs:
        return ""
    if not facts.milling:
        return _("No stone pair is milling.")
    leaf = listed(list(dict.fromkeys(run_of(p).leaf for p in facts.milling)))
    count = len(facts.milling)
    return capital(ngettext("%(count)s stone pair is milling %(leaf)s.", "%(count)s stone pairs are milling %(leaf)s.", count)
                   % {"count": count_word(count), "leaf": leaf})


def hands(count: int) -> str:
    """Return how many things wait for a hand."""
    if not count:
        return _("Nothing waits for a hand.")
    return capital(ngettext("%(count)s thing waits for a hand.", "%(count)s things wait for a hand.", count)
                   % {"count": count_word(count)})


def unexplained(facts: Today) -> str:
    """Return how much in the book is not explained."""
    if not facts.faults:
        return _("Everything that can be judged adds up.")
    return _("%(mass)s in the book are not explained.") % {"mass": sum_text(facts.unexplained_mg)}


# Waiting for a hand --------------------------------------------------------------------------------------------------


def waiting(facts: Today) -> list[Said]:
    """Return what waits for a hand: hoppers first, then leaf, tubs, oversize, holds, powder over the ceiling."""
    return [
        *hoppers(facts), *map(leaf_entry, facts.leaf[:SHOWN_MAX]), *map(tub_entry, facts.tubs[:SHOWN_MAX]),
        *oversize_entries(facts), *hold_entries(facts), *[wet_entry(facts, b) for b in facts.wet[:SHOWN_MAX]],
    ]


def run_of(pair: PairNow) -> RunFacts:
    """Return the open run of a pair that has one."""
    assert pair.run is not None
    return pair.run


def hoppers(facts: Today) -> list[Said]:
    """Return the hoppers that are dry, together, and those that run dry within some hours, by time."""
    timed = [(dry_at, p) for p in facts.milling if (dry_at := run_of(p).dry_at) is not None]
    dry = sorted((at, p.code) for at, p in timed if at <= facts.now)
    soon = sorted((at, p.code) for at, p in timed if 0 < (at - facts.now).total_seconds() <= SOON_H * 3600)
    found = []
    if dry:
        pairs = listed([pair_word(code) for _at, code in dry])
        found.append(Said(
            what=_("%(pairs)s.") % {"pairs": pairs}, sentence=_("The hopper is dry; the stones stand on the bed."),
            side=clock_text(dry[0][0]), small=short_day_text(dry[0][0]), href=way("milling-tub"), do=_("Take a tub off"),
        ))
    return [*found, *(
        Said(what=_("%(pair)s.") % {"pair": pair_word(code)}, sentence=_("The hopper will run dry."), side=clock_text(at),
             href=way("milling-load"), do=_("Top up the hopper"))
        for at, code in soon
    )]


def leaf_entry(batch: Batch) -> Said:
    """Return leaf that waits for the oven or for sorting."""
    stage = LEAF[batch.material]
    return Said(
        what=_("%(lot)s, %(material)s.") % {"lot": batch.lot.name, "material": material_word(batch.material)},
        sentence=_("%(mass)s wait for the next stage: %(stage)s.") % {
            "mass": capital(mass(batch.mass_mg)), "stage": stage_word(stage).lower(),
        },
        side=short_day_text(batch.since_at), href=way(stage), do=_("Record it"),
    )


def tub_entry(batch: Batch) -> Said:
    """Return tubs that nobody has sieved."""
    tubs = ngettext("%(count)s tub", "%(count)s tubs", batch.lot_count) % {"count": count_word(batch.lot_count)}
    what = _("%(tubs)s of %(job)s.") % {"tubs": capital(tubs), "job": batch.job or batch.lot.name}
    return Said(
        what=what, sentence=_("%(mass)s of powder are not sieved yet.") % {"mass": mass(batch.mass_mg)},
        side=short_day_text(batch.since_at), href=way("sieving"), do=_("Sieve them"),
    )


def oversize_entries(facts: Today) -> list[Said]:
    """Return what stayed on screens and nobody has decided about, as one entry."""
    lots = facts.oversize
    if not lots:
        return []
    names = [o.lot.name for o in lots[:3]]
    more = len(lots) - len(names)
    named = listed([*names, *([_("%(count)d more") % {"count": more}] if more else [])])
    return [Said(
        what=_("Oversize, %(mass)s.") % {"mass": mass(sum(o.book_mg for o in lots))},
        sentence=_("Mill it again or reject it: nobody has decided about %(lots)s.") % {"lots": named},
        side=short_day_text(lots[0].since_at), href=way("lots", material="oversize", state="here"), do=_("See the lots"),
    )]


def hold_entries(facts: Today) -> list[Said]:
    """Return the holds and recalls that stand."""
    return [
        Said(
            what=_("%(lot)s, %(material)s.") % {"lot": h.lot.name, "material": material_word(h.lot.material)},
            sentence=paragraph([
                _("Fetched back since %(day)s:") % {"day": day_text(h.since_at)} if h.kind == Hold.Kind.RECALL
                else _("On hold since %(day)s:") % {"day": day_text(h.since_at)},
                _("%(reason)s.") % {"reason": h.reason.rstrip(".")},
            ]),
            side=short_day_text(h.since_at), href=way("lot", h.lot.code), do=_("Open its lot book"),
        )
        for h in facts.stopped[:SHOWN_MAX]
    ]


def wet_entry(facts: Today, batch: Batch) -> Said:
    """Return powder over the house's ceiling on which no hold stands."""
    name = batch.job or batch.lot.name
    ceiling = percent_text(facts.ceiling_frac, 1, language())
    return Said(
        what=_("%(lot)s, %(material)s.") % {"lot": name, "material": material_word(batch.material)},
        sentence=_("%(moisture)s: over our %(ceiling)s. %(mass)s, and no hold stands on it.") % {
            "moisture": capital(moisture_text(batch.moisture_frac, 1, language())), "ceiling": ceiling,
            "mass": capital(mass(batch.mass_mg)),
        },
        side=short_day_text(batch.since_at), href=way("holding-hold", lot=batch.lot.code) or way("lot", batch.lot.code),
        do=_("Put it on hold"),
    )


# Open and written ----------------------------------------------------------------------------------------------------


def open_jobs(pairs: Sequence[PairNow]) -> list[Said]:
    """Return the jobs that are in the mill."""
    jobs: dict[tuple[str, str], list[PairNow]] = defaultdict(list)
    for pair in pairs:
        jobs[run_of(pair).job or pair_word(pair.code), run_of(pair).leaf].append(pair)
    return [job_entry(job, leaf, group) for (job, leaf), group in jobs.items()]


def job_entry(job: str, leaf: str, pairs: Sequence[PairNow]) -> Said:
    """Return one job that is in the mill."""
    runs = [run_of(p) for p in pairs]
    loaded, taken = sum(r.loaded_mg for r in runs), sum(r.taken_mg for r in runs)
    count = ngettext("%(count)s pair", "%(count)s pairs", len(pairs)) % {"count": count_word(len(pairs))}
    return Said(
        what=_("%(leaf)s, %(pairs)s.") % {"leaf": leaf, "pairs": count},
        sentence=_("%(loaded)s charged, %(taken)s in tubs, the rest in the mill.") % {
            "loaded": sum_text(loaded, 2), "taken": sum_text(taken, 2),
        },
        side=job, small=short_day_text(min(r.began_at for r in runs)), href=way("milling"), do=_("Look at the stones"),
    )


def written(steps: Sequence[Recent]) -> list[Said]:
    """Return the last entries."""
    sentences = step_sentences(steps)
    return [
        Said(what=_("%(what)s.") % {"what": step_what(step)}, sentence=sentences[step.step], side=clock_text(step.at),
             small=short_day_text(step.at), href=way("entry", step.entry),
             do=_("Entry %(number)s") % {"number": entry_number(step.entry)})
        for step in steps
    ]

"""A trace in words: the first sentence, and the same as the drawing as a list in four parts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.saying import (
    Said,
    capital,
    count_word,
    day_text,
    listed,
    machine_word,
    paragraph,
    plot_words,
    plots_said,
    share_text,
    short_day_text,
    small_first,
)
from lots.desk.stop_words import stop_way
from lots.desk.ways import way
from lots.desk.words import decimals, mass, stage_word
from lots.dossier.lineage import bound_words, count_lines
from lots.read.origins import OriginShare
from lots.read.outgoing import Sent
from lots.read.stops import Stop
from lots.read.trace_records import Excluded, Touched, Trace
from lots.read.traced import Traced
from lots.trade.lineage import Tier

SHOWN_MAX = 12
NAMED_MAX = 4
#: A search is never said to have taken less than this.
SHORTEST_S = 0.1


# The first sentence --------------------------------------------------------------------------------------------------


def lead(facts: Traced, took_s: float) -> str:
    """Return the answer in a few sentences that can be read aloud, and how long the search took."""
    trace = facts.trace
    return paragraph([plots_sentence(trace), packs_sentence(trace), touched_packs(trace), found_in(took_s)])


def own_plots(trace: Trace) -> list[str]:
    """Return the codes of the plots whose leaf is in the lots for certain."""
    return list(dict.fromkeys(o.plot for o in trace.origins if o.plot))


def beside_plots(trace: Trace) -> list[str]:
    """Return the codes of further plots whose leaf may have come in by contact."""
    came = (o for each in trace.touched if not each.forward for o in (*each.origins, *each.behind))
    return [plot for plot in dict.fromkeys(o.plot for o in came if o.plot) if plot not in own_plots(trace)]


def plots_sentence(trace: Trace) -> str:
    """Return of how many plots the leaf is, and how many more may have touched it."""
    own, beside = len(own_plots(trace)), len(beside_plots(trace))
    name = trace.lots[0].name
    if not own:
        return _("Nobody knows where the leaf of %(lot)s grew.") % {"lot": name}
    said = ngettext("%(lot)s contains leaf of %(count)s plot", "%(lot)s contains leaf of %(count)s plots", own) % {
        "lot": name, "count": count_word(own)}
    if not beside:
        return _("%(said)s.") % {"said": said}
    return _("%(said)s and may have touched leaf of %(count)s more.") % {"said": said, "count": count_word(beside)}


def packs_sentence(trace: Trace) -> str:
    """Return the packs that hold it for certain, and who has how many of them."""
    certain = [one for one in trace.series if one.tier is Tier.CONTAINS]
    if not certain:
        return ""
    made = capital(listed(count_lines([(one, one.made_count) for one in certain])))
    if not trace.consignments:
        return _("%(packs)s; none of them has left.") % {"packs": made}
    names = len({sent.consignee for sent in trace.consignments})
    return ngettext("%(packs)s; %(count)s consignee was sent %(gone)s.", "%(packs)s; %(count)s consignees were sent %(gone)s.", names) % {
        "packs": made, "count": count_word(names), "gone": listed(sent_lines(trace, trace.consignments))}


def sent_lines(trace: Trace, sent: Iterable[Sent]) -> tuple[str, ...]:
    """Return how many packs of each kind some consignments took."""
    series = {one.series: one for one in trace.series}
    return count_lines([(series[each.series], each.pack_count - each.returned_count) for each in sent])


def touched_packs(trace: Trace) -> str:
    """Return the packs that contact may have reached."""
    may_have = [(one, one.made_count) for one in trace.series if one.tier is Tier.TOUCHED]
    return _("It may have touched %(packs)s.") % {"packs": listed(count_lines(may_have))} if may_have else ""


def found_in(took_s: float) -> str:
    """Return how long the search took."""
    return _("Found in %(seconds)s s.") % {"seconds": decimals(max(took_s, SHORTEST_S))}


# The same in words ---------------------------------------------------------------------------------------------------


def in_words(facts: Traced) -> list[Said]:
    """Return everything that the drawing shows as ruled entries: contains, may have touched, excluded, gone to."""
    trace = facts.trace
    contains = [contains_entry(facts, origin) for origin in trace.origins[:SHOWN_MAX]]
    return [
        *contains, *more_origins(trace), *(touched_entry(trace, each) for each in trace.touched),
        *(excluded_entry(trace, each) for each in trace.excluded), *gone_entries(facts),
    ]


def contains_entry(facts: Traced, origin: OriginShare) -> Said:
    """Return one harvest that is in the lots: plot, share, and the way of its leaf."""
    share = share_text(origin.share_frac)
    if origin.harvest is None or origin.lot is None or origin.plucked_on is None:
        return Said(side=_("Contains"), small=share, what=_("Not known."), sentence=_("No plucking accounts for it."))
    grower = facts.parties.get(origin.grower, "")
    by = _(" by the %(grower)s") % {"grower": grower} if grower else ""
    sentence = _("Plucked %(day)s%(by)s as %(lot)s%(way)s.") % {
        "day": day_text(origin.plucked_on), "by": by, "lot": origin.lot.name, "way": way_words(facts.trace, origin.harvest)}
    return Said(
        side=_("Contains"), small=share, what=_("%(plot)s.") % {"plot": plot_words(origin)}, sentence=sentence,
        href=way("lot", origin.lot.code), do=_("Open its lot book"),
    )


def more_origins(trace: Trace) -> list[Said]:
    """Return the harvests beyond the first few as one entry."""
    rest = trace.origins[SHOWN_MAX:]
    if not rest:
        return []
    said = ngettext("%(count)d more plucking; the table below has it.", "%(count)d more pluckings; the table below has them.", len(rest))
    share = share_text(sum(o.share_frac for o in rest))
    return [Said(side=_("Contains"), small=share, sentence=said % {"count": len(rest)})]


def way_words(trace: Trace, harvest: int) -> str:
    """Return the way from a harvest to the traced lots: "; oven C26-LM1, sorting R26-LM1, stones J26-06"."""
    by_stage: dict[str, list[str]] = defaultdict(list)
    for stop in stops_between(trace, harvest):
        by_stage[stop.stage].append(stop.name)
    named = [_("%(stage)s %(stops)s") % {"stage": small_first(stage_word(stage)), "stops": few(names)} for stage, names in by_stage.items()]
    return _("; then %(way)s") % {"way": _(", ").join(named)} if named else ""


def few(names: Sequence[str]) -> str:
    """Return names in a row, the first few."""
    more = len(names) - NAMED_MAX
    return listed([*names[:NAMED_MAX], _("%(count)d more") % {"count": more}] if more > 0 else list(names))


def stops_between(trace: Trace, harvest: int) -> list[Stop]:
    """Return the stops on recorded ways from a harvest to the stop of the traced lots, that one too, in order of the stages."""
    into: dict[str, set[str]] = defaultdict(set)
    after: dict[str, set[str]] = defaultdict(set)
    for each in trace.ways:
        into[each.target].add(each.source)
        after[each.source].add(each.target)
    start = next((stop.key for stop in trace.stops if harvest in stop.steps), "")
    both = walked(after, start) & (walked(into, trace.own_key) | {trace.own_key})
    return sorted((stop for stop in trace.stops if stop.key in both), key=lambda stop: (stop.column, stop.steps[0]))


def walked(next_keys: dict[str, set[str]], start: str) -> set[str]:
    """Return every key that can be reached from a start."""
    found: set[str] = set()
    waiting = [start]
    while waiting:
        fresh = next_keys[waiting.pop()] - found
        found |= fresh
        waiting.extend(fresh)
    return found


def touched_entry(trace: Trace, each: Touched) -> Said:
    """Return a contact that stands: whose leaf, how much at most, on which machine, between which runs."""
    earlier, later = trace.stop(each.earlier), trace.stop(each.later)
    href, do = stop_way(trace.stop(each.other))
    sentence = _("%(machines)s went from %(earlier)s on %(from)s to %(later)s on %(to)s with no clean-down in the book.") % {
        "machines": capital(machines_said(each.machines)), "earlier": earlier.name, "from": day_text(each.from_at), "later": later.name,
        "to": day_text(each.to_at)}
    return Said(
        side=_("May have touched"), what=_("%(plots)s: %(bound)s.") % {
            "plots": plots_said(each.origins[:NAMED_MAX]), "bound": bound_said(each, earlier if each.forward else later)},
        sentence=paragraph([sentence, estimate_said(each), behind_said(each, trace.stop(each.other))]), href=href, do=do,
    )


def machines_said(machines: Sequence[str]) -> str:
    """Return machines as people call them."""
    return listed([machine_word(code) for code in machines])


def bound_said(each: Touched, ours: Stop) -> str:
    """Return the most that may have gone over, with its part of what our stop made."""
    if each.bound_mg is None or not ours.out_mg or each.forward:
        return bound_words(each.bound_mg)
    return _("%(bound)s, %(share)s of %(lot)s") % {
        "bound": bound_words(each.bound_mg), "share": share_text(each.bound_mg / ours.out_mg), "lot": ours.name}


def estimate_said(each: Touched) -> str:
    """Return what both balances say that went over, where they answer each other."""
    return _("Both balances say %(mass)s.") % {"mass": mass(each.estimate_mg, 2)} if each.estimate_mg is not None else ""


def behind_said(each: Touched, other: Stop) -> str:
    """Return whose leaf may have come to the other stop before."""
    if not each.behind:
        return ""
    plots = list(dict.fromkeys(f"{o.plot} {o.plot_name}" for o in each.behind))
    return _("Before that, leaf of %(plots)s may have touched %(stop)s.") % {"plots": few(plots), "stop": other.name}


def excluded_entry(trace: Trace, each: Excluded) -> Said:
    """Return a stop that clean-downs shut out."""
    href, do = stop_way(trace.stop(each.other))
    machines = machines_said(list(dict.fromkeys(c.machine for c in each.cleaned)))
    days = listed(list(dict.fromkeys(day_text(c.happened_at) for c in each.cleaned)))
    sentence = _("%(other)s was on the same machines as %(ours)s. Opened and cleaned in between: %(machines)s, on %(days)s.") % {
        "other": trace.stop(each.other).name, "ours": trace.stop(each.ours).name, "machines": machines, "days": days}
    what = _("%(plots)s.") % {"plots": plots_said(each.origins[:NAMED_MAX])}
    return Said(side=_("Excluded"), what=what, sentence=sentence, href=href, do=do)


def gone_entries(facts: Traced) -> list[Said]:
    """Return who was sent how many packs, and what is still here."""
    groups: dict[str, list[Sent]] = defaultdict(list)
    for sent in facts.trace.consignments:
        groups[sent.consignee].append(sent)
    return [*(gone_entry(facts, sent) for sent in groups.values()), *here_entries(facts.trace)]


def gone_entry(facts: Traced, sent: Sequence[Sent]) -> Said:
    """Return what one consignee was sent, with days and documents."""
    name = facts.parties.get(sent[0].name) or sent[0].consignee
    days = listed(list(dict.fromkeys(day_text(each.happened_at) for each in sent)))
    documents = list(dict.fromkeys(each.document_no for each in sent if each.document_no))
    by = _(", document %(documents)s") % {"documents": listed(documents)} if documents else ""
    return Said(
        side=_("Gone to"), small=short_day_text(sent[0].happened_at), what=_("%(name)s.") % {"name": name},
        sentence=_("%(packs)s, %(days)s%(by)s.") % {"packs": listed(sent_lines(facts.trace, sent)), "days": days, "by": by},
        href=way("entry", sent[0].entry), do=_("See the entry"),
    )


def here_entries(trace: Trace) -> list[Said]:
    """Return what of it is still here: packs, kept samples, and everything that is not packed."""
    certain = [one for one in trace.series if one.tier is Tier.CONTAINS]
    for_sale = count_lines([(one, one.here_count) for one in certain if not one.retained])
    kept = count_lines([(one, one.here_count) for one in certain if one.retained])
    packed = {one.lot.code for one in certain}
    loose = [here for here in trace.here if here.lot.code not in packed]
    bulk = sum(here.book_mg for here in loose)
    parts = [*for_sale, *(_("%(packs)s kept as samples") % {"packs": packs} for packs in kept)]
    if bulk:
        parts.append(_("%(mass)s not packed: %(lots)s") % {"mass": mass(bulk, 2), "lots": few([here.lot.name for here in loose])})
    said = _("%(what)s.") % {"what": capital(listed(parts))} if parts else _("Nothing of it is here.")
    return [Said(side=_("Gone to"), what=_("Still here."), sentence=said)]

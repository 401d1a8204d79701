"""A trace in words: what it contains, what it may have touched, what is excluded, where it went, what may be said of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.saying import (
    Said,
    capital,
    count_word,
    day_text,
    flush_word,
    listed,
    machine_word,
    paragraph,
    plot_words,
    plots_said,
    share_text,
    short_day_text,
)
from lots.desk.trace_sheet import bound_text
from lots.desk.ways import way
from lots.desk.words import language, mass, material_word
from lots.dossier.words import kind_word
from lots.read.outgoing import Sent, SeriesTrace
from lots.read.trace_records import Excluded, Touched, Trace
from lots.trade.lineage import Tier
from lots.trade.units import number_text, percent_text

RANGES_MAX = 8


def counts_text(counts: Mapping[str, int]) -> str:
    """Return packs by kind: "948 tins and 109 bags"."""
    return listed([f"{number_text(n, 0)} {kind_word(kind, n)}" for kind, n in counts.items() if n])


def by_kind(pairs: Iterable[tuple[SeriesTrace, int]]) -> dict[str, int]:
    """Return counts summed by kind of pack."""
    found: dict[str, int] = defaultdict(int)
    for series, count in pairs:
        found[series.pack] += count
    return dict(found)


# The first sentence --------------------------------------------------------------------------------------------------


def lead(traced: Trace, name: str, seconds: float) -> str:
    """Return the trace in sentences that can be read aloud, and how long it took."""
    return paragraph([plots_sentence(traced, name), packs_sentence(traced), reach_sentence(traced),
                      _("Found in %(seconds)s s.") % {"seconds": number_text(max(seconds, 0.01), 2)}])


def plots_sentence(traced: Trace, name: str) -> str:
    """Return how many plots are in it, and how many more it may have touched."""
    inside = {o.plot for o in traced.origins if o.plot}
    beside = {o.plot for t in traced.touched if not t.forward for o in (*t.origins, *t.behind) if o.plot} - inside
    if not inside:
        return _("%(lot)s: nobody knows where its leaf grew.") % {"lot": name}
    contains = ngettext("%(lot)s contains %(count)s plot", "%(lot)s contains %(count)s plots", len(inside)) % {
        "lot": name, "count": count_word(len(inside))}
    if not beside:
        return _("%(contains)s.") % {"contains": contains}
    return _("%(contains)s and may have touched %(count)s more.") % {"contains": contains, "count": count_word(len(beside))}


def packs_sentence(traced: Trace) -> str:
    """Return how many packs hold it, and who has them."""
    certain = [s for s in traced.series if s.tier is Tier.CONTAINS]
    if not certain:
        return ""
    made = counts_text(by_kind((s, s.made_count) for s in certain))
    held = {s.series: s for s in certain}
    gone = by_kind((held[s.series], s.pack_count - s.returned_count) for s in traced.consignments if s.series in held)
    buyers = len({s.consignee for s in traced.consignments})
    if not buyers:
        return _("%(packs)s; all of them are here.") % {"packs": capital(made)}
    return _("%(packs)s; %(rest)s.") % {"packs": capital(made), "rest": ngettext(
        "%(count)s consignee holds %(gone)s", "%(count)s consignees hold %(gone)s", buyers) % {
            "count": count_word(buyers), "gone": counts_text(gone)}}


def reach_sentence(traced: Trace) -> str:
    """Return which packs may hold something of it by contact alone."""
    beyond = [s for s in traced.series if s.tier is Tier.TOUCHED]
    if not beyond:
        return ""
    names = listed(list(dict.fromkeys(s.lot.name for s in beyond)))
    return _("By contact alone it may be in %(packs)s of %(lots)s.") % {
        "packs": counts_text(by_kind((s, s.made_count) for s in beyond)), "lots": names}


# Tiers ---------------------------------------------------------------------------------------------------------------


def tier_entries(traced: Trace, growers: Mapping[str, str]) -> list[Said]:
    """Return the three tiers as entries."""
    back = sorted((t for t in traced.touched if not t.forward), key=lambda t: -(t.bound_mg or 0))
    forth = [t for t in traced.touched if t.forward]
    return [
        *contains_entries(traced, growers), *(touched_entry(traced, t) for t in back),
        *(gone_over_entry(traced, t) for t in forth), *(excluded_entry(traced, e) for e in traced.excluded),
    ]


def contains_entries(traced: Trace, growers: Mapping[str, str]) -> list[Said]:
    """Return what is in it for certain."""
    found = []
    way_words = path_words(traced)
    for origin in traced.origins:
        if origin.harvest is None or origin.lot is None or origin.plucked_on is None:
            found.append(Said(side=_("Contains"), what=_("Not known: %(share)s.") % {"share": share_text(origin.share_frac)}))
            continue
        grower = growers.get(origin.grower, "")
        by = _(" by the %(grower)s") % {"grower": grower} if grower else ""
        plucked = _("%(flush)s, %(lot)s, plucked %(day)s%(by)s.") % {
            "flush": capital(flush_word(origin.flush_no)), "lot": origin.lot.name, "day": day_text(origin.plucked_on), "by": by}
        share = contained(traced, origin.share_frac)
        found.append(Said(
            side=_("Contains"), what=_("%(plot)s: %(share)s.") % {"plot": plot_words(origin), "share": share},
            sentence=paragraph([plucked, way_words]), href=way("lot", origin.lot.code), do=_("Open its lot book"),
        ))
    return found


def contained(traced: Trace, share_frac: float) -> str:
    """Return a share as it may be said: a range, where contact leaves something open."""
    bound = traced.bound_mg
    if bound == 0 or not traced.dry_mg:
        return share_text(share_frac)
    if bound is None:
        return _("%(share)s as recorded") % {"share": share_text(share_frac)}
    low = share_frac * max(0.0, 1 - bound / traced.dry_mg)
    return _("%(low)s to %(high)s") % {"low": share_text(low), "high": share_text(share_frac)}


def path_words(traced: Trace) -> str:
    """Return the stops of the way where there is one of each: "Through C26-LM1, R26-LM1, J26-06 and S26-06."."""
    stops = [s for s in traced.path if s.stage != "harvest"]
    if not stops or len(traced.origins) > 1:
        return ""
    return _("Through %(stops)s.") % {"stops": listed([s.name for s in stops])}


def touched_entry(traced: Trace, touched: Touched) -> Said:
    """Return what may have come over on a machine."""
    share = ""
    if touched.bound_mg is not None and traced.dry_mg:
        share = _(", %(share)s") % {"share": percent_text(touched.bound_mg / traced.dry_mg, 1, language())}
    behind = _("Behind it, on the same machines before: %(plots)s.") % {
        "plots": plots_said(touched.behind)} if touched.behind else ""
    return Said(
        side=_("May have touched"), what=_("%(plots)s: %(bound)s%(share)s.") % {
            "plots": listed([plot_words(o) for o in touched.origins]), "bound": bound_text(touched), "share": share},
        sentence=paragraph([contact_words(traced, touched), behind]), href=balance_way(traced, touched.earlier),
        do=_("Look at its balance"),
    )


def gone_over_entry(traced: Trace, touched: Touched) -> Said:
    """Return where something of it may have gone over on a machine."""
    return Said(
        side=_("May have gone into"), what=_("%(stop)s: %(bound)s.") % {
            "stop": traced.stop(touched.later).name, "bound": bound_text(touched)},
        sentence=contact_words(traced, touched), href=balance_way(traced, touched.later), do=_("Look at its balance"),
    )


def contact_words(traced: Trace, touched: Touched) -> str:
    """Return how a contact came about."""
    return _("%(later)s came after %(earlier)s on %(machines)s; no opened clean-down stands between %(from)s and %(to)s.") % {
        "later": traced.stop(touched.later).name, "earlier": traced.stop(touched.earlier).name,
        "machines": listed([machine_word(m)[:1].lower() + machine_word(m)[1:] if m.startswith("SP") else m for m in touched.machines]),
        "from": day_text(touched.from_at), "to": day_text(touched.to_at)}


def balance_way(traced: Trace, key: str) -> str:
    """Return where the balance of a stop stands."""
    return way("balance-node", traced.stop(key).runs[0])


def excluded_entry(traced: Trace, excluded: Excluded) -> Said:
    """Return what was looked at and shut out, with the clean-downs that do it."""
    machines = listed([machine_word(m) for m in dict.fromkeys(c.machine for c in excluded.cleaned)])
    days = listed(list(dict.fromkeys(day_text(c.happened_at) for c in excluded.cleaned)))
    return Said(
        side=_("Excluded"), what=_("%(plots)s.") % {"plots": listed([plot_words(o) for o in excluded.origins])},
        sentence=_("%(stop)s ran on the same machines; opened and cleaned: %(machines)s, %(days)s.") % {
            "stop": traced.stop(excluded.other).name, "machines": machines, "days": days},
        href=way("entry", excluded.cleaned[0].entry) if excluded.cleaned else "", do=_("See the clean-down"),
    )


# Gone to -------------------------------------------------------------------------------------------------------------


def gone_entries(traced: Trace, names: Mapping[str, str]) -> list[Said]:
    """Return who has packs of it, with telephone, delivery note and numbers; then what is here."""
    series = {s.series: s for s in traced.series}
    groups: dict[tuple[str, int], list[Sent]] = defaultdict(list)
    for sent in traced.consignments:
        groups[sent.consignee, sent.step].append(sent)
    return [*(gone_entry(sent, series, names) for sent in groups.values()), *here_entries(traced)]


def gone_entry(sent: Sequence[Sent], series: Mapping[int, SeriesTrace], names: Mapping[str, str]) -> Said:
    """Return what one consignee got with one document."""
    first = sent[0]
    counts = counts_text(by_kind((series[s.series], s.pack_count - s.returned_count) for s in sent))
    ranges = [_("%(kind)s %(first)d to %(last)d") % {
        "kind": kind_word(series[s.series].pack, 2), "first": s.first_no, "last": s.last_no}
        for s in sent if s.first_no is not None and s.last_no is not None]
    numbers = _("Numbers: %(ranges)s.") % {"ranges": "; ".join(ranges[:RANGES_MAX])} if ranges else ""
    loose = _("Numbers were not written down for all: it may be any of the series.") if len(ranges) < len(sent) else ""
    contact = names.get(first.contact, "") if first.contact != first.name else ""
    return Said(
        side=short_day_text(first.happened_at), what=_("%(name)s, %(packs)s.") % {
            "name": names.get(first.name) or _("consignee %(code)s, name erased") % {"code": first.consignee}, "packs": counts},
        sentence=paragraph([
            numbers, loose, _("Delivery note %(number)s.") % {"number": first.document_no} if first.document_no else "",
            _("Contact: %(contact)s.") % {"contact": contact.rstrip(".")} if contact else "",
        ]), href=way("entry", first.entry), do=_("See the entry"),
    )


def here_entries(traced: Trace) -> list[Said]:
    """Return what is still here: packs, samples, leaf and powder."""
    certain = [s for s in traced.series if s.tier is Tier.CONTAINS]
    sold = counts_text(by_kind((s, s.here_count) for s in certain if not s.retained))
    kept = counts_text(by_kind((s, s.here_count) for s in certain if s.retained))
    lots = {s.lot.code for s in certain}
    bulk = [h for h in traced.here if h.lot.code not in lots]
    loose = [_("%(mass)s of %(material)s in %(lot)s") % {
        "mass": mass(h.book_mg), "material": material_word(h.lot.material), "lot": h.lot.name} for h in bulk[:RANGES_MAX]]
    more = len(bulk) - len(loose)
    more_words = ngettext("%(count)d more lot", "%(count)d more lots", more) % {"count": more} if more > 0 else ""
    packs = [p for p in (sold, _("%(packs)s kept as samples") % {"packs": kept} if kept else "") if p]
    rest = [p for p in (*loose, more_words) if p]
    said = [_("%(what)s.") % {"what": capital(_("; ").join(parts))} for parts in (packs, rest) if parts]
    if not said:
        return []
    return [Said(side=_("here"), what=_("Still here."), sentence=paragraph(said))]

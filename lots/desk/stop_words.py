"""A stop on the way of leaf in words: what was made there, of what, when, and where its page is."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.desk.saying import Said, short_day_text
from lots.desk.ways import way
from lots.desk.words import mass, material_word, stage_word
from lots.read.stops import Stop


def stop_name(stop: Stop) -> str:
    """Return what people call a stop, with its material where one lot alone stands for it."""
    if len(stop.lots) == 1:
        return _("%(lot)s, %(material)s") % {"lot": stop.name, "material": material_word(stop.lots[0].material)}
    return stop.name


def stop_days(stop: Stop) -> str:
    """Return when a stop was: a day, or from one day to another."""
    first, last = short_day_text(stop.first_at), short_day_text(stop.last_at)
    return first if first == last else _("%(first)s to %(last)s") % {"first": first, "last": last}


def stop_sentence(stop: Stop) -> str:
    """Return what a stop made: "48 tubs on 6 pairs, 42.25 kg"."""
    if stop.stage == "milling":
        tubs = sum(1 for lot in stop.lots if lot.material == "tub_powder")
        on = ngettext("%(count)d pair", "%(count)d pairs", len(stop.machines)) % {"count": len(stop.machines)}
        made = ngettext("%(count)d tub", "%(count)d tubs", tubs) % {"count": tubs}
        return _("%(tubs)s on %(pairs)s, %(mass)s.") % {"tubs": made, "pairs": on, "mass": mass(stop.out_mg)}
    if stop.aperture_um:
        return _("%(mass)s through %(width)s µm.") % {"mass": mass(stop.out_mg), "width": stop.aperture_um}
    return _("%(mass)s.") % {"mass": mass(stop.out_mg)}


def stop_way(stop: Stop) -> tuple[str, str]:
    """Return where a stop leads: to its lot where it made one, else to its balance."""
    if len(stop.lots) == 1:
        return way("lot", stop.lots[0].code), _("Open its lot book")
    if stop.stage == "milling":
        return way("balance-node", stop.runs[0]), _("Does it add up?")
    return (way("lot", stop.lots[0].code), _("Open its lot book")) if stop.lots else (way("entry", stop.entry), _("See the entry"))


def stop_entry(stop: Stop) -> Said:
    """Return a stop as a ruled entry."""
    href, do = stop_way(stop)
    return Said(
        what=_("%(what)s.") % {"what": stop_name(stop)}, sentence=stop_sentence(stop), side=stage_word(stop.stage),
        small=stop_days(stop), href=href, do=do,
    )

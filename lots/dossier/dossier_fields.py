"""The chapters on the fields: where the leaf grew, when it was plucked and shaded, what was put on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.dossier import words
from lots.dossier.eyes import Eyes
from lots.read.lot_fields import HarvestField, Treatment
from lots.read.origins import OriginShare
from lots.trade.units import days_text, number_text, percent_text


@dataclass(frozen=True, slots=True)
class OriginRow:
    """One harvest as printed."""

    share: str
    plot: str
    about: str
    cultivar: str
    plucked: str
    shaded: str
    grower: str


def plucked_words(field: HarvestField) -> str:
    """Return when a harvest was plucked, and how long it was shaded."""
    on = words.day(field.share.plucked_on) if field.share.plucked_on else ""
    said = _("%(day)s, flush %(number)s") % {"day": on, "number": field.share.flush_no}
    return f"{said}{_(', ')}{shaded_words(field)}"


def shaded_words(field: HarvestField) -> str:
    """Return how a harvest was shaded."""
    if field.shade is None:
        return _("no shading in the book")
    return _("shaded %(days)s from %(day)s") % {
        "days": days_text(field.shade.covered_days, words.language()), "day": field.shade.covered_on.isoformat(),
    }


def full_shade_words(field: HarvestField) -> str:
    """Return how a harvest was shaded, with layers and the share of light that the cover keeps away."""
    parts = [shaded_words(field)]
    if field.shade and len(field.shade.layer_days) > 1:
        parts += [layer_words(layers, days) for layers, days in field.shade.layer_days]
    elif field.layer_count:
        parts.append(ngettext("%(count)s layer", "%(count)s layers", field.layer_count) % {"count": field.layer_count})
    if field.shade and field.shade.gap_days:
        parts.append(_("off in between for %(days)s") % {"days": days_text(field.shade.gap_days, words.language())})
    if field.shade_frac is not None:
        parts.append(_("%(share)s of the light kept away") % {"share": percent_text(field.shade_frac, 0, words.language())})
    return _(", ").join(parts)


def layer_words(layers: int, days: int) -> str:
    """Return how long so many layers lay: "20 days under 2 layers"."""
    under = ngettext("%(days)s under %(count)s layer", "%(days)s under %(count)s layers", layers)
    return under % {"days": days_text(days, words.language()), "count": layers}


def tank_words(each: Treatment) -> tuple[str, str]:
    """Return the water of a treatment and the badge of the hand that put it on."""
    water = "" if each.water_l_per_10_a is None else _("%(water)s l of water per 10 a") % {"water": f"{each.water_l_per_10_a:g}"}
    return water, _("by badge %(badge)s") % {"badge": each.badge} if each.badge else ""


class Fields:
    """The harvests of one lot for one reader."""

    def __init__(self, fields: tuple[HarvestField, ...], origins: Sequence[OriginShare], eyes: Eyes) -> None:
        self.fields, self.shares, self.eyes = fields, origins, eyes

    @property
    def origins(self) -> list[OriginRow]:
        """The harvests in the lot."""
        return [self.origin_row(field) for field in self.fields]

    def origin_row(self, field: HarvestField) -> OriginRow:
        """Return one harvest."""
        share, seen = field.share, self.eyes.sees_plot(field.share.plot)
        about = [words.state_word(share.state)]
        if seen:
            about += [_("%(area)s a") % {"area": number_text(field.area_a, 1)}]
            about += [_("%(height)s m up") % {"height": field.altitude_m}] if field.altitude_m else []
            about += [_("planted %(year)s") % {"year": field.planted_year}] if field.planted_year else []
        about += [place] if (place := self.eyes.place_words(field)) else []
        named = self.eyes.cultivar(share) + (_(" (registered %(what)s)") % {"what": field.registered_as} if field.registered_as else "")
        return OriginRow(
            percent_text(share.share_frac, 2, words.language()), self.eyes.plot_words(share), _(", ").join(about), named,
            _("%(day)s, flush %(number)s, lot %(lot)s, %(mass)s") % {
                "day": words.day(share.plucked_on) if share.plucked_on else "", "number": share.flush_no,
                "lot": share.lot.name if share.lot else "", "mass": words.mass(share.fresh_mg),
            }, full_shade_words(field), self.eyes.grower_words(field),
        )

    @property
    def unknown(self) -> str:
        """The share that no harvest accounts for, where there is one."""
        share = sum(o.share_frac for o in self.shares if o.harvest is None)
        return percent_text(share, 2, words.language()) if share else ""

    @property
    def treatments(self) -> list[dict[str, str]]:
        """The treatments of every field in the lot."""
        return [self.treatment_row(field, each) for field in self.fields for each in field.treatments]

    def treatment_row(self, field: HarvestField, each: Treatment) -> dict[str, str]:
        """Return one treatment with its interval."""
        kept = _("%(days)s passed, %(asked)s were to pass: kept") if each.kept else _("%(days)s passed, %(asked)s were to pass: not kept")
        return {
            "plot": self.eyes.plot_words(field.share), "day": words.day(each.applied_on), "product": each.product,
            "what": _(", ").join(part for part in (each.substance, each.dose, *tank_words(each)) if part),
            "kept": kept % {"days": days_text(each.kept_days, words.language()), "asked": days_text(each.interval_days, words.language())},
            "entry": words.count(each.entry),
        }

    @property
    def untreated(self) -> list[str]:
        """The plots without a treatment in the book."""
        return list(dict.fromkeys(self.eyes.plot_words(f.share) for f in self.fields if not f.treatments))

"""Sentences of a pack's page, from what the maker discloses. No claim stands here that the ledger does not carry."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from lots.read.pack_pages import PackPage
from lots.trade.units import date_text, g_text, kg_text, month_text, percent_text


@dataclass(frozen=True, slots=True)
class PackWords:
    """Everything that the page says of one pack, in one language."""

    page: PackPage
    language: str
    today_on: dt.date

    @property
    def origins(self) -> list[dict[str, Any]]:
        """The harvests in the pack, largest share first."""
        return list(self.page.facts["origins"])

    def cultivar(self, origin: dict[str, Any]) -> str:
        """A cultivar's name in the page's language."""
        return str((origin["cultivar_ja"] if self.language.startswith("ja") else "") or origin["cultivar"])

    @property
    def title(self) -> str:
        """What the pack is and when it was milled; what it is made of stands below, as the book records it."""
        ground = self.page.facts["milled"].get("last_on")
        if not ground:
            return _("Powdered green tea")
        return _("Milled on stone in %(month)s") % {"month": month_text(dt.date.fromisoformat(ground), self.language)}

    @property
    def lead(self) -> str:
        """Where the leaf grew, as far as it is disclosed."""
        return " ".join(self.origin_sentence(o) for o in self.origins[:4]) or _("Where the leaf grew is not in the book.")

    def origin_sentence(self, origin: dict[str, Any]) -> str:
        """One harvest as a sentence."""
        if not origin["plot"]:
            told = _("%(cultivar)s from the %(valley)s.") if origin["valley"] else _("%(cultivar)s.")
            return told % {"cultivar": self.cultivar(origin), "valley": origin["valley"]}
        told = _("%(cultivar)s from %(plot)s, %(height)d m up the %(valley)s.") if origin["altitude_m"] and origin["valley"] else _(
            "%(cultivar)s from %(plot)s."
        )
        return told % {
            "cultivar": self.cultivar(origin), "plot": origin["plot"], "height": origin["altitude_m"] or 0, "valley": origin["valley"],
        }

    @property
    def growers(self) -> str:
        """Who grew it, where they agreed to be named."""
        return _("Grown by the %(names)s.") % {"names": ", ".join(self.page.growers)} if self.page.growers else ""

    @property
    def way(self) -> list[tuple[str, str]]:
        """The pack's way here, as pairs of words."""
        pairs = [pair for o in self.origins[:4] for pair in self.field_pairs(o)]
        return [*pairs, *self.mill_pairs()]

    def field_pairs(self, origin: dict[str, Any]) -> list[tuple[str, str]]:
        """What happened in the field."""
        plucked = dt.date.fromisoformat(origin["plucked_on"])
        when = date_text(plucked, self.language) if origin["plot"] else month_text(plucked, self.language)
        flush = _("%(when)s, flush %(number)d") % {"when": when, "number": origin["flush_no"]}
        pairs = [(_("Plucked"), flush)]
        if origin["shaded_days"]:
            shaded = ngettext("%(count)d day", "%(count)d days", origin["shaded_days"]) % {"count": origin["shaded_days"]}
            pairs.insert(0, (_("Shaded"), shaded))
        if len(self.origins) > 1:
            pairs.insert(0, (origin["plot"] or self.cultivar(origin), percent_text(origin["share_frac"], 1, self.language)))
        return pairs

    def mill_pairs(self) -> list[tuple[str, str]]:
        """What happened in the mill."""
        facts, pairs = self.page.facts, []
        ground = facts["milled"]
        if ground:
            first, last = (date_text(dt.date.fromisoformat(ground[k]), self.language) for k in ("first_on", "last_on"))
            stones = ngettext("one stone pair", "%(count)d stone pairs", ground["pair_count"]) % {"count": ground["pair_count"]}
            pairs.append((_("Milled"), _("%(first)s to %(last)s, %(stones)s") % {"first": first, "last": last, "stones": stones}))
        packed = date_text(dt.date.fromisoformat(facts["packed_on"]), self.language)
        net = g_text(facts["net_mg"], 0, self.language) if facts["net_mg"] < 1_000_000 else kg_text(facts["net_mg"], 1, self.language)
        run = facts["maker_ref"] or facts["lot"]
        pairs.append((_("Packed"), _("%(day)s, run %(run)s, %(net)s") % {"day": packed, "run": run, "net": net}))
        return pairs

    @property
    def best_before(self) -> str:
        """The day up to which it keeps."""
        return date_text(self.page.best_before_on, self.language)

    @property
    def is_past(self) -> bool:
        """Whether that day has passed."""
        return self.page.best_before_on < self.today_on

    @property
    def product(self) -> str:
        """The product's name in the page's language."""
        facts = self.page.facts
        return str((facts["product_ja"] if self.language.startswith("ja") else "") or facts["product"])

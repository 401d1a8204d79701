"""Where the book ends, in words: suppliers, older paper, what crossed the door for hire."""

from __future__ import annotations

from django.utils.translation import gettext as _

from lots.desk.goods_words import count_words, state_said
from lots.desk.saying import Said, day_text, paragraph
from lots.desk.ways import way
from lots.desk.words import mass, printed
from lots.models import Lot
from lots.read.outside import Bulk, Outside, gone_in_bulk, outside_of


def outside_entries(lot: Lot) -> list[Said]:
    """Return the deliveries and old stock in a lot."""
    return [outside_entry(one) for one in outside_of(lot.step_id)]


def outside_entry(one: Outside) -> Said:
    """Return one delivery, or one lot from before the book."""
    told = _("It tells: %(words)s.") % {"words": one.told.rstrip(".")} if one.told else ""
    paper = _("Paper %(number)s.") % {"number": one.paper}
    side, href = day_text(one.at)[:10], way("entry", one.entry)
    if not one.party:
        sold = ""
        if one.sold_count:
            words = {"count": count_words(one.sold_count), "to": one.sold_to or _("a name that was erased")}
            sold = _("Packs sold before: %(count)s, to %(to)s.") % words
        what = _("%(lot)s, from before the book.") % {"lot": one.lot.name}
        return Said(what=what, sentence=paragraph([paper, told, sold]), side=side, href=href, do=_("Open the entry"))
    what = _("%(party)s, their lot %(code)s.") % {"party": one.party, "code": printed(one.code)}
    came = _("Came in as %(lot)s, %(state)s.") % {"lot": one.lot.name, "state": state_said(one.state)}
    return Said(what=what, sentence=paragraph([came, paper, told]), side=side, href=href, do=_("Open the entry"))


def bulk_entries(lot: Lot) -> list[Said]:
    """Return where a lot went across the door for hire."""
    return [bulk_entry(one) for one in gone_in_bulk([lot.code])]


def bulk_entry(one: Bulk) -> Said:
    """Return one move across the door."""
    sentence = _("%(mass)s in bulk, paper %(paper)s.") % {"mass": mass(one.mass_mg), "paper": one.paper}
    return Said(
        what=_("%(name)s.") % {"name": one.party.rstrip(".")}, sentence=sentence, side=day_text(one.at)[:10], href=way("entry", one.entry),
        do=_("Open the entry"),
    )

"""Cold shelves: what stands where, and two scans to put a lot there or take it off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_safe

from lots.desk.access import may
from lots.desk.forms.house import PutForm, TakeForm
from lots.desk.recorded import Line, step_line
from lots.desk.recording import ActView
from lots.desk.saying import Said, day_text
from lots.desk.scanned import code_in, lot_code, told, told_thing
from lots.desk.tables.base import CodeColumn, DayColumn, KgColumn, LedgerTable, WordColumn
from lots.desk.words import mass, material_word, printed
from lots.models import Place, Shelving
from lots.read.names import lot_name
from lots.read.places import Standing, last_counts, shelves, standing
from lots.read.recent import recent
from lots.record import shelving
from lots.record.acts import Act, Receipt
from lots.trade.units import number_text

PAGES = ("shelving-put", "shelving-take", "counting-place", "shelving-out")


class StandingTable(LedgerTable):
    """What stands on which shelf."""

    place = WordColumn(verbose_name=gettext_lazy("Shelf"))
    name = CodeColumn(verbose_name=gettext_lazy("Lot"), linkify=lambda record: reverse("lot", args=[record.lot.code]))
    what = WordColumn(verbose_name=gettext_lazy("What it is"), orderable=False)
    since_at = DayColumn(verbose_name=gettext_lazy("Since"))
    book_mg = KgColumn(places=2, verbose_name=gettext_lazy("kg in the book"))

    def render_what(self, record: Any) -> str:
        """Return the material in words."""
        return material_word(record.lot.material)


@require_safe
def board(request: HttpRequest) -> HttpResponse:
    """Show the shelves with what stands on each, all of it or what a search finds."""
    asked = request.GET.get("code", "").strip()
    rows = [row for row in standing() if matches(row, asked)]
    table = StandingTable([Row(row) for row in rows], order_by=request.GET.get("sort", "place"))
    table.caption = _("What stands where")
    context = {page.replace("-", "_"): may(request.user, page) for page in PAGES}
    return render(request, "desk/shelving.html", {
        "table": table if rows else None, "asked": asked, "lead": lead(rows, asked),
        "shelves": [] if asked else shelf_entries(request, rows), **context,
    })


class Row:
    """A standing lot as the table reads it."""

    def __init__(self, row: Standing) -> None:
        self.lot, self.place, self.since_at, self.book_mg = row.lot, row.place, row.since_at, row.book_mg
        self.name = self.what = row.lot.name


def matches(row: Standing, asked: str) -> bool:
    """Tell whether a search names a shelf, a lot or a material."""
    wanted = asked.lower()
    words = (row.place, row.lot.name, row.lot.code, printed(row.lot.code), material_word(row.lot.material))
    return not wanted or any(wanted in word.lower() for word in words)


def lead(rows: Sequence[Standing], asked: str) -> str:
    """Return how much stands there."""
    if not rows:
        return _("Nothing stands there by the book.") if asked else _("No lot has been put on a shelf yet.")
    count = ngettext("%(count)s lot", "%(count)s lots", len(rows)) % {"count": number_text(len(rows), 0)}
    return _("%(lots)s on the shelves, %(mass)s.") % {"lots": count, "mass": mass(sum(row.book_mg for row in rows))}


def shelf_entries(request: HttpRequest, rows: Sequence[Standing]) -> list[Said]:
    """Return the shelves, each with what stands there and when it was counted."""
    counted, counts = last_counts(), may(request.user, "counting-place")
    found = []
    for place in shelves():
        here = [row for row in rows if row.place == place.code]
        lots = ngettext("%(count)s lot", "%(count)s lots", len(here)) % {"count": number_text(len(here), 0)}
        when = _("counted on %(day)s") % {"day": day_text(counted[place.code])} if place.code in counted else _("not counted yet")
        found.append(Said(
            what=f"{place_words(place)}.", sentence=_("%(lots)s, %(when)s.") % {"lots": lots, "when": when},
            side=mass(sum(row.book_mg for row in here)) if here else _("empty"),
            href=f"{reverse('counting-place')}?place={place.code}" if counts else "", do=_("Count it") if counts else "",
        ))
    return found


def place_words(place: Place) -> str:
    """Return a shelf in words: "A1, cold room 1, cold"."""
    words = [place.code, place.site, place.room, _("cold") if place.cold else _("not cold")]
    return _(", ").join(word for word in words if word)


class PutView(ActView):
    """Put a lot on a shelf."""

    form_class = PutForm
    template_name = "desk/shelving_put.html"
    page = "shelving-put"
    door = "shelving"

    def write(self, act: Act, form: PutForm) -> Receipt:
        """Write where it stands."""
        facts = form.cleaned_data
        return shelving.put(act, lot=lot_code(facts["lot"]), place=code_in(Place, facts["place"]), happened_at=facts["happened_at"])

    def said(self, receipt: Receipt, _form: Any) -> str:
        """Return where the lot stands now."""
        row = Shelving.objects.select_related("lot", "place").get(pk=receipt.step)
        return _("%(lot)s stands on shelf %(place)s.") % {"lot": lot_name(row.lot).name, "place": row.place.code}

    def so_far(self, _form: Any, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which lot and which shelf it is."""
        unknown = _("No shelf %(code)s is in the register.")
        return {"reads": {"lot": told(facts.get("lot")), "place": told_thing(Place, facts.get("place"), unknown)}}

    def context(self) -> dict[str, Any]:
        """Return what was just put and taken."""
        steps = recent("shelving")
        rows = Shelving.objects.select_related("lot", "place").in_bulk([step.step for step in steps])
        return {"recorded": [shelving_line(step, rows[step.step]) for step in steps]}


class TakeView(PutView):
    """Take a lot off a shelf."""

    form_class = TakeForm
    template_name = "desk/shelving_take.html"
    page = "shelving-take"

    def write(self, act: Act, form: PutForm) -> Receipt:
        """Write from where it was taken."""
        facts = form.cleaned_data
        return shelving.take(act, lot=lot_code(facts["lot"]), place=code_in(Place, facts["place"]), happened_at=facts["happened_at"])

    def said(self, receipt: Receipt, _form: Any) -> str:
        """Return what was taken."""
        row = Shelving.objects.select_related("lot", "place").get(pk=receipt.step)
        return _("%(lot)s was taken off shelf %(place)s.") % {"lot": lot_name(row.lot).name, "place": row.place.code}


def shelving_line(step: Any, row: Shelving) -> Line:
    """Return one scan as an entry."""
    words = {"lot": lot_name(row.lot).name, "place": row.place.code}
    said = _("On shelf %(place)s.") if step.part == "put" else _("Off shelf %(place)s.")
    return step_line(step, _("%(lot)s.") % words, said % words)

"""Goods in at the door: leaf and powder that were bought or come for hire, packaging, and what is sent away."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from lots.desk.forms.goods import AcceptForm, PackagingForm, RefuseForm
from lots.desk.forms.plain import Answers
from lots.desk.forms.registers import choices_of
from lots.desk.forms.weighing import wet
from lots.desk.goods_words import count_words, delivery_line, packaging_lines, state_said
from lots.desk.recording import ActView
from lots.desk.weighed import COARSE, WeighedView, hint_masses, hint_moisture
from lots.desk.words import joined, material_word, printed
from lots.models import Hold, PackagingItem, PackagingLot, Party
from lots.read.receiving import deliveries, standing_certificate
from lots.read.recent import last_time, recent
from lots.read.registers import in_force
from lots.record import receiving
from lots.record.acts import Act, Receipt

LAST, LAST_PACKAGING = 5, 12
SUPPLIES = frozenset({"supplier", "refiner", "grower", "owner"})


def parties(roles: frozenset[str] = frozenset()) -> Answers:
    """Return the parties with one of some roles, or everybody where nobody has one of them."""
    rows = list(in_force(Party))
    return Answers(choices_of([row for row in rows if roles & set(row.roles.split())] or (rows if roles else [])))


def owners() -> Answers:
    """Return those who let goods be milled for hire."""
    return Answers(choices_of([row for row in in_force(Party) if "owner" in row.roles.split()]))


class AcceptView(WeighedView):
    """A delivery of leaf or powder."""

    form_class = AcceptForm
    template_name = "desk/receiving.html"
    page = "receiving"
    door = "today"
    usual_scale = {"scale": COARSE}
    links = ("supplier", "material", "owner")

    def options(self) -> dict[str, Any]:
        """Return who supplies, who carries, who owns."""
        carriers = Answers(choices_of([row for row in in_force(Party) if "carrier" in row.roles.split()]))
        return {**super().options(), "suppliers": parties(SUPPLIES), "carriers": carriers, "owners": owners()}

    def dress(self, form: AcceptForm) -> None:
        """Show the last delivery beside the fields."""
        last = last_time("receiving", "accept")
        if last is not None and last.lines:
            hint_masses(form, last, {"weighed_mg": last.lines[0].role})
            hint_moisture(form, last, "moisture", last.lines[0].role)

    def write(self, act: Act, form: AcceptForm) -> Receipt:
        """Take the goods in."""
        facts = form.cleaned_data
        return receiving.accept(
            act, supplier=facts["supplier"], material=facts["material"], weighed=form.weight("weighed_mg"), paper=form.paper,
            supplier_lot=facts["supplier_lot"], moisture=wet(facts["moisture"]), state=facts["state"], origin=facts["origin"],
            carrier=facts.get("carrier") or "", hold_why=facts["hold_why"], owner=facts.get("owner") or "",
            happened_at=facts["happened_at"], maker_ref=facts["maker_ref"],
        )

    def said(self, receipt: Receipt, form: AcceptForm) -> str:
        """Return the read-back."""
        return _("%(mass)s of %(material)s from %(party)s, %(state)s: lot %(lot)s.") % {
            "mass": form.said("weighed_mg"), "material": material_word(form.cleaned_data["material"]),
            "party": form.cleaned_data["supplier"], "state": state_said(form.cleaned_data["state"]), "lot": printed(receipt.lots[0]),
        }

    def more(self, receipt: Receipt, form: AcceptForm) -> str:
        """Say what code it got, and that it is held."""
        assigned = "" if form.cleaned_data["supplier_lot"] else _("No lot of the supplier came with it: ours stands for both.")
        held = _("It is held at once.") if Hold.objects.filter(entry=receipt.seq).exists() else ""
        return joined((assigned, held))

    def so_far(self, _form: AcceptForm, facts: dict[str, Any]) -> dict[str, Any]:
        """Say which certificate covers what is typed."""
        state, party, material = (facts.get(name) or "" for name in ("state", "supplier", "material"))
        if not (party and material) or state in {"", "conventional"}:
            return {}
        at = facts.get("happened_at") or timezone.now()
        found = standing_certificate(party, state, material, timezone.localtime(at).date())
        if found is None:
            return {"say": _("No certificate of %(party)s covers this on that day.") % {"party": party}}
        words = {"number": found.number, "issuer": found.issuer, "day": found.holds_until_on}
        return {"say": _("Certificate %(number)s of %(issuer)s covers it until %(day)s.") % words}

    def context(self) -> dict[str, Any]:
        """Return the last deliveries."""
        return {"recorded": [delivery_line(one) for one in deliveries(LAST)]}


class RefuseView(ActView):
    """Goods that are sent away."""

    form_class = RefuseForm
    template_name = "desk/receiving_refuse.html"
    page = "receiving-refuse"
    door = "receiving"
    has_live = False

    def options(self) -> dict[str, Any]:
        """Return who supplies."""
        return {"suppliers": parties(SUPPLIES)}

    def write(self, act: Act, form: RefuseForm) -> Receipt:
        """Write it down."""
        facts = form.cleaned_data
        return receiving.refuse(
            act, supplier=facts["supplier"], material=facts["material"], paper_no=facts["paper_no"], why=facts["why"],
            supplier_lot=facts["supplier_lot"], stated_mg=facts["stated_mg"], happened_at=facts["happened_at"],
        )

    def said(self, _receipt: Receipt, form: RefuseForm) -> str:
        """Return what was sent away."""
        words = {"material": material_word(form.cleaned_data["material"]), "party": form.cleaned_data["supplier"]}
        return _("The %(material)s of %(party)s was sent away: nothing of it is in the house.") % words

    def after(self, _receipt: Receipt, _form: RefuseForm) -> str:
        """Back to the door."""
        return reverse("receiving")


class PackagingView(ActView):
    """A delivery of packaging."""

    form_class = PackagingForm
    template_name = "desk/receiving_packaging.html"
    page = "receiving-packaging"
    door = "receiving"
    has_live = False

    def options(self) -> dict[str, Any]:
        """Return what packaging the house knows, and who supplies."""
        return {"items": Answers(choices_of(list(in_force(PackagingItem)))), "suppliers": parties(SUPPLIES)}

    def write(self, act: Act, form: PackagingForm) -> Receipt:
        """Take it in."""
        facts = form.cleaned_data
        return receiving.packaging(
            act, item=facts["item"], supplier=facts["supplier"], counted_count=facts["counted_count"], paper=form.paper,
            supplier_lot=facts["supplier_lot"], stated_count=facts["stated_count"], happened_at=facts["happened_at"],
        )

    def said(self, receipt: Receipt, _form: PackagingForm) -> str:
        """Return what came, and what its label says from now on."""
        row = PackagingLot.objects.select_related("item").get(step=receipt.step)
        return _("%(count)s of %(what)s: packaging lot %(code)s.") % {
            "count": count_words(row.counted_count), "what": row.item.name, "code": printed(row.code),
        }

    def more(self, receipt: Receipt, _form: PackagingForm) -> str:
        """Say that the house gave the code."""
        given = PackagingLot.objects.filter(step=receipt.step, lot_assigned=True).exists()
        return _("No lot of the supplier came with it: write this code on the parcels.") if given else ""

    def context(self) -> dict[str, Any]:
        """Return the packaging of the house with what is left of it."""
        return {"recorded": packaging_lines(recent("receiving", ("packaging",), LAST_PACKAGING))}

"""What is sold: cases that were closed and opened again, orders, packs that came back and what became of them."""

from __future__ import annotations

from django.db import models

from lots.models.fields import SealedField
from lots.models.stages import Detail


class SalesCase(Detail):
    """A case that was closed under its own code; what lies in it stands in `CasePart`. All its packs are of one series."""

    code = models.CharField(max_length=16, unique=True)
    sales_unit = models.ForeignKey("lots.SalesUnit", models.PROTECT, related_name="cases")
    unit = models.ForeignKey("lots.PackedUnit", models.PROTECT, related_name="cases")
    pack_count = models.IntegerField()

    class Meta:
        """Cases."""

        db_table = "sales_case"


class CaseOpening(Detail):
    """A case was opened again: its packs, or the smaller cases in it, stand alone from then on."""

    case = models.ForeignKey("lots.Step", models.PROTECT, related_name="openings")
    why = models.CharField(max_length=200)

    class Meta:
        """Cases opened again."""

        db_table = "case_opening"


class SalesOrder(Detail):
    """Packs that somebody ordered; the lines stand in `OrderLine`. ``bill_to`` None: who receives it pays."""

    code = models.CharField(max_length=16, unique=True)
    ship_to = models.ForeignKey("lots.Party", models.PROTECT, related_name="orders")
    bill_to = models.ForeignKey("lots.Party", models.PROTECT, null=True, related_name="orders_paid")
    wanted_on = models.DateField(null=True)
    reference = models.CharField(max_length=40, blank=True)
    market = models.CharField(max_length=60, blank=True)

    class Meta:
        """Orders."""

        db_table = "sales_order"


class OrderCancel(Detail):
    """What an order still asked for is not wanted any more."""

    order = models.ForeignKey("lots.Step", models.PROTECT, related_name="cancels")
    why = models.CharField(max_length=200)

    class Meta:
        """Orders that were cancelled."""

        db_table = "order_cancel"


class PackReturn(Detail):
    """Packs of one consignment that came back; they wait for the word of quality, which is a `ReturnFate`."""

    class State(models.TextChoices):
        """How they came."""

        UNOPENED = "unopened"
        OPENED = "opened"
        DAMAGED = "damaged"

    consignment = models.ForeignKey("lots.Step", models.PROTECT, related_name="returns")
    sender = SealedField()
    why = models.CharField(max_length=200)
    state = models.CharField(max_length=10, choices=State.choices)

    class Meta:
        """Returns."""

        db_table = "pack_return"


class ReturnFate(Detail):
    """What became later of packs that came back: in stock again by the word of quality, or destroyed before a witness."""

    class Fate(models.TextChoices):
        """The two ends."""

        STOCK = "in stock"
        DESTROYED = "destroyed"

    returned = models.ForeignKey("lots.Step", models.PROTECT, related_name="return_fates")
    fate = models.CharField(max_length=10, choices=Fate.choices)
    why = models.CharField(max_length=200)
    witness = models.ForeignKey("lots.Staff", models.PROTECT, null=True, related_name="+")
    evidence = models.CharField(max_length=200, blank=True)

    class Meta:
        """Ends of returns."""

        db_table = "return_fate"

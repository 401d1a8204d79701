"""Rows beside what is sold: the register of sales units, what lies in a case, what an order asks, persons forgotten."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from lots.models.registers import Register, once


class SalesUnit(Register):
    """A unit that is sold as one: so many of a smaller unit, or at the bottom so many packs of a product (the recorder asks
    for one of the two)."""

    name = models.CharField(max_length=80)
    name_ja = models.CharField(max_length=80, blank=True)
    product = models.ForeignKey("lots.Product", models.PROTECT, null=True, related_name="sales_units")
    holds = models.ForeignKey("self", models.PROTECT, null=True, related_name="held_by")
    held_count = models.IntegerField()

    class Meta:
        """It holds one thing: a product or a smaller unit."""

        db_table = "sales_unit"
        constraints = [*once("sales_unit"), CheckConstraint(condition=Q(held_count__gte=1), name="sales_unit_holds_something")]


class CasePart(models.Model):
    """Packs of a series in a case, by number or (numbers missing) by count only; or a smaller case (``inner``) that is in it."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="case_parts")
    unit = models.ForeignKey("lots.PackedUnit", models.PROTECT, related_name="case_parts")
    pack_count = models.IntegerField()
    first_no = models.IntegerField(null=True)
    last_no = models.IntegerField(null=True)
    inner = models.ForeignKey("lots.Step", models.PROTECT, null=True, related_name="within")

    class Meta:
        """Parts of cases."""

        db_table = "case_part"
        constraints = [
            CheckConstraint(
                condition=Q(first_no__isnull=True, last_no__isnull=True) | Q(last_no=F("first_no") + F("pack_count") - 1),
                name="case_part_numbers_agree",
            )
        ]

    def __str__(self) -> str:
        return f"{self.pack_count} in the case of step {self.step_id}"


class OrderLine(models.Model):
    """So many packs of a product that an order asks for."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="order_lines")
    product = models.ForeignKey("lots.Product", models.PROTECT, related_name="order_lines")
    pack_count = models.IntegerField()

    class Meta:
        """Lines of orders."""

        db_table = "order_line"
        constraints = [CheckConstraint(condition=Q(pack_count__gte=1), name="order_line_asks_something")]

    def __str__(self) -> str:
        return f"{self.pack_count} of {self.product_id}"


class ConsignedCase(models.Model):
    """A case that left whole with a consignment; its packs are moves of the same step."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="cases_sent")
    case = models.ForeignKey("lots.Step", models.PROTECT, related_name="sent_with")

    class Meta:
        """Cases that left."""

        db_table = "consigned_case"

    def __str__(self) -> str:
        return f"case {self.case_id} with {self.step_id}"


class Erasure(models.Model):
    """A value about a person was erased on request; its commitment stays wherever it stands."""

    id = models.BigIntegerField(primary_key=True)
    entry = models.ForeignKey("lots.JournalEntry", models.PROTECT, related_name="erasures")
    commitment = models.CharField(max_length=64)
    why = models.CharField(max_length=200)

    class Meta:
        """Values that were erased."""

        db_table = "erasure"

    def __str__(self) -> str:
        return self.commitment[:12]

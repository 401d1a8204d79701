"""What came from outside: goods taken in or refused, packaging, stock from before the book began, and what crosses the door for hire."""

from __future__ import annotations

from django.db import models

from lots.models.fields import SealedField
from lots.models.goods_rows import Certificate, PackagingItem
from lots.models.registers import Party
from lots.models.stages import Detail


class GoodsReceipt(Detail):
    """Goods that were taken in: from whom, under which code and paper, and what label, paper and seal said of each other.

    ``supplier_lot`` is the supplier's code; where none came the house assigned its own (``lot_assigned``). ``stated_mg`` is what the
    paper says. ``origin`` are the supplier's words; the book counts such leaf as of unknown origin for ever.
    """

    class LabelCheck(models.TextChoices):
        """How label and paper agree."""

        AGREES = "agrees"
        DIFFERS = "differs"
        NONE = "no label"

    class Seal(models.TextChoices):
        """The seal as it came."""

        WHOLE = "whole"
        BROKEN = "broken"
        NONE = "none"

    class State(models.TextChoices):
        """As what it was taken in."""

        ORGANIC = "organic"
        CONVERSION = "in conversion"
        CONVENTIONAL = "conventional"

    supplier = models.ForeignKey(Party, models.PROTECT, related_name="receipts")
    supplier_lot = models.CharField(max_length=60)
    lot_assigned = models.BooleanField(default=False)
    paper_kind = models.CharField(max_length=40, blank=True)
    paper_no = models.CharField(max_length=60)
    stated_mg = models.BigIntegerField(null=True)
    label_check = models.CharField(max_length=8, choices=LabelCheck.choices)
    label_note = models.CharField(max_length=200, blank=True)
    seal = models.CharField(max_length=8, choices=Seal.choices)
    state = models.CharField(max_length=16, choices=State.choices, default=State.CONVENTIONAL)
    certificate = models.ForeignKey(Certificate, models.PROTECT, null=True, related_name="receipts")
    origin = models.CharField(max_length=200, blank=True)
    carrier = models.ForeignKey(Party, models.PROTECT, null=True, related_name="+")

    class Meta:
        """Goods in."""

        db_table = "goods_receipt"


class GoodsRefused(Detail):
    """Goods that were sent away: nothing of them is in the house."""

    supplier = models.ForeignKey(Party, models.PROTECT, related_name="refusals")
    supplier_lot = models.CharField(max_length=60, blank=True)
    material = models.CharField(max_length=16)
    paper_no = models.CharField(max_length=60)
    stated_mg = models.BigIntegerField(null=True)
    why = models.CharField(max_length=200)

    class Meta:
        """Goods sent away."""

        db_table = "goods_refused"


class OpeningStock(Detail):
    """A lot that was in the house when the book began, or whose story is on other paper: which paper, and what it says. Packs of it
    that were sold before are counted, with to whom (sealed), so that a recall names them."""

    paper_no = models.CharField(max_length=60)
    origin = models.CharField(max_length=200)
    sold_count = models.IntegerField(default=0)
    sold_to = SealedField()

    class Meta:
        """Stock from before."""

        db_table = "opening_stock"


class PackagingLot(Detail):
    """Packaging of one kind that came in one delivery. ``code`` is what its label bears in the house: the supplier's lot, or the
    house's own code where none came (``lot_assigned``)."""

    item = models.ForeignKey(PackagingItem, models.PROTECT, related_name="lots")
    supplier = models.ForeignKey(Party, models.PROTECT, related_name="packaging_lots")
    code = models.CharField(max_length=40, db_index=True)
    lot_assigned = models.BooleanField(default=False)
    counted_count = models.IntegerField()
    stated_count = models.IntegerField(null=True)
    paper_no = models.CharField(max_length=60)
    label_check = models.CharField(max_length=8, choices=GoodsReceipt.LabelCheck.choices)
    label_note = models.CharField(max_length=200, blank=True)

    class Meta:
        """Packaging in."""

        db_table = "packaging_lot"


class HireMove(Detail):
    """Leaf or powder that crosses the door for hire: to whom or from whom, and under which paper."""

    party = models.ForeignKey(Party, models.PROTECT, related_name="hire_moves")
    paper_no = models.CharField(max_length=60)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        """Across the door for hire."""

        db_table = "hire_move"

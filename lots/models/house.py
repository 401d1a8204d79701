"""In the house: where lots stand, bins and blends, and what is taken out of stock without being sold."""

from __future__ import annotations

from django.db import models

from lots.models.fields import SealedField, frac
from lots.models.house_rows import Place
from lots.models.stages import Detail


class Shelving(Detail):
    """A lot put on a shelf, or taken off it."""

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="shelvings")
    place = models.ForeignKey(Place, models.PROTECT, related_name="shelvings")

    class Meta:
        """Read by lot: the newest says where it stands."""

        db_table = "shelving"


class ShelfCount(Detail):
    """A whole shelf counted blind: how many lots the book had there, and how many were weighed. Each has a `StockCount`
    of its own; those that were not found are `ShelfMissed`."""

    place = models.ForeignKey(Place, models.PROTECT, related_name="counts")
    expected_count = models.IntegerField()
    counted_count = models.IntegerField()

    class Meta:
        """Counts of shelves."""

        db_table = "shelf_count"


class Combining(Detail):
    """Several lots of one material brought together in one bin."""

    bin_name = models.CharField(max_length=40, blank=True)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        """Bins."""

        db_table = "combining"


class BlendPlan(Detail):
    """A blend as it is meant: its name, and what shall be said of it: at least ``least_frac`` is ``label`` by ``kind``."""

    class Kind(models.TextChoices):
        """By what a claim counts leaf."""

        NONE = ""
        STATE = "state"
        CULTIVAR = "cultivar"
        PLOT = "plot"
        FLUSH = "flush"

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=12, choices=Kind.choices, blank=True)
    label = models.CharField(max_length=80, blank=True)
    least_frac = frac(default=1)

    class Meta:
        """Plans."""

        db_table = "blend_plan"


class Blending(Detail):
    """Lots poured together in the order of the step's lines; ``plan`` is the step of the plan that it follows."""

    plan = models.ForeignKey("lots.Step", models.PROTECT, null=True, related_name="blends")
    mixed_s = models.IntegerField(null=True)
    left_mg = models.BigIntegerField()

    class Meta:
        """Blends."""

        db_table = "blending"


class Removal(Detail):
    """Tea taken out of stock and not sold, or lowered in state or grade; ``recipient`` of a gift is sealed. Destroyed tea
    has a ``witness`` and says ``how``; ``evidence`` names picture, ticket or paper."""

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="removals")
    pack_count = models.IntegerField(default=0)
    why = models.CharField(max_length=200, blank=True)
    how = models.CharField(max_length=120, blank=True)
    evidence = models.CharField(max_length=200, blank=True)
    witness = models.ForeignKey("lots.Staff", models.PROTECT, null=True, related_name="+")
    recipient = SealedField()
    recipient_contact = SealedField()
    state_before = models.CharField(max_length=16, blank=True)
    state = models.CharField(max_length=16, blank=True)
    grade = models.CharField(max_length=40, blank=True)

    class Meta:
        """Removals."""

        db_table = "removal"

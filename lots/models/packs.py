"""Packs are series: one row stands for many like packs; what became of them names ranges of numbers."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q


class PackedUnit(models.Model):
    """A series of like packs of one packing run: numbers ``first_no`` to ``last_no`` of ``run_no``."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="series")
    lot = models.OneToOneField("lots.Lot", models.PROTECT, related_name="series")
    product = models.ForeignKey("lots.Product", models.PROTECT, related_name="series")
    run_no = models.BigIntegerField()
    first_no = models.IntegerField()
    last_no = models.IntegerField()
    mean_mg = models.BigIntegerField()
    retained = models.BooleanField(default=False)
    packed_on = models.DateField()
    best_before_on = models.DateField()

    class Meta:
        """Numbers of one run do not overlap: they are given out in order."""

        db_table = "packed_unit"
        indexes = [models.Index(fields=["run_no", "first_no"], name="packed_unit_number")]
        constraints = [CheckConstraint(condition=Q(last_no__gte=F("first_no"), first_no__gte=1), name="packed_unit_in_order")]

    def __str__(self) -> str:
        return f"run {self.run_no}, {self.first_no} to {self.last_no}"

    @property
    def pack_count(self) -> int:
        """How many packs the series holds."""
        return self.last_no - self.first_no + 1


class PackMove(models.Model):
    """What became of a range of a series: it left, came back, was destroyed, given away, used here, is void, or
    is here again because its removal was taken back (restored). Numbers are missing where only a count was written:
    then the consignee may have received any of them."""

    class Fate(models.TextChoices):
        """What can become of a pack."""

        DISPATCHED = "dispatched"
        RETURNED = "returned"
        DESTROYED = "destroyed"
        VOID = "void"
        GIVEN = "given"
        OWN_USE = "own use"
        RESTORED = "restored"

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="moves")
    unit = models.ForeignKey(PackedUnit, models.PROTECT, related_name="moves")
    fate = models.CharField(max_length=12, choices=Fate.choices)
    pack_count = models.IntegerField()
    first_no = models.IntegerField(null=True)
    last_no = models.IntegerField(null=True)

    class Meta:
        """Read by series."""

        db_table = "pack_move"
        constraints = [
            CheckConstraint(
                condition=Q(first_no__isnull=True, last_no__isnull=True) | Q(last_no=F("first_no") + F("pack_count") - 1),
                name="pack_move_numbers_agree",
            )
        ]

    def __str__(self) -> str:
        return f"{self.fate} {self.pack_count}"

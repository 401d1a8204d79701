"""Bags of a delivery, each with its own reading."""

from __future__ import annotations

from django.db import models
from django.db.models import UniqueConstraint


class HarvestBag(models.Model):
    """One bag of fresh leaf as the scale showed it, in the order in which the bags were weighed."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="bags")
    bag_no = models.IntegerField()
    mass_mg = models.BigIntegerField()

    class Meta:
        """Bags."""

        db_table = "harvest_bag"
        constraints = [UniqueConstraint(fields=["step", "bag_no"], name="harvest_bag_once")]

    def __str__(self) -> str:
        return f"bag {self.bag_no} of step {self.step_id}"

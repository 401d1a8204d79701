"""Rows beside what is done in the house: the register of shelves, lots that a count missed, the parts of a planned blend."""

from __future__ import annotations

from django.db import models

from lots.models.registers import Register, once


class Place(Register):
    """A shelf where lots stand: its site, room and shelf; ``cold`` where the room is cooled."""

    name = models.CharField(max_length=80, blank=True)
    site = models.CharField(max_length=40, blank=True)
    room = models.CharField(max_length=40)
    shelf = models.CharField(max_length=24, blank=True)
    cold = models.BooleanField(default=True)

    class Meta:
        """Places."""

        db_table = "place"
        constraints = once("place")


class ShelfMissed(models.Model):
    """A lot that should stand on a counted shelf and was not counted."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="missed")
    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="missed")

    class Meta:
        """Missed lots."""

        db_table = "shelf_missed"

    def __str__(self) -> str:
        return f"lot {self.lot_id} missed in step {self.step_id}"


class BlendPart(models.Model):
    """One lot of a planned blend with the mass that is meant, in order of pouring."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="blend_parts")
    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="blend_parts")
    planned_mg = models.BigIntegerField()

    class Meta:
        """Parts of plans."""

        db_table = "blend_part"

    def __str__(self) -> str:
        return f"{self.planned_mg} mg of lot {self.lot_id}"

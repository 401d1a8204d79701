"""What checks are made with: test pieces, check weights, bands of rooms, stones one by one, and the readings of a logger."""

from __future__ import annotations

from django.db import models

from lots.models.equipment import Equipment
from lots.models.fields import decimal, frac
from lots.models.registers import Register, once


class TestPiece(Register):
    """A test piece of a magnet or metal detector. ``line``: the machine whose output goes through; None is every sieve and filler."""

    __test__ = False

    metal = models.CharField(max_length=40)
    size_mm = decimal(2)
    equipment = models.ForeignKey(Equipment, models.PROTECT, related_name="pieces")
    line = models.ForeignKey(Equipment, models.PROTECT, null=True, related_name="pieces_behind")

    class Meta:
        """Test pieces."""

        db_table = "test_piece"
        constraints = once("test_piece")


class CheckWeight(Register):
    """A weight with its certificate, against which scales are checked."""

    nominal_mg = models.BigIntegerField()
    weight_class = models.CharField(max_length=8, blank=True)
    certificate_no = models.CharField(max_length=60, blank=True)
    valid_until_on = models.DateField(null=True)

    class Meta:
        """Check weights."""

        db_table = "check_weight"
        constraints = once("check_weight")


class ClimateBand(Register):
    """A room and the band that the maker sets for it; ``has_stones``: the stones run there."""

    name = models.CharField(max_length=80)
    least_c = decimal(1)
    most_c = decimal(1)
    least_rh_frac = frac()
    most_rh_frac = frac()
    has_stones = models.BooleanField(default=False)

    class Meta:
        """Rooms."""

        db_table = "climate_band"
        constraints = once("climate_band")


class ClimateRow(models.Model):
    """One reading of a room."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="climate_rows")
    read_at = models.DateTimeField(db_index=True)
    temperature_c = decimal(1)
    humidity_frac = frac()
    outside = models.BooleanField()

    class Meta:
        """Readings."""

        db_table = "climate_row"

    def __str__(self) -> str:
        return f"{self.temperature_c} °C"


class Stone(Register):
    """One stone or pin; pairs name it by its code. The first tub after its dressing waits for a grit check."""

    class Part(models.TextChoices):
        """What it is in a pair."""

        UPPER = "upper"
        LOWER = "lower"
        PIN = "pin"

    part = models.CharField(max_length=8, choices=Part.choices)
    made_on = models.DateField(null=True)
    diameter_mm = models.IntegerField(null=True)

    class Meta:
        """Stones."""

        db_table = "stone"
        constraints = once("stone")

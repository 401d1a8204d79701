"""Checks of the house: test pieces and finds of detectors, check weights of scales, the climate of rooms, grit after dressing."""

from __future__ import annotations

from django.db import models

from lots.models.check_rows import CheckWeight, ClimateBand, TestPiece
from lots.models.fields import decimal
from lots.models.stages import Detail


class PieceTest(Detail):
    """A test piece sent through a detector. Where it was not seen, ``last_good`` is the step of its last good test, if any."""

    piece = models.ForeignKey(TestPiece, models.PROTECT, related_name="tests")
    seen = models.BooleanField()
    last_good = models.ForeignKey("lots.Step", models.PROTECT, null=True, related_name="+")

    class Meta:
        """Tests of detectors."""

        db_table = "piece_test"


class MetalFind(Detail):
    """Something that a magnet or detector took out of a lot: what it was, where it lay, how large it was."""

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="finds")
    what = models.CharField(max_length=120)
    found_where = models.CharField(max_length=120, blank=True)
    size_mm = decimal(1, null=True)

    class Meta:
        """Finds."""

        db_table = "metal_find"


class ScaleCheck(Detail):
    """What a scale showed under a check weight, and how far off it may be there."""

    scale = models.ForeignKey("lots.Scale", models.PROTECT, related_name="checks")
    weight = models.ForeignKey(CheckWeight, models.PROTECT, related_name="checks")
    shown_mg = models.BigIntegerField()
    allowed_mg = models.BigIntegerField()
    within = models.BooleanField()

    class Meta:
        """Checks of scales."""

        db_table = "scale_check"


class ScaleClear(Detail):
    """The word that the weighings before a failed check stand; the reason is the step's own."""

    failed = models.ForeignKey("lots.Step", models.PROTECT, related_name="scale_clears")
    ground = models.CharField(max_length=400)

    class Meta:
        """Cleared checks."""

        db_table = "scale_clear"


class ClimateReading(Detail):
    """Readings of one room, typed or taken from a logger; the readings are rows of their own."""

    room = models.ForeignKey(ClimateBand, models.PROTECT, related_name="readings")
    reading_count = models.IntegerField()
    outside_count = models.IntegerField()

    class Meta:
        """Readings."""

        db_table = "climate_reading"


class GritCheck(Detail):
    """The first tub after a dressing, looked at for grit: how, and whether it was clean."""

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="grit_checks")
    clean = models.BooleanField()
    looked = models.CharField(max_length=200)

    class Meta:
        """Grit checks."""

        db_table = "grit_check"

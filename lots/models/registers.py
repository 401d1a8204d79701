"""Registers: the named things of the trade, here house, people and plots. A change is a new version with its own valid-from."""

from __future__ import annotations

from django.db import models
from django.db.models import UniqueConstraint

from lots.models.fields import SealedField, decimal, frac


class Register(models.Model):
    """One version of a named thing. ``code`` stays, ``version`` counts from 1, the newest valid one is in force."""

    id = models.BigIntegerField(primary_key=True)
    entry = models.ForeignKey("lots.JournalEntry", models.PROTECT, related_name="+")
    code = models.CharField(max_length=24)
    version = models.IntegerField(default=1)
    valid_from_at = models.DateTimeField()
    retired = models.BooleanField(default=False)

    class Meta:
        """Shared by all registers."""

        abstract = True

    def __str__(self) -> str:
        return self.code


def once(name: str) -> list[UniqueConstraint]:
    """Return the constraint that a version of a code exists once."""
    return [UniqueConstraint(fields=["code", "version"], name=f"{name}_version_once")]


class House(Register):
    """The maker: name and address as printed, the code of the control body of its organic certificate, the ceiling for powder
    moisture, and whether the data is invented."""

    name = models.CharField(max_length=120)
    name_ja = models.CharField(max_length=120, blank=True)
    address = models.CharField(max_length=200, blank=True)
    contact = models.CharField(max_length=200, blank=True)
    control_body = models.CharField(max_length=40, blank=True)
    moisture_ceiling_frac = frac(default=0)
    keeping = models.CharField(max_length=400, blank=True)
    keeping_ja = models.CharField(max_length=400, blank=True)
    invented = models.BooleanField(default=False)

    class Meta:
        """One house; versions of it."""

        db_table = "house"
        constraints = once("house")


class Party(Register):
    """A grower, consignee, carrier or laboratory. Name and contact are sealed; roles are words parted by spaces."""

    name = SealedField()
    contact = SealedField()
    roles = models.CharField(max_length=80)

    class Meta:
        """People and firms."""

        db_table = "party"
        constraints = once("party")


class Staff(Register):
    """A person who makes entries, by badge. ``code`` is the badge; the name is sealed; ``login`` is the account's key."""

    name = SealedField()
    login = models.CharField(max_length=40, blank=True, db_index=True)

    class Meta:
        """Badges."""

        db_table = "staff"
        constraints = once("staff")


class Cultivar(Register):
    """A tea cultivar by its registered name, with the number and date of registration where they were read."""

    name = models.CharField(max_length=60)
    name_ja = models.CharField(max_length=60, blank=True)
    registered_as = models.CharField(max_length=60, blank=True)
    source = models.CharField(max_length=120, blank=True)

    class Meta:
        """Cultivars."""

        db_table = "cultivar"
        constraints = once("cultivar")


class FieldPlot(Register):
    """A field plot. ``place`` (in words) and ``outline`` (a point or its corners) are sealed; ``disclosed`` says how much
    strangers may read; ``state_from_on`` is the day from which the state holds."""

    class State(models.TextChoices):
        """Certification state of the plot."""

        ORGANIC = "organic"
        CONVERSION = "in conversion"
        CONVENTIONAL = "conventional"

    class Disclosed(models.TextChoices):
        """What the page of a pack may say of the plot."""

        VALLEY = "valley"
        PLOT = "plot"
        GROWER = "plot and grower"

    class Side(models.TextChoices):
        """A side of the compass: where a slope looks, where a neighbour lies."""

        NORTH = "N"
        NORTH_EAST = "NE"
        EAST = "E"
        SOUTH_EAST = "SE"
        SOUTH = "S"
        SOUTH_WEST = "SW"
        WEST = "W"
        NORTH_WEST = "NW"

    class Cover(models.TextChoices):
        """How a cover lies over the plot as a rule."""

        TRELLIS = "trellis"
        DIRECT = "direct"

    name = models.CharField(max_length=80)
    area_a = decimal(2)
    altitude_m = models.IntegerField(null=True)
    aspect = models.CharField(max_length=2, choices=Side.choices, blank=True)
    slope_frac = frac(null=True)
    planted_year = models.IntegerField(null=True)
    state = models.CharField(max_length=16, choices=State.choices, default=State.CONVENTIONAL)
    state_from_on = models.DateField(null=True)
    cover = models.CharField(max_length=8, choices=Cover.choices, blank=True)
    grower = models.ForeignKey(Party, models.PROTECT, null=True, related_name="+")
    place = SealedField()
    outline = SealedField()
    valley = models.CharField(max_length=80, blank=True)
    disclosed = models.CharField(max_length=16, choices=Disclosed.choices, default=Disclosed.VALLEY)

    class Meta:
        """Plots."""

        db_table = "field_plot"
        constraints = once("field_plot")


class Planting(Register):
    """Which cultivar stands on a plot, on how much of it, and in which rows where several do."""

    plot = models.ForeignKey(FieldPlot, models.PROTECT, related_name="plantings")
    cultivar = models.ForeignKey(Cultivar, models.PROTECT, related_name="plantings")
    area_a = decimal(2)
    planted_year = models.IntegerField(null=True)
    rows = models.CharField(max_length=60, blank=True)

    class Meta:
        """Plantings."""

        db_table = "planting"
        constraints = once("planting")


class PlotNeighbour(Register):
    """What lies beside a plot, and how the two are kept apart."""

    plot = models.ForeignKey(FieldPlot, models.PROTECT, related_name="neighbours")
    side = models.CharField(max_length=2, choices=FieldPlot.Side.choices)
    distance_m = models.IntegerField()
    grows = models.CharField(max_length=80)
    kept_apart = models.CharField(max_length=120, blank=True)
    buffer_m = models.IntegerField(null=True)

    class Meta:
        """Neighbours of plots."""

        db_table = "plot_neighbour"
        constraints = once("plot_neighbour")

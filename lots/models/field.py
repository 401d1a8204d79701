"""The year of a plot: covers, treatments, trims, what the neighbours spray, and its leaf."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from lots.models.fields import SealedField, decimal, frac
from lots.models.stages import Detail


class Shading(Detail):
    """A cover laid over a plot; ``cover`` is trellis or direct, ``rate_frac`` the share of light kept away."""

    plot = models.ForeignKey("lots.FieldPlot", models.PROTECT, related_name="shadings")
    flush_no = models.IntegerField()
    covered_on = models.DateField()
    uncovered_on = models.DateField(null=True)
    layer_count = models.IntegerField(default=1)
    rate_frac = frac(null=True)
    cover = models.CharField(max_length=16, blank=True)
    material = models.CharField(max_length=80, blank=True)
    leaf_stage = models.CharField(max_length=40, blank=True)

    class Meta:
        """Shading."""

        db_table = "shading"
        constraints = [
            CheckConstraint(condition=Q(uncovered_on__isnull=True) | Q(uncovered_on__gte=F("covered_on")), name="shading_days_in_order")
        ]


class FieldTreatment(Detail):
    """A treatment or fertiliser on a plot; plucking is lawful ``interval_days`` after ``applied_on`` at the earliest.

    ``uses_most_count`` is how often the label allows it between two pluckings; ``batch`` is the packet's own lot.
    """

    class Kind(models.TextChoices):
        """What was put on."""

        PESTICIDE = "pesticide"
        FERTILISER = "fertiliser"
        OTHER = "other"

    plot = models.ForeignKey("lots.FieldPlot", models.PROTECT, related_name="treatments")
    applied_on = models.DateField()
    product = models.CharField(max_length=120)
    substance = models.CharField(max_length=120, blank=True)
    dose = models.CharField(max_length=80, blank=True)
    interval_days = models.IntegerField(default=0)
    kind = models.CharField(max_length=12, choices=Kind.choices, default=Kind.PESTICIDE)
    water_l_per_10_a = decimal(1, null=True)
    uses_most_count = models.IntegerField(null=True)
    batch = models.CharField(max_length=40, blank=True)
    operator = models.ForeignKey("lots.Staff", models.PROTECT, null=True, related_name="treatments")

    class Meta:
        """Treatments."""

        db_table = "field_treatment"


class HarvestFlush(Detail):
    """Leaf of one plot and cultivar, plucked in one round. ``field_place`` stands sealed in the register of plots; ``team``
    (who plucked) is sealed; ``water_reason`` says why water was deducted, its mass is a line of the step."""

    class Method(models.TextChoices):
        """How it was plucked."""

        HAND = "hand"
        CUTTER = "two-man cutter"
        RIDING = "riding machine"

    plot = models.ForeignKey("lots.FieldPlot", models.PROTECT, related_name="harvests")
    cultivar = models.ForeignKey("lots.Cultivar", models.PROTECT, related_name="harvests")
    flush_no = models.IntegerField()
    plucked_on = models.DateField()
    bag_count = models.IntegerField()
    basis = models.CharField(max_length=4, default="wet")
    plucked_from_at = models.DateTimeField(null=True)
    plucked_until_at = models.DateTimeField(null=True)
    method = models.CharField(max_length=16, choices=Method.choices, blank=True)
    leaf_wet = models.BooleanField(default=False)
    team = SealedField()
    carrier = models.ForeignKey("lots.Party", models.PROTECT, null=True, related_name="+")
    water_reason = models.CharField(max_length=120, blank=True)

    class Meta:
        """Harvests."""

        db_table = "harvest_flush"


class FieldTrim(Detail):
    """A plot trimmed; a trim ``as_plucking`` goes as deep as a plucking and ends a plucking period."""

    plot = models.ForeignKey("lots.FieldPlot", models.PROTECT, related_name="trims")
    trimmed_on = models.DateField()
    as_plucking = models.BooleanField()

    class Meta:
        """Trims."""

        db_table = "field_trim"


class NeighbourNotice(Detail):
    """A neighbour said that something is sprayed beside a plot; ``kept_apart`` is what was done about it."""

    plot = models.ForeignKey("lots.FieldPlot", models.PROTECT, related_name="notices")
    neighbour = models.ForeignKey("lots.PlotNeighbour", models.PROTECT, null=True, related_name="notices")
    sprays_on = models.DateField()
    product = models.CharField(max_length=120, blank=True)
    kept_apart = models.CharField(max_length=120, blank=True)

    class Meta:
        """Notices."""

        db_table = "neighbour_notice"

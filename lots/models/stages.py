"""One thin table for each stage, one-to-one with its step: what only that stage knows."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from lots.models.fields import SealedField, decimal, frac


class Detail(models.Model):
    """The thin row of a step."""

    step = models.OneToOneField("lots.Step", models.PROTECT, primary_key=True, related_name="%(class)s")

    class Meta:
        """Shared by all stages."""

        abstract = True

    def __str__(self) -> str:
        return f"{type(self).__name__} of step {self.pk}"


class Shading(Detail):
    """A cover laid over a plot; ``cover`` is trellis or direct, ``rate_frac`` the share of light kept away."""

    plot = models.ForeignKey("lots.FieldPlot", models.PROTECT, related_name="shadings")
    flush_no = models.IntegerField()
    covered_on = models.DateField()
    uncovered_on = models.DateField(null=True)
    layer_count = models.IntegerField(default=1)
    rate_frac = frac(null=True)
    cover = models.CharField(max_length=16, blank=True)

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
    plucked_until_at = models.DateTimeField(null=True)
    method = models.CharField(max_length=16, choices=Method.choices, blank=True)
    leaf_wet = models.BooleanField(default=False)
    team = SealedField()
    carrier = models.ForeignKey("lots.Party", models.PROTECT, null=True, related_name="+")
    water_reason = models.CharField(max_length=120, blank=True)

    class Meta:
        """Harvests."""

        db_table = "harvest_flush"


class LeafDrying(Detail):
    """One oven batch; ``lower_tier_c`` where it was read."""

    steamed_at = models.DateTimeField(null=True)
    lower_tier_c = models.IntegerField(null=True)

    class Meta:
        """Oven batches."""

        db_table = "leaf_drying"


class Refining(Detail):
    """One sorting batch; passes through cutter and winnower are counted, booked once at the end."""

    pass_count = models.IntegerField(null=True)
    screens = models.CharField(max_length=40, blank=True)

    class Meta:
        """Sorting batches."""

        db_table = "refining"


class DriedLeafLot(models.Model):
    """A lot of refined leaf ready for the stone: where it stands and what the house calls it."""

    lot = models.OneToOneField("lots.Lot", models.PROTECT, primary_key=True, related_name="dried_leaf")
    grade = models.CharField(max_length=40, blank=True)
    shelf = models.CharField(max_length=24, blank=True)

    class Meta:
        """Dried leaf lots."""

        db_table = "dried_leaf_lot"

    def __str__(self) -> str:
        return f"dried leaf lot {self.lot_id}"


class MillingRun(Detail):
    """One stone pair in one job; the step is the run's first load."""

    pair = models.ForeignKey("lots.StonePair", models.PROTECT, related_name="runs", db_index=False)
    job = models.CharField(max_length=24, blank=True, db_index=True)

    class Meta:
        """The newest run of a pair is asked for at every load and tub."""

        db_table = "milling_run"
        indexes = [models.Index(fields=["pair", "step"], name="milling_run_newest")]


class MillingTub(Detail):
    """A tub taken off the stones after ``ground_h`` hours; ``dressed_h`` is the pair's hours since dressing by then."""

    ground_h = decimal(2)
    dressed_h = decimal(2)

    class Meta:
        """Tubs."""

        db_table = "milling_tub"


class MillingClose(Detail):
    """The end of a run. ``left_over_mg`` was typed by a hand, 0 included."""

    left_over_mg = models.BigIntegerField()

    class Meta:
        """Closed runs."""

        db_table = "milling_close"


class CleanDown(Detail):
    """A machine cleaned; only one that was ``opened`` ends contact with the leaf before it."""

    opened = models.BooleanField()
    result = models.CharField(max_length=120, blank=True)

    class Meta:
        """Clean-downs."""

        db_table = "clean_down"


class SievePass(Detail):
    """Powder through a screen; ``oversize_fate`` is re-mill, reject or undecided."""

    class Fate(models.TextChoices):
        """What becomes of the oversize."""

        REMILL = "mill again"
        REJECT = "reject"
        OPEN = "not decided"

    screen = models.ForeignKey("lots.Screen", models.PROTECT, related_name="passes")
    oversize_fate = models.CharField(max_length=12, choices=Fate.choices, default=Fate.OPEN)

    class Meta:
        """Sieve passes."""

        db_table = "sieve_pass"


class PackingRun(Detail):
    """Powder put into packs under one run number; the number opens every pack code of the run."""

    run_no = models.BigIntegerField(unique=True)

    class Meta:
        """Packing runs."""

        db_table = "packing_run"


class Consignment(Detail):
    """Packs that left for one consignee under one document, perhaps for an order.

    ``bill_to`` None: the consignee pays. ``ship_from`` empty: from the house. ``least_c`` to ``most_c`` is the temperature
    that was promised for the way. Of a parcel of a subscriber ``recipient`` holds name, address and mail.
    """

    consignee = models.ForeignKey("lots.Party", models.PROTECT, related_name="consignments")
    bill_to = models.ForeignKey("lots.Party", models.PROTECT, null=True, related_name="consignments_paid")
    order = models.ForeignKey("lots.Step", models.PROTECT, null=True, related_name="served_by")
    document_no = models.CharField(max_length=40, blank=True)
    carrier = models.CharField(max_length=80, blank=True)
    carrier_contact = SealedField()
    recipient = SealedField()
    ship_from = models.CharField(max_length=160, blank=True)
    least_c = decimal(1, null=True)
    most_c = decimal(1, null=True)

    class Meta:
        """Consignments."""

        db_table = "consignment"


class StockCount(Detail):
    """What a person weighed on the shelf, before the book's figure was shown."""

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="counts")
    counted_mg = models.BigIntegerField()
    book_mg = models.BigIntegerField()
    reading_count = models.IntegerField(default=1)
    scale = models.ForeignKey("lots.Scale", models.PROTECT, null=True, related_name="counts")

    class Meta:
        """Stock counts."""

        db_table = "stock_count"

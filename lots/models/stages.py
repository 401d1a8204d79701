"""One thin table for each stage, one-to-one with its step: what only that stage knows."""

from __future__ import annotations

from django.db import models

from lots.models.fields import SealedField, decimal, frac


class Detail(models.Model):
    """The thin row of a step."""

    step = models.OneToOneField("lots.Step", models.PROTECT, primary_key=True, related_name="%(class)s")

    class Meta:
        """Shared by all stages."""

        abstract = True

    def __str__(self) -> str:
        return f"{type(self).__name__} of step {self.pk}"


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
    """A machine cleaned; only one that was ``opened`` ends contact with the leaf before it. ``first_out``: what became of the
    first material that came out afterwards."""

    class Manner(models.TextChoices):
        """How it was cleaned."""

        DRY = "dry"
        WET = "wet"

    class FirstOut(models.TextChoices):
        """What became of the first material."""

        NONE = "none came"
        THROWN = "thrown away"
        APART = "kept apart"
        WENT_ON = "went on"

    opened = models.BooleanField()
    result = models.CharField(max_length=120, blank=True)
    done = models.CharField(max_length=120, blank=True)
    manner = models.CharField(max_length=4, choices=Manner.choices, blank=True)
    first_out = models.CharField(max_length=12, choices=FirstOut.choices, blank=True)
    checked_by = models.ForeignKey("lots.Staff", models.PROTECT, null=True, related_name="+")

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
    """Powder put into packs under one run number; the number opens every pack code of the run. What the packs were closed
    in: damp of the room, gas or absorber, and the oxygen that was left in a pack, where these were read."""

    class Gas(models.TextChoices):
        """What stands over the powder in a pack."""

        AIR = "air"
        NITROGEN = "nitrogen"
        ABSORBER = "oxygen absorber"

    run_no = models.BigIntegerField(unique=True)
    room_rh_frac = frac(null=True)
    gas = models.CharField(max_length=16, choices=Gas.choices, blank=True)
    oxygen_frac = frac(null=True)

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

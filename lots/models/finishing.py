"""What is done about packs beside filling them: check-weighing, labels and packaging counted, samples kept and looked after."""

from __future__ import annotations

from django.db import models

from lots.models.stages import Detail


class CheckWeighing(Detail):
    """Packs of a series weighed one by one against a plan; ``accepted`` is empty where the plan could not judge."""

    unit = models.ForeignKey("lots.PackedUnit", models.PROTECT, related_name="check_weighings")
    plan = models.CharField(max_length=24)
    nominal_mg = models.BigIntegerField()
    tare_mg = models.BigIntegerField(default=0)
    scale = models.ForeignKey("lots.Scale", models.PROTECT, null=True, related_name="check_weighings")
    weighed_count = models.IntegerField()
    mean_mg = models.BigIntegerField()
    deficiency_mg = models.BigIntegerField()
    t1_count = models.IntegerField()
    t2_count = models.IntegerField()
    accepted = models.BooleanField(null=True)

    class Meta:
        """Check-weighings; the packs are `CheckedPack`."""

        db_table = "check_weighing"


class LabelCount(Detail):
    """Labels of a series when its packing was closed: printed, and what became of them. Organic marks where there were any."""

    unit = models.ForeignKey("lots.PackedUnit", models.PROTECT, related_name="label_counts")
    label = models.ForeignKey("lots.LabelVersion", models.PROTECT, related_name="counts")
    printed_count = models.IntegerField()
    applied_count = models.IntegerField()
    spoiled_count = models.IntegerField()
    left_count = models.IntegerField()
    marks_taken_count = models.IntegerField(null=True)
    marks_applied_count = models.IntegerField(null=True)
    marks_spoiled_count = models.IntegerField(null=True)
    marks_left_count = models.IntegerField(null=True)

    class Meta:
        """Counts of labels; packaging that was used stands in `PackagingUsed`."""

        db_table = "label_count"


class LabelReprint(Detail):
    """Labels of a series that were printed once more, and why."""

    unit = models.ForeignKey("lots.PackedUnit", models.PROTECT, related_name="reprints")
    print_count = models.IntegerField()
    cause = models.CharField(max_length=200)

    class Meta:
        """Labels printed again."""

        db_table = "label_reprint"


class SamplePlace(Detail):
    """Where the kept samples of a series stand, and until when they must stay."""

    unit = models.ForeignKey("lots.PackedUnit", models.PROTECT, related_name="places")
    place = models.CharField(max_length=80)
    keep_until_on = models.DateField()

    class Meta:
        """Places of kept samples; the newest stands."""

        db_table = "sample_place"


class SampleRound(Detail):
    """A walk past the kept samples; what was seen of each series is a `SampleSeen`."""

    expected_count = models.IntegerField()
    seen_count = models.IntegerField()

    class Meta:
        """Rounds."""

        db_table = "sample_round"


class SampleDisposal(Detail):
    """Kept samples that were thrown away, before a witness."""

    unit = models.ForeignKey("lots.PackedUnit", models.PROTECT, related_name="disposals")
    pack_count = models.IntegerField()
    how = models.CharField(max_length=120)
    witness = models.ForeignKey("lots.Staff", models.PROTECT, related_name="+")

    class Meta:
        """Disposals of kept samples."""

        db_table = "sample_disposal"

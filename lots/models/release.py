"""What is known of the tea itself: samples, results, decisions on lots, tastings, complaints."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, Q

from lots.models.fields import SealedField
from lots.models.limits import Basis, Unit
from lots.models.registers import Party, Staff
from lots.models.stages import Detail

MARK_LEAST, MARK_MOST = 1, 5


class SampleTaken(Detail):
    """A laboratory sample of a lot; what was taken is a line of the step. ``taker`` is sealed; ``seal_no`` is on the bag."""

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="samples")
    sample_no = models.CharField(max_length=40)
    method = models.CharField(max_length=80)
    taker = SealedField()
    seal_no = models.CharField(max_length=40, blank=True)
    laboratory = models.ForeignKey(Party, models.PROTECT, null=True, related_name="+")

    class Meta:
        """Samples."""

        db_table = "sample_taken"


class LabResult(Detail):
    """One result of a laboratory: what was found, with unit and basis; figures are decimals as text in ``unit``.

    The report itself lies outside the book under a generated name; its hash is here.
    """

    class Found(models.TextChoices):
        """What the laboratory reports."""

        VALUE = "value"
        BELOW_LOQ = "below LOQ"
        DETECTED = "detected"
        NOT_DETECTED = "not detected"

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="results")
    sample = models.ForeignKey("lots.Step", models.PROTECT, null=True, related_name="sample_results")
    laboratory = models.ForeignKey(Party, models.PROTECT, related_name="+")
    accreditation = models.CharField(max_length=80, blank=True)
    report_no = models.CharField(max_length=60, blank=True)
    method = models.CharField(max_length=120)
    parameter = models.CharField(max_length=120)
    found = models.CharField(max_length=12, choices=Found.choices)
    value = models.CharField(max_length=20, blank=True)
    unit = models.CharField(max_length=12, choices=Unit.choices)
    basis = models.CharField(max_length=12, choices=Basis.choices)
    loq = models.CharField(max_length=20, blank=True)
    u_expanded = models.CharField(max_length=20, blank=True)
    reported_on = models.DateField()
    file_sha256 = models.CharField(max_length=64, blank=True)
    file_name = models.CharField(max_length=80, blank=True)

    class Meta:
        """Results."""

        db_table = "lab_result"


class LotDecision(Detail):
    """A lot is released or not, for some markets; or a second person confirms (``confirms``). ``not_tested`` says what of the
    limit tables nobody tested; ``needs_second``: it counts once another person has confirmed it."""

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="decisions")
    markets = models.CharField(max_length=200, blank=True)
    ground = models.CharField(max_length=400)
    not_tested = models.CharField(max_length=1000, blank=True)
    needs_second = models.BooleanField(default=False)
    confirms = models.ForeignKey("lots.Step", models.PROTECT, null=True, related_name="confirmed_by")

    class Meta:
        """Decisions."""

        db_table = "lot_decision"


class SensoryNote(Detail):
    """A tasting of a lot: words, and marks from 1 to 5."""

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="tastings")
    taster = models.ForeignKey(Staff, models.PROTECT, related_name="+")
    tasted_on = models.DateField()
    blind = models.BooleanField(default=False)
    aroma = models.CharField(max_length=200, blank=True)
    taste = models.CharField(max_length=200, blank=True)
    aroma_mark = models.IntegerField()
    taste_mark = models.IntegerField()
    colour_mark = models.IntegerField()
    body_mark = models.IntegerField()
    foam_mark = models.IntegerField()

    class Meta:
        """Tastings."""

        db_table = "sensory_note"
        constraints = [
            CheckConstraint(condition=Q(**{f"{name}_mark__range": (MARK_LEAST, MARK_MOST)}), name=f"sensory_note_{name}_mark")
            for name in ("aroma", "taste", "colour", "body", "foam")
        ]


class Complaint(Detail):
    """What somebody complained of, tied to a lot and, where it is known, to the code of the pack. ``contact`` is sealed."""

    class Seriousness(models.TextChoices):
        """How serious it is."""

        MINOR = "minor"
        SERIOUS = "serious"
        HEALTH = "health"

    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="complaints")
    pack_code = models.CharField(max_length=24, blank=True)
    received_on = models.DateField()
    what = models.CharField(max_length=400)
    seriousness = models.CharField(max_length=8, choices=Seriousness.choices)
    contact = SealedField()
    done = models.CharField(max_length=400, blank=True)

    class Meta:
        """Complaints."""

        db_table = "complaint"

"""The spine: four tables carry trace, balance, recall and proof. Rows are written once and never changed."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint

from lots.models.fields import frac


class JournalEntry(models.Model):
    """One human act as canonical bytes, with its position, leaf hash and the lots that it touches."""

    seq = models.BigIntegerField(primary_key=True)
    act_id = models.UUIDField(unique=True)
    kind = models.CharField(max_length=40)
    recorded_at = models.DateTimeField()
    happened_at = models.DateTimeField()
    body = models.BinaryField()
    leaf_hash = models.BinaryField(max_length=32)

    class Meta:
        """Journal order is the order of ``seq``."""

        db_table = "journal_entry"

    def __str__(self) -> str:
        return f"entry {self.seq}"


class Step(models.Model):
    """Something that happened at one stage. ``continues`` points at the first step of a run that lasts; ``corrects`` at the
    step that an adjustment or a reversal speaks of."""

    id = models.BigIntegerField(primary_key=True)
    entry = models.ForeignKey(JournalEntry, models.PROTECT, related_name="steps")
    stage = models.CharField(max_length=16)
    part = models.CharField(max_length=16)
    happened_at = models.DateTimeField()
    equipment = models.ForeignKey("lots.Equipment", models.PROTECT, null=True, related_name="steps")
    continues = models.ForeignKey("self", models.PROTECT, null=True, related_name="continued_by")
    corrects = models.ForeignKey("self", models.PROTECT, null=True, related_name="corrected_by", db_index=False)
    reason = models.CharField(max_length=200, blank=True)
    questioned = models.CharField(max_length=400, blank=True)

    class Meta:
        """Id order is the order of time of record and so a topological order."""

        db_table = "step"
        indexes = [
            models.Index(fields=["stage", "happened_at"], name="step_stage_time"),
            # Nearly every step corrects nothing: a full index would look useless to a planner that knows averages.
            models.Index(fields=["corrects"], condition=Q(corrects__isnull=False), name="step_corrected"),
        ]
        constraints = [
            CheckConstraint(condition=Q(continues__isnull=True) | Q(continues__lt=F("id")), name="step_continues_earlier"),
            CheckConstraint(condition=Q(corrects__isnull=True) | Q(corrects__lt=F("id")), name="step_corrects_earlier"),
        ]

    def __str__(self) -> str:
        return f"{self.stage} step {self.pk}"

    @property
    def run_id(self) -> int:
        """The id of the first step of the run that this step belongs to."""
        return int(self.continues_id or self.pk)


class Lot(models.Model):
    """A quantity of one material under one public code, opened by exactly one step.

    ``mass_mg`` is what the opening step put into it; corrections are flows of their own. ``maker_ref`` is the maker's own
    reference (the code of a season file). ``owner`` and ``holder`` None mean the mill itself.
    """

    id = models.BigIntegerField(primary_key=True)
    code = models.CharField(max_length=16, unique=True)
    maker_ref = models.CharField(max_length=40, blank=True, db_index=True)
    material = models.CharField(max_length=16)
    step = models.ForeignKey(Step, models.PROTECT, related_name="opened")
    mass_mg = models.BigIntegerField()
    owner = models.ForeignKey("lots.Party", models.PROTECT, null=True, related_name="+")
    holder = models.ForeignKey("lots.Party", models.PROTECT, null=True, related_name="+")

    class Meta:
        """Codes are stored folded: capitals and digits, no hyphen."""

        db_table = "lot"
        indexes = [models.Index(fields=["material", "id"], name="lot_material")]
        constraints = [CheckConstraint(condition=Q(mass_mg__gte=0), name="lot_mass_not_negative")]

    def __str__(self) -> str:
        return self.maker_ref or self.code


class Flow(models.Model):
    """One line of a step. ``mass_mg`` is signed only on differences and on lines of a correction.

    ``sample`` names the moisture determination: lines with one sample share its error. ``moisture_how`` says whether the
    figure was measured here, taken over from the lot, or assumed by the maker's rule.
    """

    class Kind(models.TextChoices):
        """The four kinds of line."""

        IN = "in"
        OUT = "out"
        LOST = "lost"
        DIFFERENCE = "difference"

    class How(models.TextChoices):
        """Where a moisture came from."""

        MEASURED = "measured"
        TAKEN_OVER = "taken over"
        ASSUMED = "assumed"
        UNKNOWN = ""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey(Step, models.PROTECT, related_name="flows")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    role = models.CharField(max_length=16)
    lot = models.ForeignKey(Lot, models.PROTECT, null=True, related_name="flows")
    mass_mg = models.BigIntegerField()
    reading_count = models.IntegerField(default=1)
    moisture_frac = frac(null=True)
    u_moisture_frac = frac(null=True)
    moisture_how = models.CharField(max_length=10, choices=How.choices, blank=True)
    sample = models.CharField(max_length=24, blank=True)
    scale = models.ForeignKey("lots.Scale", models.PROTECT, null=True, related_name="flows")
    empties = models.BooleanField(default=False)

    class Meta:
        """The lot index answers "what happened to this lot"."""

        db_table = "flow"
        constraints = [
            CheckConstraint(
                condition=Q(moisture_frac__isnull=True) | Q(moisture_frac__gte=0, moisture_frac__lt=1), name="flow_moisture_wet_basis"
            ),
            CheckConstraint(condition=Q(kind="lost") | Q(lot__isnull=False), name="flow_names_its_lot"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.role} {self.mass_mg} mg"


class LotEntry(models.Model):
    """The n-th journal entry that touches a lot; the body of the entry carries the same n and the hash before it."""

    id = models.BigIntegerField(primary_key=True)
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="entries")
    n = models.IntegerField()
    entry = models.ForeignKey(JournalEntry, models.PROTECT, related_name="lot_entries")

    class Meta:
        """A lot's entries are counted from 1 without a gap."""

        db_table = "lot_entry"
        constraints = [UniqueConstraint(fields=["lot", "n"], name="lot_entry_counted_once")]

    def __str__(self) -> str:
        return f"entry {self.n} of lot {self.lot_id}"

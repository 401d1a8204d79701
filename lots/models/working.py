"""Tables that are not the book: the head that every writer takes first, erasable values, and derived answers.

JSON stands as text: a JSONField puts a check on the table that SQLite refuses under ``trusted_schema=OFF``.
"""

from __future__ import annotations

from django.db import models
from django.db.models import UniqueConstraint


class JournalHead(models.Model):
    """The end of the journal: read first, under a lock, before stock is looked at. Holds the next ids of the spine, so that
    ids rise without gaps and are equal on every engine, and the frontier of the tree over all leaf hashes."""

    id = models.SmallIntegerField(primary_key=True, default=1)
    size = models.BigIntegerField(default=0)
    frontier = models.BinaryField(default=b"")
    next_ids = models.TextField(default="{}")

    class Meta:
        """One row."""

        db_table = "journal_head"

    def __str__(self) -> str:
        return f"{self.size} entries"


class ActKey(models.Model):
    """The digest of what an act asked: the same id with the same digest gives the first answer again, with another it is
    refused. It is about persons as the content is, so it stands outside the journal and can be erased."""

    act_id = models.UUIDField(primary_key=True)
    seq = models.BigIntegerField()
    fingerprint = models.CharField(max_length=64)

    class Meta:
        """Erasable."""

        db_table = "act_key"

    def __str__(self) -> str:
        return str(self.act_id)


class PrivateValue(models.Model):
    """A value about a person or an exact place, with its salt. Erasing the row keeps every proof valid."""

    commitment = models.CharField(max_length=64, primary_key=True)
    salt = models.BinaryField(max_length=16)
    value = models.TextField()

    class Meta:
        """Erasable."""

        db_table = "private_value"

    def __str__(self) -> str:
        return self.commitment[:12]


class PackSecret(models.Model):
    """The random secret of one packing run, from which its pack codes are computed. Never in the journal or a dossier."""

    run_no = models.BigIntegerField(primary_key=True)
    secret = models.BinaryField(max_length=32)

    class Meta:
        """Erasable: without it the run's packs can no longer be told from invented ones."""

        db_table = "pack_secret"

    def __str__(self) -> str:
        return f"run {self.run_no}"


class Opening(models.Model):
    """When a pack's page was first opened. Outside the book, purgeable, no address kept."""

    id = models.BigAutoField(primary_key=True)
    run_no = models.BigIntegerField()
    pack_no = models.IntegerField()
    first_at = models.DateTimeField()

    class Meta:
        """One row a pack."""

        db_table = "opening"
        constraints = [UniqueConstraint(fields=["run_no", "pack_no"], name="opening_once")]

    def __str__(self) -> str:
        return f"pack {self.run_no}/{self.pack_no}"


class Stock(models.Model):
    """What the book says is left of a lot; derived from its flows. ``emptied`` when a draw or count said so."""

    lot = models.OneToOneField("lots.Lot", models.PROTECT, primary_key=True, related_name="stock")
    book_mg = models.BigIntegerField()
    emptied = models.BooleanField(default=False)

    class Meta:
        """Derived."""

        db_table = "stock"
        indexes = [models.Index(fields=["emptied", "lot"], name="stock_open")]

    def __str__(self) -> str:
        return f"{self.book_mg} mg"


class Edge(models.Model):
    """Of the dry mass that went into ``step`` the share ``share_frac`` came from ``source``. Derived."""

    id = models.BigAutoField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="+", db_index=False)
    source = models.ForeignKey("lots.Step", models.PROTECT, related_name="+", db_index=False)
    share_frac = models.FloatField()

    class Meta:
        """Read both ways."""

        db_table = "edge"
        constraints = [UniqueConstraint(fields=["step", "source"], name="edge_once")]
        indexes = [models.Index(fields=["source", "step"], name="edge_reverse")]

    def __str__(self) -> str:
        return f"{self.source_id} -> {self.step_id}"


class Origin(models.Model):
    """Where a step's composition is stored: its own, or that of the one step that it comes from. Derived."""

    step = models.OneToOneField("lots.Step", models.PROTECT, primary_key=True, related_name="origin")
    held_by = models.ForeignKey("lots.Step", models.PROTECT, related_name="+", db_index=False)

    class Meta:
        """Derived."""

        db_table = "origin"

    def __str__(self) -> str:
        return f"{self.step_id} as {self.held_by_id}"


class Composition(models.Model):
    """One share of a composition: harvest step, its plot's code, share of dry mass. ``harvest`` None: not known. Derived."""

    id = models.BigAutoField(primary_key=True)
    held_by = models.ForeignKey("lots.Step", models.PROTECT, related_name="shares", db_index=False)
    harvest = models.ForeignKey("lots.Step", models.PROTECT, null=True, related_name="+", db_index=False)
    plot_code = models.CharField(max_length=16, blank=True)
    share_frac = models.FloatField()

    class Meta:
        """Read by step, and from a harvest forward."""

        db_table = "composition"
        constraints = [UniqueConstraint(fields=["held_by", "harvest"], name="composition_once")]
        indexes = [models.Index(fields=["harvest", "held_by"], name="composition_reverse")]

    def __str__(self) -> str:
        return f"{self.share_frac:.4f} of {self.held_by_id}"


class HoldReach(models.Model):
    """A hold reaches this step: the step's lots hold leaf of the held lot. Derived."""

    id = models.BigAutoField(primary_key=True)
    hold = models.ForeignKey("lots.Hold", models.PROTECT, related_name="reach", db_index=False)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="+")

    class Meta:
        """Once each."""

        db_table = "hold_reach"
        constraints = [UniqueConstraint(fields=["hold", "step"], name="hold_reach_once")]

    def __str__(self) -> str:
        return f"hold {self.hold_id} reaches {self.step_id}"


class PackFace(models.Model):
    """What the page of a pack may say, gathered once when the run is packed (or corrected). Derived."""

    unit = models.OneToOneField("lots.PackedUnit", models.PROTECT, primary_key=True, related_name="face")
    facts = models.TextField()

    class Meta:
        """Derived."""

        db_table = "pack_face"

    def __str__(self) -> str:
        return f"face of {self.unit_id}"

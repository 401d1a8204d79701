"""Holds: a lot is stopped, fetched back, or let go again. Each is a row; a release points at the hold that it ends."""

from __future__ import annotations

from django.db import models


class Hold(models.Model):
    """A word that stops a lot and everything made of it, or the word that ends such a stop."""

    class Kind(models.TextChoices):
        """The three words."""

        HOLD = "hold"
        RECALL = "recall"
        RELEASE = "release"

    id = models.BigIntegerField(primary_key=True)
    entry = models.ForeignKey("lots.JournalEntry", models.PROTECT, related_name="holds")
    lot = models.ForeignKey("lots.Lot", models.PROTECT, related_name="holds")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    happened_at = models.DateTimeField()
    reason = models.CharField(max_length=400)
    what_to_do = models.CharField(max_length=400, blank=True)
    what_to_do_ja = models.CharField(max_length=400, blank=True)
    ends = models.OneToOneField("self", models.PROTECT, null=True, related_name="ended_by")

    class Meta:
        """Holds."""

        db_table = "hold"

    def __str__(self) -> str:
        return f"{self.kind} of lot {self.lot_id}"

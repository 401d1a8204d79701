"""The words of labels, and the rows of which one act around packs writes several."""

from __future__ import annotations

from django.db import models

from lots.models.equipment import Product
from lots.models.registers import Register, Staff, once


class LabelVersion(Register):
    """The words of a product's label, and who checked them. ``origin_valley`` is the place that the label names, and
    ``origin_claim`` how: all of the leaf, or a blend; empty place: none is named."""

    class Origin(models.TextChoices):
        """What the label says of the place."""

        NONE = "none"
        WHOLE = "whole"
        BLEND = "blend"

    product = models.ForeignKey(Product, models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    ingredients = models.CharField(max_length=120)
    origin = models.CharField(max_length=120)
    origin_valley = models.CharField(max_length=80, blank=True)
    origin_claim = models.CharField(max_length=8, choices=Origin.choices, default=Origin.NONE)
    net_mg = models.BigIntegerField()
    keeps_days = models.IntegerField(default=180)
    keeps_months = models.IntegerField(default=0)
    keeps_from = models.CharField(max_length=8, choices=Product.From.choices, default=Product.From.PACKING)
    best_before_form = models.CharField(max_length=8, choices=Product.Form.choices, default=Product.Form.DAY)
    storage = models.CharField(max_length=200)
    business = models.CharField(max_length=200)
    claims = models.CharField(max_length=200, blank=True)
    checked_by = models.ForeignKey(Staff, models.PROTECT, null=True, related_name="+")

    class Meta:
        """Labels; a change of words is a new version."""

        db_table = "label_version"
        constraints = once("label_version")


class CheckedPack(models.Model):
    """One pack of a check-weighing, in the order of weighing."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="checked_packs")
    content_mg = models.BigIntegerField()

    class Meta:
        """Packs that were weighed one by one."""

        db_table = "checked_pack"

    def __str__(self) -> str:
        return f"{self.content_mg} mg"


class PackagingUsed(models.Model):
    """Tins, bags or lids of one packaging lot that went into a series: how many stand on the shelf as packs, how many were
    spoiled. ``code`` is the lot's own code as it is scanned: the house's, or the supplier's."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="packaging_used")
    code = models.CharField(max_length=40, db_index=True)
    used_count = models.IntegerField()
    spoiled_count = models.IntegerField()

    class Meta:
        """Packaging by series, written with the count of its labels."""

        db_table = "packaging_used"

    def __str__(self) -> str:
        return f"{self.used_count} of {self.code}"


class SampleSeen(models.Model):
    """How many kept samples of a series a round should have met, and how many it met."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="samples_seen")
    unit = models.ForeignKey("lots.PackedUnit", models.PROTECT, related_name="seen")
    expected_count = models.IntegerField()
    seen_count = models.IntegerField()

    class Meta:
        """What a round met."""

        db_table = "sample_seen"

    def __str__(self) -> str:
        return f"{self.seen_count} of {self.expected_count}"

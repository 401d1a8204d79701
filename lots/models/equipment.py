"""Registers of things: machines, stones, screens, scales, products, and what the maker expects of stages and moistures."""

from __future__ import annotations

from django.db import models

from lots.models.fields import decimal, frac
from lots.models.registers import Register, once


class Equipment(Register):
    """A machine of the mill, whether leaf passes through it or it looks at what passes."""

    class Kind(models.TextChoices):
        """The machines of a stone mill."""

        STEAMER = "steamer"
        OVEN = "oven"
        DRYER = "dryer"
        CUTTER = "cutter"
        SORTER = "sorter"
        STONE_PAIR = "stone_pair"
        SIEVE = "sieve"
        FILLER = "filler"
        MIXER = "mixer"
        MAGNET = "magnet"
        DETECTOR = "detector"

    kind = models.CharField(max_length=12, choices=Kind.choices)
    name = models.CharField(max_length=80)

    class Meta:
        """Machines."""

        db_table = "equipment"
        constraints = once("equipment")


class StonePair(Register):
    """Upper and lower stone and pin that run as one set. ``dressed_h`` is what it had run on its dressing when this version
    began: a dressing is a new version that begins at 0."""

    equipment = models.ForeignKey(Equipment, models.PROTECT, related_name="pairs")
    upper = models.CharField(max_length=24)
    lower = models.CharField(max_length=24)
    pin = models.CharField(max_length=24, blank=True)
    dressed_h = decimal(2, default=0)

    class Meta:
        """Stone pairs."""

        db_table = "stone_pair"
        constraints = once("stone_pair")


class Screen(Register):
    """A sieve's screen by the width of its openings."""

    equipment = models.ForeignKey(Equipment, models.PROTECT, related_name="screens")
    aperture_um = models.IntegerField()

    class Meta:
        """Screens."""

        db_table = "screen"
        constraints = once("screen")


class Scale(Register):
    """A scale as its plate says; classes after OIML R 76."""

    name = models.CharField(max_length=80, blank=True)
    division_mg = models.BigIntegerField()
    interval_mg = models.BigIntegerField()
    u_repeat_mg = decimal(2)
    accuracy_class = models.CharField(max_length=4)
    capacity_mg = models.BigIntegerField()
    decimals_count = models.IntegerField(default=2)

    class Meta:
        """Scales."""

        db_table = "scale"
        constraints = once("scale")


class Product(Register):
    """A pack as it is sold: kind of pack, net content, and the rule of its best-before day: so many months, or where these
    are 0 so many days, from packing or milling. Kept samples stay ``sample_days`` longer."""

    class Kind(models.TextChoices):
        """Kinds of pack."""

        TIN = "tin"
        BAG = "bag"
        STICK = "stick"

    class From(models.TextChoices):
        """The day from which best-before counts."""

        PACKING = "packing"
        MILLING = "milling"

    class Form(models.TextChoices):
        """How best-before is printed: as a day, or as year and month."""

        DAY = "day"
        MONTH = "month"

    name = models.CharField(max_length=120)
    name_ja = models.CharField(max_length=120, blank=True)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    net_mg = models.BigIntegerField()
    keeps_days = models.IntegerField(default=180)
    keeps_months = models.IntegerField(default=0)
    keeps_from = models.CharField(max_length=8, choices=From.choices, default=From.PACKING)
    best_before_form = models.CharField(max_length=8, choices=Form.choices, default=Form.DAY)
    sample_days = models.IntegerField(default=90)

    class Meta:
        """Products."""

        db_table = "product"
        constraints = once("product")


class StageExpectation(Register):
    """What a stage usually loses, as shares of its dry input; ``code`` is the stage."""

    loss_frac = frac()
    sd_frac = frac()
    lot_count = models.IntegerField(default=0)

    class Meta:
        """Expectations."""

        db_table = "stage_expectation"
        constraints = once("stage_expectation")


class MoistureRule(Register):
    """How well a class of material's moisture is known, and what is assumed of a by-product that nobody measured.

    ``code`` is a moisture class (fresh, crude, refined, powder) or a material.
    """

    u_moisture_frac = frac()
    assumed_frac = frac(null=True)

    class Meta:
        """Moisture rules."""

        db_table = "moisture_rule"
        constraints = once("moisture_rule")

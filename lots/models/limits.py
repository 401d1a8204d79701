"""Limits of results by market, what the house asks before a release, and the results that a decision names."""

from __future__ import annotations

from django.db import models

from lots.models.registers import Register, Staff, once


class Unit(models.TextChoices):
    """Units of results and limits."""

    MG_PER_KG = "mg/kg"
    UG_PER_KG = "ug/kg"
    G_PER_KG = "g/kg"
    G_PER_100_G = "g/100 g"
    BQ_PER_KG = "Bq/kg"
    UM = "um"
    CFU_PER_G = "CFU/g"
    IN_25_G = "in 25 g"
    OF_ASH = "% of ash"
    RATIO = "ratio"


class Basis(models.TextChoices):
    """On what a figure is reckoned."""

    AS_SOLD = "as sold"
    DRY = "dry"
    INFUSION = "infusion"


class Limit(Register):
    """One row of a limit table: market, parameter, days. ``value`` is a decimal as text in ``unit``; ``clause`` where the law or
    standard says it, ``read_in`` where we read it, ``checked_by`` the second pair of eyes; ``informs`` rows stop nothing."""

    class Bound(models.TextChoices):
        """On which side a result has to lie."""

        AT_MOST = "at most"
        AT_LEAST = "at least"

    market = models.CharField(max_length=40)
    parameter = models.CharField(max_length=120)
    material = models.CharField(max_length=80, blank=True)
    basis = models.CharField(max_length=12, choices=Basis.choices, default=Basis.AS_SOLD)
    bound = models.CharField(max_length=8, choices=Bound.choices, default=Bound.AT_MOST)
    value = models.CharField(max_length=20)
    unit = models.CharField(max_length=12, choices=Unit.choices)
    clause = models.CharField(max_length=200)
    read_in = models.CharField(max_length=200)
    caution = models.CharField(max_length=400, blank=True)
    checked_by = models.ForeignKey(Staff, models.PROTECT, null=True, related_name="+")
    valid_from_on = models.DateField(null=True)
    valid_to_on = models.DateField(null=True)
    informs = models.BooleanField(default=False)

    class Meta:
        """Limits."""

        db_table = "limit_row"
        constraints = once("limit_row")


class ReleaseRule(Register):
    """What the house asks before a lot goes to a market; the code is the market, or ``ALL``. ``consignees`` names whom it
    concerns by code, empty: everybody."""

    two_persons = models.BooleanField(default=False)
    others_results = models.BooleanField(default=False)
    before_dispatch = models.BooleanField(default=False)
    consignees = models.CharField(max_length=200, blank=True)

    class Meta:
        """Release rules."""

        db_table = "release_rule"
        constraints = once("release_rule")


class DecisionGround(models.Model):
    """One result that a decision names, with the limit version it was compared with (None: no row of the table) and the answer."""

    id = models.BigIntegerField(primary_key=True)
    step = models.ForeignKey("lots.Step", models.PROTECT, related_name="grounds")
    result = models.ForeignKey("lots.Step", models.PROTECT, related_name="+")
    limit = models.ForeignKey(Limit, models.PROTECT, null=True, related_name="+")
    answer = models.CharField(max_length=16, blank=True)
    doubt = models.CharField(max_length=60, blank=True)

    class Meta:
        """Grounds."""

        db_table = "decision_ground"

    def __str__(self) -> str:
        return f"{self.answer or 'no limit'} of step {self.result_id}"

"""Registers about goods from outside: certificates of suppliers, kinds of packaging."""

from __future__ import annotations

from django.db import models
from django.db.models import CheckConstraint, F, Q

from lots.models.registers import Party, Register, once


class Certificate(Register):
    """A paper of a party: what it says of which materials, who issued it, and from which day to which it holds."""

    class Kind(models.TextChoices):
        """What a certificate says."""

        ORGANIC = "organic"
        CONVERSION = "in conversion"
        OTHER = "other"

    party = models.ForeignKey(Party, models.PROTECT, related_name="certificates")
    kind = models.CharField(max_length=16, choices=Kind.choices, default=Kind.ORGANIC)
    number = models.CharField(max_length=60)
    issuer = models.CharField(max_length=80)
    materials = models.CharField(max_length=200)
    holds_from_on = models.DateField()
    holds_until_on = models.DateField()
    file_sha256 = models.CharField(max_length=64, blank=True)

    class Meta:
        """Certificates."""

        db_table = "certificate"
        constraints = [
            *once("certificate"), CheckConstraint(condition=Q(holds_until_on__gte=F("holds_from_on")), name="certificate_days_in_order"),
        ]


class PackagingItem(Register):
    """A kind of packaging that the house buys."""

    class Kind(models.TextChoices):
        """What it is for."""

        TIN = "tin"
        BAG = "bag"
        LID = "lid"
        LABEL = "label"
        ABSORBER = "absorber"
        CARTON = "carton"

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=8, choices=Kind.choices)

    class Meta:
        """Packaging by name."""

        db_table = "packaging_item"
        constraints = once("packaging_item")

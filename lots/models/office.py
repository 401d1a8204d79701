"""The office: what makes one lot, how long records are kept, who may enter what, who is called, and accounts that end."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from lots.models.fields import SealedField
from lots.models.registers import Party, Register, Staff, once


class PartyContact(Register):
    """One of several ways to reach a party: for what, and how. Person and contact are sealed."""

    class Use(models.TextChoices):
        """What a contact is for."""

        OFFICE = "office"
        BILL_TO = "bill to"
        SHIP_TO = "ship to"
        QUALITY = "quality"
        RECALL = "recall"

    party = models.ForeignKey(Party, models.PROTECT, related_name="contacts")
    use = models.CharField(max_length=10, choices=Use.choices, default=Use.OFFICE)
    person = SealedField()
    contact = SealedField()
    address = SealedField()

    class Meta:
        """Contacts of parties."""

        db_table = "party_contact"
        constraints = once("party_contact")


class LotRule(Register):
    """What makes one lot ("practically the same conditions"), and where its code comes from. The code names the material,
    or ``ALL``."""

    text = models.CharField(max_length=600)
    text_ja = models.CharField(max_length=600, blank=True)
    codes_from = models.CharField(max_length=200)
    source = models.CharField(max_length=120, blank=True)

    class Meta:
        """Lot rules."""

        db_table = "lot_rule"
        constraints = once("lot_rule")


class RetentionRule(Register):
    """How long records of one kind are kept, and who says so. Of several rules the longest holds."""

    class Records(models.TextChoices):
        """The kinds of records."""

        ALL = "all records"
        FIELD = "field"
        GOODS_IN = "goods in"
        MILL = "work in the mill"
        PACKS = "packs"
        GOING_OUT = "going out"
        PERSONS = "persons"
        OPENINGS = "openings"

    class Since(models.TextChoices):
        """From which day the years are counted."""

        WRITTEN = "entry"
        BEST_BEFORE = "best before"

    records = models.CharField(max_length=20, choices=Records.choices, default=Records.ALL)
    year_count = models.IntegerField()
    since = models.CharField(max_length=12, choices=Since.choices, default=Since.WRITTEN)
    source = models.CharField(max_length=120)

    class Meta:
        """Retention rules."""

        db_table = "retention_rule"
        constraints = once("retention_rule")


class Authorisation(Register):
    """Who may enter what: for which stages a badge was trained, when, by whom, and until when it holds."""

    staff = models.ForeignKey(Staff, models.PROTECT, related_name="authorisations")
    stages = models.CharField(max_length=200)
    trained_on = models.DateField()
    trained_by = models.ForeignKey(Staff, models.PROTECT, related_name="+")
    valid_until_on = models.DateField(null=True)

    class Meta:
        """Authorisations."""

        db_table = "authorisation"
        constraints = once("authorisation")


class RecallTeam(Register):
    """One task of a recall: who does it, who stands in, both telephones (sealed), and when the plan was last tried."""

    task = models.CharField(max_length=120)
    person = SealedField()
    phone = SealedField()
    deputy = SealedField()
    deputy_phone = SealedField()
    tested_on = models.DateField(null=True)

    class Meta:
        """The recall team."""

        db_table = "recall_team"
        constraints = once("recall_team")


class AuthorityContact(Register):
    """Whom to call at the authority of a market when food has to be fetched back."""

    market = models.CharField(max_length=60)
    authority = models.CharField(max_length=120)
    contact_line = models.CharField(max_length=200)
    checked_on = models.DateField(null=True)

    class Meta:
        """Authorities by market."""

        db_table = "authority_contact"
        constraints = once("authority_contact")


class AccountEnd(models.Model):
    """When an account ends by itself. Working: it speaks of the door, not of leaf, and may be brought forward."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, primary_key=True, related_name="ends")
    ends_at = models.DateTimeField()
    made_by = models.CharField(max_length=24, blank=True)

    class Meta:
        """One row an account."""

        db_table = "account_end"

    def __str__(self) -> str:
        return f"account {self.user_id} until {self.ends_at}"

"""What an office enters once: a row in each of its registers."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone

from tests import factories as make


def settle_office() -> None:
    """A lot rule, a retention rule, an authorisation, one task of the recall team, an authority, a second contact of a buyer."""
    day = timezone.localdate()
    make.enter("lot_rule", "ALL", text="Leaf of one plot and cultivar plucked on one day.", codes_from="The ledger gives every code.")
    make.enter("retention_rule", "EU", records="all records", year_count=5, since="entry", source="our control body")
    make.enter("recall_team", "LEAD", task="Leads the recall", person="Kei Mori", phone="line 12", deputy="Mio Mori",
               deputy_phone="line 13", tested_on=day - dt.timedelta(days=30))
    make.enter("authority_contact", "JP", market="Japan", authority="Health centre of the valley", contact_line="line 99")
    make.enter("authorisation", "F-1", staff="F", stages="ALL", trained_on=day - dt.timedelta(days=300), trained_by="C")
    make.enter("party_contact", "B1-QA", party="B1", use="quality", person="Ms Sparrow", contact="line 7", address="4 Reed Lane")

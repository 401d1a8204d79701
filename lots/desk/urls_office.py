"""Addresses of the office and of an inspector's questions, and who may open each."""

from __future__ import annotations

from types import MappingProxyType

from django.urls import URLPattern, path

from lots.desk import office, office_accounts, office_plan, office_plot, office_records, period, yields
from lots.desk.doors import ADMINISTRATOR, AUDITOR, QUALITY, RECALL_LEAD

#: Who answers an inspector, and the inspector.
OFFICE = frozenset({QUALITY, RECALL_LEAD, AUDITOR, ADMINISTRATOR})

#: Roles by the name of the page.
OFFICE_ROLES = MappingProxyType({
    **dict.fromkeys((
        "office", "office-balance", "office-balance-figure", "office-yields", "office-plot", "office-plan", "office-indicators",
        "office-late", "office-keeping", "office-authorisations",
    ), OFFICE),
    "office-accounts": frozenset({AUDITOR, ADMINISTRATOR}),
    "office-accounts-open": frozenset({ADMINISTRATOR}), "office-accounts-end": frozenset({ADMINISTRATOR}),
})

office_patterns: list[URLPattern] = [
    path("office/", office.office, name="office"),
    path("office/balance/", period.period, name="office-balance"),
    path("office/balance/file/", period.period_file, name="office-balance-file"),
    path("office/balance/figure/", period.figure, name="office-balance-figure"),
    path("office/yields/", yields.yields, name="office-yields"),
    path("office/late/", office_records.late, name="office-late"),
    path("office/keeping/", office_records.keeping, name="office-keeping"),
    path("office/authorisations/", office_records.authorisations, name="office-authorisations"),
    path("office/plot/", office_plot.plot_packs, name="office-plot"),
    path("office/plan/", office_plan.plan, name="office-plan"),
    path("office/plan/file/", office_plan.plan_file, name="office-plan-file"),
    path("office/indicators/", office_plan.figures, name="office-indicators"),
    path("office/accounts/", office_accounts.account_list, name="office-accounts"),
    path("office/accounts/open/", office_accounts.account_open, name="office-accounts-open"),
    path("office/accounts/end/", office_accounts.account_end, name="office-accounts-end"),
]

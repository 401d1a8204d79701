"""The doors of the desk: every screen by name, in both languages, and who goes through which."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from django.db.models import Exists
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from lots.models import AccountEnd

CLERK, PACKING, QUALITY, RECALL_LEAD = "clerk", "packing", "quality", "recall_lead"
AUDITOR, ADMINISTRATOR = "auditor", "administrator"
ROLES = (CLERK, PACKING, QUALITY, RECALL_LEAD, AUDITOR, ADMINISTRATOR)
EVERYBODY = frozenset(ROLES)
HANDS = frozenset({CLERK, PACKING, QUALITY, ADMINISTRATOR})
MILL_HANDS = frozenset({CLERK, QUALITY, ADMINISTRATOR})
DOORS_SHOWN_MAX = 5


@dataclass(frozen=True, slots=True)
class Door:
    """One screen that can be entered from any page. ``also`` names pages behind it whose url name does not begin with
    its own; those that do (``milling-tub`` behind ``milling``) are found without."""

    url_name: str
    english: str | Promise
    japanese: str
    roles: frozenset[str] = EVERYBODY
    also: tuple[str, ...] = ()

    def title(self, language: str) -> str:
        """Return the door's words in a language; the catalogue is not asked, so that both stand on every page."""
        return self.japanese if language.startswith("ja") else str(self.english)

    def url(self) -> str:
        """Return the address, or nothing while no page has that name."""
        try:
            return reverse(self.url_name)
        except NoReverseMatch:
            return ""

    def leads_to(self, view_name: str) -> bool:
        """Tell whether a page is this door's own or one behind it."""
        return view_name in {self.url_name, *self.also} or view_name.startswith(f"{self.url_name}-")


DOORS = (
    Door("today", _("Today"), "今日"),
    Door("harvest", _("Leaf in"), "荷受", MILL_HANDS),
    Door("receiving", _("Goods in"), "入荷", HANDS),
    Door("drying", _("Oven"), "炉", MILL_HANDS),
    Door("refining", _("Sorting"), "仕立て", MILL_HANDS),
    Door("milling", _("Stones"), "石臼", HANDS),
    Door("sieving", _("Sieve"), "篩", HANDS),
    Door("packing", _("Tins and bags"), "包装", HANDS),
    Door("dispatch", _("Going out"), "出荷", HANDS | {RECALL_LEAD}),
    Door("balance", _("Does it add up?"), "合うか"),
    Door("season", _("The season"), "一年の流れ"),
    Door("trace", _("Where from, where to"), "由来と行先"),
    Door("holding", _("Hold and fetch back"), "止めて戻す"),
    Door("release", _("Tests and release"), "検査と出荷判定"),
    Door("counting", _("Stock count"), "棚卸", HANDS),
    Door("shelving", _("Cold shelves"), "冷蔵棚", HANDS | {AUDITOR}),
    Door("blending", _("Bins and blends"), "寄せと合組", HANDS | {AUDITOR}),
    Door("cleaning", _("Clean-down"), "清掃", HANDS),
    Door("checks", _("Checks"), "点検", HANDS | {AUDITOR}),
    Door("field", _("Field work"), "畑仕事", MILL_HANDS),
    Door("lots", _("Lots"), "ロット"),
    Door("lot-book", _("Lot book"), "ロット帳", also=("lot",)),
    Door("registers", _("Registers"), "登録簿", frozenset({QUALITY, AUDITOR, ADMINISTRATOR})),
    Door("office", _("Office and inspector"), "事務と検査", frozenset({QUALITY, RECALL_LEAD, AUDITOR, ADMINISTRATOR})),
    Door("corrections", _("Corrections"), "訂正"),
    Door("papers", _("Papers"), "書類", also=("dossier", "recall", "recall-report", "label-sheet")),
)

#: The doors at the head of the page, by role; the rest stands under Contents.
FIRST_DOORS = MappingProxyType({
    CLERK: ("today", "milling", "sieving", "balance", "trace"),
    PACKING: ("today", "packing", "sieving", "dispatch", "trace"),
    QUALITY: ("today", "balance", "holding", "lots", "trace"),
    RECALL_LEAD: ("today", "holding", "trace", "dispatch", "lots"),
    AUDITOR: ("balance", "season", "lots", "trace", "papers"),
    ADMINISTRATOR: ("today", "milling", "sieving", "balance", "trace"),
})


def roles_of(user: Any) -> frozenset[str]:
    """Return the roles of an account: the names of its groups; a superuser has all, a stranger and one whose time is over none."""
    if not getattr(user, "is_authenticated", False):
        return frozenset()
    if user.is_superuser:
        return EVERYBODY
    if not hasattr(user, "roles_known"):  # one question a request: the account is read anew for each
        over = AccountEnd.objects.filter(user=user.pk, ends_at__lte=timezone.now())
        user.roles_known = EVERYBODY & frozenset(user.groups.filter(~Exists(over)).values_list("name", flat=True))
    return user.roles_known  # type: ignore[no-any-return]


def contents(roles: frozenset[str]) -> tuple[Door, ...]:
    """Return every door that these roles may open and that leads somewhere, in the order of the book."""
    return tuple(door for door in DOORS if door.roles & roles and door.url())


def current_door(view_name: str) -> Door | None:
    """Return the door of the page with this url name, the longest name first."""
    found = [door for door in DOORS if view_name and door.leads_to(view_name)]
    return max(found, key=lambda door: len(door.url_name), default=None)


def head_doors(roles: frozenset[str], current: Door | None) -> tuple[Door, ...]:
    """Return at most five doors for the head of the page. The one that stands open is always among them."""
    first = next((FIRST_DOORS[role] for role in (ADMINISTRATOR, *ROLES) if role in roles), ())
    offered = contents(roles)
    shown = [door for name in first for door in offered if door.url_name == name]
    if current in offered and current not in shown:
        shown = [*shown[: DOORS_SHOWN_MAX - 1], current]
    return tuple(shown[:DOORS_SHOWN_MAX])

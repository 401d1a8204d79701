"""Addresses of the desk. Every page stands behind the guard of `access`, which knows it by its name."""

from __future__ import annotations

from django.urls import URLPattern, path

from lots.desk import accounts, correcting, field, holding, lamp, milling, registers, symbols
from lots.desk.access import admit, guarded
from lots.desk.cleaning import CleanView
from lots.desk.counting import CountView
from lots.desk.dispatch import DispatchView
from lots.desk.dressing import DressingView
from lots.desk.drying import DryingView
from lots.desk.harvest import IntakeView
from lots.desk.packing import PackingView
from lots.desk.recording import ActView
from lots.desk.refining import RefiningView
from lots.desk.shading import ShadingView
from lots.desk.sieving import SievingView
from lots.desk.treatment import TreatmentView
from lots.desk.tubs import TubView
from lots.desk.urls_checks import CHECKS_ROLES, checks_patterns
from lots.desk.urls_field import FIELD_ROLES, field_patterns
from lots.desk.urls_goods import GOODS_ROLES, goods_patterns
from lots.desk.urls_house import HOUSE_ROLES, house_patterns
from lots.desk.urls_office import OFFICE_ROLES, office_patterns
from lots.desk.urls_packs import PACKS_ROLES, packs_patterns
from lots.desk.urls_papers import PAPER_ROLES, paper_patterns
from lots.desk.urls_reading import READING_ROLES, reading_patterns
from lots.desk.urls_release import RELEASE_ROLES, release_patterns
from lots.desk.urls_sale import SALE_ROLES, sale_patterns


def screen(route: str, view: type[ActView]) -> list[URLPattern]:
    """Return the address of a screen, and that of its live part where it has one."""
    found = [path(route, view.as_view(), name=view.page)]
    if view.has_live:
        found.append(path(f"{route}live/", view.as_view(live_only=True), name=f"{view.page}-live"))
    return found


admit(READING_ROLES, PAPER_ROLES, OFFICE_ROLES, PACKS_ROLES, FIELD_ROLES, SALE_ROLES, RELEASE_ROLES, HOUSE_ROLES, GOODS_ROLES, CHECKS_ROLES)
urlpatterns = guarded([
    path("sign-in/", accounts.SignIn.as_view(), name="sign-in"),
    path("sign-out/", accounts.SignOut.as_view(), name="sign-out"),
    path("lamp/", lamp.lamp, name="lamp"),
    path("read-symbol/", symbols.read_symbol, name="read-symbol"),
    path("field/", field.plots, name="field"),
    *screen("field/shading/", ShadingView),
    *screen("field/treatment/", TreatmentView),
    *screen("leaf-in/", IntakeView),
    *screen("oven/", DryingView),
    *screen("sorting/", RefiningView),
    path("stones/", milling.wall, name="milling"),
    *screen("stones/charge/", milling.LoadView),
    *screen("stones/tub/", TubView),
    *screen("stones/end/", milling.CloseView),
    *screen("stones/dressing/", DressingView),
    *screen("clean-down/", CleanView),
    *screen("sieve/", SievingView),
    *screen("tins-and-bags/", PackingView),
    *screen("going-out/", DispatchView),
    *screen("stock-count/", CountView),
    path("hold/", holding.board, name="holding"),
    *screen("hold/stop/", holding.HoldView),
    *screen("hold/fetch-back/", holding.RecallView),
    *screen("hold/<int:hold>/release/", holding.ReleaseView),
    path("registers/", registers.shelves, name="registers"),
    path("registers/<slug:table>/", registers.listing, name="registers-list"),
    path("registers/<slug:table>/file/", registers.listing_file, name="registers-list-file"),
    path("registers/<slug:table>/enter/", registers.EnterView.as_view(), name="registers-enter"),
    path("registers/<slug:table>/enter/<str:code>/", registers.EnterView.as_view(), name="registers-enter"),
    path("corrections/", correcting.corrections, name="corrections"),
    *screen("corrections/<int:step>/", correcting.AdjustView),
    *screen("corrections/<int:step>/did-not-happen/", correcting.ReverseView),
    *packs_patterns,
    *checks_patterns,
    *house_patterns,
    *goods_patterns,
    *paper_patterns,
    *office_patterns,
    *sale_patterns,
    *reading_patterns,
    *field_patterns,
    *release_patterns,
])

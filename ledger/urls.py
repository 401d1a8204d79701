"""Addresses: pack pages under p/, the switch of language, and the desk everywhere else."""

from django.urls import include, path
from django.views.i18n import set_language

urlpatterns = [
    path("p/", include("lots.public.urls")),
    # Symbols carry the address in capitals: they are smaller so.
    path("P/", include(("lots.public.urls", "public"), namespace="public-capitals")),
    path("language/", set_language, name="set_language"),
    path("", include("lots.desk.urls")),
]

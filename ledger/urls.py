"""Addresses: pack pages under p/, the switch of language, and the desk everywhere else."""

from django.urls import include, path
from django.views.i18n import set_language

urlpatterns = [
    path("p/", include("lots.public.urls")),
    path("language/", set_language, name="set_language"),
    path("", include("lots.desk.urls")),
]

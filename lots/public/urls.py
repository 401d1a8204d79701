"""Addresses that anyone may open."""

from django.urls import path

from lots.public.pack import pack

app_name = "public"

urlpatterns = [path("<str:code>", pack, name="pack"), path("<str:code>/", pack)]

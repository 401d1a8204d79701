"""Field work: the plots as they stand today."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from lots.read.fields import all_plots


def plots(request: HttpRequest) -> HttpResponse:
    """Show each plot: under cover since when, and from which day it may be plucked."""
    return render(request, "desk/field.html", {"plots": all_plots(timezone.localdate())})

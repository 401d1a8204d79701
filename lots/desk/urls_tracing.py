"""The address of the trace; who may open it stands with the other pages that read."""

from __future__ import annotations

from django.urls import URLPattern, path

from lots.desk import trace

tracing_patterns: list[URLPattern] = [
    path("trace/", trace.trace, name="trace"),
]

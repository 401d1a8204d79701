"""The page of a pack: anyone with the pack in hand may read it. No login, no cookie, no tracker."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone, translation
from django.views.decorators.http import require_safe

from lots.codes.packs import print_form, split
from lots.public.throttle import is_too_fast
from lots.public.told import told
from lots.read.pack_pages import find_pack, house_words
from lots.scans.openings import first_opened_at

LANGUAGES = ("en", "ja")


@require_safe
def pack(request: HttpRequest, code: str) -> HttpResponse:
    """Show one pack. Unknown, malformed and void codes are answered alike."""
    language = chosen_language(request)
    with translation.override(language):
        if is_too_fast(request):
            return answer(request, "public/too_fast.html", {}, 429)
        page = find_pack(split(code))
        if page is None:
            return answer(request, "public/unknown.html", {}, 404)
        opened = first_opened_at(page.run_no, page.pack_no) if request.method == "GET" else None
        facts = told(page, house_words(), language, timezone.localtime(timezone.now()).date())
        return answer(request, "public/pack.html", {"page": page, "told": facts, "opened": opened, "code": print_form(code)}, 200)


def chosen_language(request: HttpRequest) -> str:
    """Return the language asked for in the address, else the browser's."""
    asked = request.GET.get("lang", "")
    return asked if asked in LANGUAGES else translation.get_language_from_request(request)


def answer(request: HttpRequest, template: str, context: dict[str, object], status: int) -> HttpResponse:
    """Render a public page; a state may change at any moment, so nobody keeps a copy."""
    language = translation.get_language() or "en"
    other = "ja" if language.startswith("en") else "en"
    shared = {"house": house_words(), "language": language, "other": other}
    response = render(request, template, context | shared, status=status)
    response["Cache-Control"] = "no-store"
    response["X-Robots-Tag"] = "noindex, nofollow"
    response["Content-Language"] = language
    return response

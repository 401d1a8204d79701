"""How people look at the pages: sizes, colours, and a watch over what the browser has to complain about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth.models import AbstractBaseUser
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request


@dataclass(frozen=True)
class Sight:
    """One size and colour scheme."""

    name: str
    width: int
    height: int
    scheme: str
    touch: bool = False

    def __str__(self) -> str:
        return self.name


DESKTOP = Sight("desktop", 1280, 900, "light")
DESKTOP_DARK = Sight("desktop-dark", 1280, 900, "dark")
PHONE = Sight("phone", 390, 844, "light", touch=True)
PHONE_DARK = Sight("phone-dark", 390, 844, "dark", touch=True)
SIGHTS = (DESKTOP, DESKTOP_DARK, PHONE, PHONE_DARK)


class Watch:
    """Collects the browser's complaints on all pages of one site."""

    def __init__(self, address: str) -> None:
        self.host = urlsplit(address).netloc
        self.complaints: list[str] = []

    def attach(self, page: Page) -> None:
        page.on("console", self.note_line)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", self.note_address)
        page.on("requestfailed", self.note_failure)

    def note_line(self, line: ConsoleMessage) -> None:
        # A page that refuses something answers 4xx, which the browser calls an error; a missing style or script is one.
        refused = "responded with a status of 4" in line.text
        if line.type == "error" and not (refused and "/static/" not in line.location["url"]):
            self.complaints.append(f"{line.location['url']}: {line.text}")

    def note_address(self, request: Request) -> None:
        parts = urlsplit(request.url)
        if parts.scheme in {"http", "https", "ws", "wss"} and parts.netloc != self.host:
            self.complaints.append(f"asked an address outside: {request.url}")

    def note_failure(self, request: Request) -> None:
        # Leaving a page while something still loads, or taking a download, is no fault of the page.
        if request.failure != "net::ERR_ABORTED":
            self.complaints.append(f"{request.url}: {request.failure}")


def context_for(browser: Browser, seen: Sight, address: str, locale: str = "en-GB", *, scripts: bool = True) -> BrowserContext:
    """A fresh browser profile of that size and colour; without scripts where a test says so."""
    context = browser.new_context(
        base_url=address,
        viewport={"width": seen.width, "height": seen.height},
        device_scale_factor=2 if seen.touch else 1,
        is_mobile=seen.touch,
        has_touch=seen.touch,
        color_scheme="dark" if seen.scheme == "dark" else "light",
        reduced_motion="reduce",
        locale=locale,
        java_script_enabled=scripts,
        timezone_id=settings.TIME_ZONE,
    )
    context.set_default_timeout(10_000)
    return context


def sign_in(page: Page, user: AbstractBaseUser, address: str) -> None:
    """Signs in without typing the password; the sign-in screen has tests of its own."""
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    value: Any = client.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": value, "url": address, "httpOnly": True}])

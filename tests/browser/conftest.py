"""A real Chromium for the browser tests.

* ``sight`` runs a test four times: desktop and phone, light and dark (tests.browser.sights has them by name).
* ``open_page(sight)`` opens a page of that size in a profile of its own.
* ``page_as(sight, user)`` does the same with ``user`` signed in.

When the test ends, anything that the browser complained about (a script error, a blocked style, a file that is not
there, an address outside) fails it.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.contrib.auth.models import AbstractBaseUser
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser import chromium
from tests.browser.sights import DESKTOP, SIGHTS, Sight, Watch, context_for, sign_in

# The browser's driver keeps an event loop in the main thread, and Django would refuse the ORM there.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

FLAGS = [
    "--no-sandbox",  # root in a container has no user namespaces
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
OpenPage = Callable[..., Page]


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": chromium.require(), "args": FLAGS}


@pytest.fixture(params=SIGHTS, ids=str)
def sight(request: pytest.FixtureRequest) -> Sight:
    chosen: Sight = request.param
    return chosen


@pytest.fixture
def watch(live_server: Any) -> Watch:
    """A test that provokes a complaint on purpose takes it out of ``watch.complaints`` and asserts it."""
    return Watch(live_server.url)


@pytest.fixture
def open_page(browser: Browser, live_server: Any, watch: Watch) -> Iterator[OpenPage]:
    contexts: list[BrowserContext] = []

    def opened(seen: Sight = DESKTOP, *, locale: str = "en-GB", scripts: bool = True) -> Page:
        context = context_for(browser, seen, live_server.url, locale, scripts=scripts)
        context.on("page", watch.attach)
        contexts.append(context)
        return context.new_page()

    yield opened
    for context in contexts:
        context.close()
    assert watch.complaints == []


@pytest.fixture
def page_as(open_page: OpenPage, live_server: Any) -> OpenPage:
    def opened(seen: Sight, user: AbstractBaseUser, *, locale: str = "en-GB", scripts: bool = True) -> Page:
        page = open_page(seen, locale=locale, scripts=scripts)
        sign_in(page, user, live_server.url)
        return page

    return opened

"""The hands of a person at the desk: they scan, type, press Enter, and walk with Tab. Everything they do is counted."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User
from playwright.sync_api import Page, expect

from tests.factories import hand

PASSWORD = "mill-and-stone-7"
TABS_MOST = 200
PEN = """() => {
  const at = document.activeElement;
  const group = at.closest("fieldset, [role=radiogroup]");
  return {
    tag: at.tagName, type: at.type || "", name: at.name || "", checked: Boolean(at.checked),
    words: ((at.labels && at.labels[0] ? at.labels[0] : at).innerText || at.textContent || "").replace(/\\s+/g, " ").trim(),
    group: group ? (group.getAttribute("aria-label") || group.querySelector("legend").innerText) : "",
  };
}"""


class Hands:
    """One person with a keyboard and a scanner before one page. ``scans``, ``keys`` (Enter included) and ``taps`` count."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.scans = self.keys = self.taps = 0

    @property
    def pen(self) -> dict[str, Any]:
        """What has the focus."""
        found: dict[str, Any] = self.page.evaluate(PEN)
        return found

    def within(self, *, scans: int = 0, keys: int = 0, taps: int = 0) -> bool:
        """Tell whether no more was done than that."""
        return self.scans <= scans and self.keys <= keys and self.taps <= taps

    def scan(self, code: str) -> None:
        """A wedge scanner: a very fast typist that ends with Enter."""
        self.page.keyboard.type(code)
        self.page.keyboard.press("Enter")
        self.scans += 1

    def type(self, text: str) -> None:
        self.page.keyboard.type(text)
        self.keys += len(text)

    def enter(self) -> None:
        self.page.keyboard.press("Enter")
        self.keys += 1

    def figure(self, text: str) -> None:
        """Type a figure and move on."""
        self.type(text)
        self.enter()

    def save(self) -> None:
        """Enter in the last line, which saves."""
        with self.page.expect_navigation():
            self.enter()
        self.settle()

    def tap(self, words: str) -> None:
        """Press what bears these words."""
        self.page.get_by_text(words, exact=True).first.click()
        self.taps += 1

    def walk(self, wanted: Any) -> dict[str, Any]:
        """Tab until the pen is where it is wanted."""
        for _ in range(TABS_MOST):
            pen = self.pen
            if wanted(pen):
                return pen
            self.page.keyboard.press("Tab")
        raise AssertionError(f"Not reached by Tab on {self.page.url}; the pen is at {self.pen}")

    def to_line(self, name: str) -> None:
        """Walk to a line of the form."""
        self.walk(lambda pen: pen["name"] == name)

    def choose(self, group: str, answer: str) -> None:
        """Walk to a strip of answers, and along it with the arrow keys."""
        self.walk(lambda pen: pen["type"] == "radio" and group in pen["group"])
        seen = []
        while not self.pen["words"].startswith(answer):
            seen.append(self.pen["words"])
            assert len(seen) < 12, f"No answer {answer!r} among {seen}"
            self.page.keyboard.press("ArrowRight")
        self.page.keyboard.press("Space")

    def unfold(self) -> None:
        """Open the lines that are seldom needed."""
        self.walk(lambda pen: pen["tag"] == "SUMMARY" and "Seldom" in pen["words"])
        self.page.keyboard.press("Enter")

    def follow(self, words: str) -> None:
        """Walk to a link or a button and press Enter."""
        self.walk(lambda pen: pen["tag"] in {"A", "BUTTON"} and pen["words"] == words)
        with self.page.expect_navigation():
            self.page.keyboard.press("Enter")
        self.settle()

    def settle(self) -> None:
        """Wait until the pen is where the page wants it."""
        self.page.wait_for_function(
            "() => { const pen = document.querySelector('[autofocus]'); return !pen || pen === document.activeElement; }"
        )

    def retype(self, text: str) -> None:
        """Type over what stands in the line."""
        self.page.keyboard.press("Control+A")
        self.type(text)

    def earlier(self, day: str, clock: str) -> None:
        """Say when it was, by day and clock."""
        self.walk(lambda pen: pen["type"] == "radio" and pen["name"] == "happened_at")
        while not self.pen["words"].startswith("Earlier"):
            self.page.keyboard.press("ArrowRight")
        self.page.keyboard.press("Tab")
        self.retype(day)
        self.page.keyboard.press("Tab")
        self.type(clock)

    def told(self, words: str) -> str:
        """Read what was just written."""
        line = self.page.locator(".told")
        expect(line).to_contain_text(words)
        return line.inner_text()


def known(role: str) -> User:
    """The account of a person with this role, with a password that can be typed."""
    user = hand(role)
    user.set_password(PASSWORD)
    user.save()
    return user


def come_in(page: Page, role: str) -> Hands:
    """Sign in at the door with the keyboard alone."""
    user = known(role)
    hands = Hands(page)
    page.goto("/sign-in/")
    hands.settle()
    hands.type(user.username)
    page.keyboard.press("Tab")
    expect(page.locator("[name=password]")).to_be_focused()
    hands.type(PASSWORD)
    hands.save()
    page.wait_for_url(lambda url: "/sign-in/" not in url)
    return Hands(page)

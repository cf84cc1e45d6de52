"""A tablet in somebody's hand: a browser page that writes down what goes wrong on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import Browser, ConsoleMessage, Page, Request, Response

TABLET = (1024, 768)
PHONE = (390, 844)
DESK = (1440, 900)

# What the page's own policy forbade, told in a way that the test can hear.
_WATCH = """
document.addEventListener("securitypolicyviolation", (event) =>
  console.error(`policy: ${event.violatedDirective} ${event.blockedURI}`));
"""


@dataclass
class Tablet:
    page: Page
    base: str
    troubles: list[str] = field(default_factory=list)
    expected: set[int] = field(default_factory=set)
    """Statuses that the test provokes; others of 400 and above are troubles."""
    forgiving: bool = False
    """While the network is gone, what fails for want of it is no trouble."""

    def go(self, path: str) -> Page:
        """Open an address of the product; the page as it is once it is loaded."""
        response = self.page.goto(self.base + path)
        assert response is not None
        assert response.status < 400 or response.status in self.expected, response.status
        return self.page

    def _console(self, message: ConsoleMessage) -> None:
        provoked = any(f"status of {status}" in message.text for status in self.expected)
        if message.type in {"error", "warning"} and not provoked and not self.forgiving:
            self.troubles.append(f"console {message.type} at {self.page.url}: {message.text}")

    def _failed(self, request: Request) -> None:
        # Leaving a page gives up what it was still asking for.
        if not self.forgiving and request.failure != "net::ERR_ABORTED":
            self.troubles.append(f"{request.method} {request.url}: {request.failure}")

    def _answered(self, response: Response) -> None:
        if response.status >= 400 and response.status not in self.expected:
            self.troubles.append(f"{response.status} {response.request.method} {response.url}")

    def _broke(self, error: Any) -> None:
        self.troubles.append(f"script at {self.page.url}: {error}")


def open_tablet(
    browser: Browser,
    base: str,
    cookies: Mapping[str, Any],
    size: tuple[int, int] = TABLET,
    **options: Any,
) -> Tablet:
    """A new, empty browser of this size; `options` as Playwright's new_context takes them."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, locale="en-GB", **options
    )
    context.set_default_timeout(15_000)
    context.add_cookies(
        [{"name": name, "value": cookie.value, "url": base} for name, cookie in cookies.items()]
    )
    if options.get("java_script_enabled", True):
        context.add_init_script(_WATCH)
    tablet = Tablet(context.new_page(), base)
    tablet.page.on("console", tablet._console)
    tablet.page.on("requestfailed", tablet._failed)
    tablet.page.on("response", tablet._answered)
    tablet.page.on("pageerror", tablet._broke)
    return tablet

"""Debian's browser, headless, for tests of the group `chromium`: a page without a network."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, Page, sync_playwright

ARGUMENTS = ("--no-sandbox", "--force-color-profile=srgb", "--font-render-hinting=none")


@contextmanager
def running_browser() -> Iterator[Browser]:
    """A browser; it is closed in the end."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=list(ARGUMENTS))
        try:
            yield browser
        finally:
            browser.close()


@contextmanager
def browser_page(width: int = 1280, height: int = 800) -> Iterator[Page]:
    """A page of an own browser, offline; the browser is closed with it."""
    with running_browser() as browser:
        yield browser.new_context(viewport={"width": width, "height": height}, offline=True).new_page()

"""Opening a page in the browser of whoever sits here, where there is a screen for it."""

import os
import sys
import webbrowser
from collections.abc import Mapping

SCREENS = ("DISPLAY", "WAYLAND_DISPLAY")


def has_screen(system: str, environment: Mapping[str, str]) -> bool:
    """Whether a window can be opened: without one a browser of the terminal would take the terminal over."""
    return system in ("win32", "darwin") or any(environment.get(name) for name in SCREENS)


def show_page(address: str) -> bool:
    """Open the page; False where there is no screen or no browser, and the address that was said has to do."""
    if not has_screen(sys.platform, os.environ):
        return False
    try:
        return webbrowser.open(address)
    except webbrowser.Error:
        return False

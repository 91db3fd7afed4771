"""A page is opened only where there is a screen for it."""

import pytest

from loombench.shell import showing
from loombench.shell.showing import has_screen, show_page


@pytest.mark.parametrize(
    ("system", "environment", "has"),
    [
        ("linux", {}, False), ("linux", {"DISPLAY": ""}, False), ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True), ("win32", {}, True), ("darwin", {}, True),
    ],
)  # fmt: skip
def test_a_screen_is_told_by_the_system(system: str, environment: dict[str, str], has: bool) -> None:
    assert has_screen(system, environment) is has


def test_a_browser_is_asked_only_where_it_can_show_something(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = list[str]()
    monkeypatch.setattr(showing.webbrowser, "open", lambda address: asked.append(address) or True)
    monkeypatch.setattr(showing, "has_screen", lambda *_: False)
    assert show_page("http://127.0.0.1:8137/") is False
    assert asked == []
    monkeypatch.setattr(showing, "has_screen", lambda *_: True)
    assert show_page("http://127.0.0.1:8137/") is True
    assert asked == ["http://127.0.0.1:8137/"]


def test_a_browser_that_fails_is_no_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_address: str) -> bool:
        raise showing.webbrowser.Error("none")

    monkeypatch.setattr(showing, "has_screen", lambda *_: True)
    monkeypatch.setattr(showing.webbrowser, "open", broken)
    assert show_page("http://127.0.0.1:8137/") is False

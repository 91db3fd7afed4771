"""Everything installed or shipped has an allowed licence; a bad one is caught."""

from importlib.metadata import version
from pathlib import Path

import pytest

from tests.licences import DEPENDENCY, VENDORED, bad_packages, bad_vendored, pins, refused

ROOT = Path(__file__).resolve().parents[1]
LOCKS = {path.name: path.read_text(encoding="utf-8") for path in sorted(ROOT.glob("requirements*.txt"))}


def test_the_licence_is_whole() -> None:
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert "Apache License" in text
    assert "END OF TERMS AND CONDITIONS" in text


def test_every_locked_package_is_allowed() -> None:
    assert len(pins(LOCKS["requirements.txt"])) > 5
    assert bad_packages(LOCKS) == ()


def test_what_is_installed_is_what_is_locked() -> None:
    """Licences are read from the installed packages, so they count only if those are the locked ones."""
    here = [pin for pin in pins(LOCKS["requirements.txt"] + LOCKS["requirements-dev.txt"]) if pin.here]
    assert {(pin.name, version(pin.name)) for pin in here} == {(pin.name, pin.version) for pin in here}


def test_every_vendored_file_is_allowed() -> None:
    assert bad_vendored(ROOT) == ()


def test_a_planted_package_is_caught(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name, licence in (
        ("planted-viral", "License-Expression: GPL-3.0-only"),
        ("planted-silent", "Summary: nothing"),
    ):
        folder = tmp_path / f"{name.replace('-', '_')}-1.0.dist-info"
        folder.mkdir()
        (folder / "METADATA").write_text(f"Metadata-Version: 2.4\nName: {name}\nVersion: 1.0\n{licence}\n", "utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    lock = "planted-viral==1.0 \\\n    --hash=sha256:0\nplanted-silent==1.0\nnowhere==2 ; sys_platform == 'none'\n"
    assert bad_packages({"lock": lock}) == (
        "lock: nowhere has the licence none stated",
        "lock: planted-silent has the licence none stated",
        "lock: planted-viral has the licence GPL-3.0-only",
    )


@pytest.mark.parametrize(
    ("expression", "bad"),
    [
        ("MIT", ()),
        ("MIT OR GPL-3.0-only", ()),
        ("BSD-3-Clause AND GPL-2.0-only", ("GPL-2.0-only",)),
        ("(MIT OR Apache-2.0) AND Zlib", ()),
        ("(GPL-2.0-only OR AGPL-3.0-only) AND MIT", ("GPL-2.0-only OR AGPL-3.0-only",)),
        ("MIT OR (GPL-2.0-only AND MIT)", ()),
        ("GPL-2.0-only OR (GPL-3.0-only AND MIT)", ("GPL-2.0-only OR (GPL-3.0-only and MIT",)),
        ("Apache-2.0 WITH LLVM-exception", ()),
        ("Apache-2.0 WITH Some-exception", ("Apache-2.0 WITH Some-exception",)),
        ("", ("none stated",)),
        ("Proprietary", ("Proprietary",)),
    ],
)
def test_an_expression_is_read(expression: str, bad: tuple[str, ...]) -> None:
    assert refused(expression, DEPENDENCY) == bad


def test_what_is_vendored_is_held_stricter() -> None:
    assert refused("LGPL-3.0-only", DEPENDENCY) == ()
    assert refused("LGPL-3.0-only", VENDORED) == ("LGPL-3.0-only",)


def test_planted_vendored_files_are_caught(tmp_path: Path) -> None:
    (tmp_path / "src" / "vendor").mkdir(parents=True)
    for name in ("listed.js", "other.js"):
        (tmp_path / "src" / "vendor" / name).write_text("x", encoding="utf-8")
    (tmp_path / "src" / "face.ttf").write_text("x", encoding="utf-8")
    (tmp_path / "THIRD_PARTY.toml").write_text(
        '[[vendored]]\npath = "src/vendor/listed.js"\nname = "listed"\nversion = "1"\nlicence = "GPL-3.0-only"\n'
        'text = "src/vendor/gone"\n',
        encoding="utf-8",
    )
    assert bad_vendored(tmp_path) == (
        "src/vendor/listed.js: THIRD_PARTY.toml has no source",
        "src/vendor/listed.js: src/vendor/gone does not exist",
        "src/vendor/listed.js: has the licence GPL-3.0-only",
        "src/face.ttf: looks like somebody else's and has no entry in THIRD_PARTY.toml",
        "src/vendor/other.js: looks like somebody else's and has no entry in THIRD_PARTY.toml",
    )


def test_data_of_the_tests_may_ask_for_attribution_and_for_no_more(tmp_path: Path) -> None:
    entries = ""
    for path, licence in (("tests/a", "CC-BY-4.0"), ("tests/b", "CC-BY-SA-4.0"), ("src/c", "CC-BY-4.0")):
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).write_text("x", encoding="utf-8")
        entries += f'[[vendored]]\npath = "{path}"\nname = "n"\nversion = "1"\nlicence = "{licence}"\n'
        entries += f'text = "{path}"\nsource = "s"\n'
    (tmp_path / "THIRD_PARTY.toml").write_text(entries, encoding="utf-8")
    assert bad_vendored(tmp_path) == ("tests/b: has the licence CC-BY-SA-4.0", "src/c: has the licence CC-BY-4.0")


def test_weak_copyleft_is_taken_unaltered_and_with_its_source_named(tmp_path: Path) -> None:
    entries = ""
    for path, source in (("src/a", "unaltered; its source is in x"), ("src/b", "its source is in x"), ("src/c", "y")):
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).write_text("x", encoding="utf-8")
        entries += f'[[vendored]]\npath = "{path}"\nname = "n"\nversion = "1"\nlicence = "EPL-2.0"\n'
        entries += f'text = "{path}"\nsource = "{source}"\n'
    (tmp_path / "THIRD_PARTY.toml").write_text(entries, encoding="utf-8")
    assert bad_vendored(tmp_path) == ("src/b: has the licence EPL-2.0", "src/c: has the licence EPL-2.0")

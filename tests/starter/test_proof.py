"""Proofs: the list is read strictly, figures are kept with a commit or not at all."""

import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from starter import proof
from starter.checkout import Checkout
from starter.trouble import SetupError

ROOT = Path(__file__).resolve().parents[2]
GOOD = '[[proof]]\nname = "a"\ncommand = ["benchmarks/a.py"]\nresult = "a.json"\n'
PRINTS = 'import json, sys\nprint(json.dumps({"benchmark": "a", "figures": {"words": len(sys.argv)}, "cases": []}))\n'


@dataclass(frozen=True)
class Here(Checkout):
    """A checkout whose interpreter is the one running the test."""

    @property
    def python(self) -> Path:
        """This interpreter."""
        return Path(sys.executable)


def git(root: Path, *words: str) -> str:
    """Git's output, with an author of the test's own."""
    own = ("-c", "user.name=T", "-c", "user.email=t@example.org", "-c", "commit.gpgsign=false")
    return subprocess.run(["git", *own, *words], cwd=root, check=True, capture_output=True, text=True).stdout


@pytest.fixture
def checkout(tmp_path: Path) -> Here:
    """A committed checkout with one benchmark."""
    (tmp_path / "benchmarks").mkdir()
    (tmp_path / "benchmarks" / "proofs.toml").write_text(GOOD, encoding="utf-8")
    (tmp_path / "benchmarks" / "a.py").write_text(PRINTS, encoding="utf-8")
    git(tmp_path, "init", "-q")
    git(tmp_path, "add", ".")
    git(tmp_path, "commit", "-q", "-m", "first")
    return Here(tmp_path)


def run(checkout: Here, *words: str) -> tuple[int, str]:
    """Exit status and what was said."""
    said: list[str] = []
    return proof.run_all(checkout, words, said.append), "\n".join(said)


def test_the_list_of_the_checkout_can_be_read() -> None:
    proofs = proof.read_proofs((ROOT / "benchmarks" / "proofs.toml").read_text(encoding="utf-8"))
    assert proofs
    for one in proofs:
        assert (ROOT / one.command[0]).is_file(), one


def test_figures_are_kept_with_their_commit(checkout: Here) -> None:
    status, said = run(checkout)
    assert status == 0, said
    kept = json.loads((checkout.root / "benchmarks" / "results" / "a.json").read_text(encoding="utf-8"))
    assert kept["figures"] == {"words": 1}
    assert kept["measured"]["commit"] == git(checkout.root, "rev-parse", "HEAD").strip()
    # A result that is not committed yet does not stand in the way of the next proof.
    assert run(checkout, "a")[0] == 0


def test_a_changed_tree_is_not_measured(checkout: Here) -> None:
    (checkout.root / "benchmarks" / "a.py").write_text(PRINTS + "\n", encoding="utf-8")
    with pytest.raises(SetupError, match=r"benchmarks/a\.py differs from it: commit first"):
        run(checkout)
    assert not (checkout.root / "benchmarks" / "results").exists()


def test_a_quick_look_keeps_nothing(checkout: Here) -> None:
    status, said = run(checkout, "--quick")
    assert status == 0
    assert "words = 2" in said
    assert not (checkout.root / "benchmarks" / "results").exists()


@pytest.mark.parametrize("printed", ["raise SystemExit(3)", "print('no json')", "print('{}')", "print('[1]')"])
def test_a_benchmark_that_fails_keeps_nothing(checkout: Here, printed: str) -> None:
    (checkout.root / "benchmarks" / "a.py").write_text(printed, encoding="utf-8")
    git(checkout.root, "commit", "-q", "-am", "worse")
    status, said = run(checkout)
    assert status == 1
    assert "nothing was kept" in said
    assert not (checkout.root / "benchmarks" / "results").exists()


def test_an_unknown_proof_is_named(checkout: Here) -> None:
    with pytest.raises(SetupError, match="no proof 'b'; there are: a"):
        run(checkout, "b")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[proof]", "cannot be read"),
        ("proof = 3", "cannot be read"),
        ('[[proof]]\nname = "a"', "needs name, command and result"),
        (GOOD.replace('"a.json"', '"../a.json"'), "no plain name"),
        (GOOD.replace('"a.json"', '"a.txt"'), "no plain name"),
        (GOOD + GOOD, "the name 'a' twice"),
    ],
)
def test_a_bad_list_is_refused(text: str, said: str) -> None:
    with pytest.raises(SetupError, match=said):
        proof.read_proofs(text)


@pytest.mark.parametrize("figures", ["[]", "{}", '{"a": "1"}', '{"a": null}'])
def test_a_figure_that_is_no_number_is_refused(figures: str) -> None:
    with pytest.raises(ValueError, match="figure"):
        proof.read_figures(f'{{"benchmark": "a", "figures": {figures}, "cases": []}}')

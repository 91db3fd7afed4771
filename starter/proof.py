"""The long benchmarks, run as they are listed, their figures kept with the commit they were measured on.

`benchmarks/proofs.toml` lists them:

    [[proof]]
    name = "stiff"                                    # what `start.py proof stiff` picks
    command = ["benchmarks/stiff.py", "--json"]       # given to the environment's Python, in the checkout
    result = "stiff.json"                             # file in benchmarks/results/

A benchmark prints one JSON object with `benchmark`, `figures` (flat: name to number) and `cases`.
"""

import json
import os
import platform
import subprocess
import time
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from starter.checkout import Checkout
from starter.trouble import Cause, SetupError

Say = Callable[[str], None]
# What a figure depends on; results themselves may be uncommitted while they are being measured.
_MEASURED = ("src", "benchmarks", "examples", "tests", "requirements*.txt", ":!benchmarks/results")


@dataclass(frozen=True)
class Proof:
    """One benchmark to run, and the file that keeps its figures."""

    name: str
    command: tuple[str, ...]
    result: str


def read_proofs(text: str) -> tuple[Proof, ...]:
    """The proofs of a `proofs.toml`.

    Raises:
        SetupError: not TOML, a key missing or of another type, a name or result twice, a result outside its folder.
    """
    try:
        proofs = tuple(_proof(entry) for entry in tomllib.loads(text).get("proof", []))
    except (tomllib.TOMLDecodeError, AttributeError, TypeError) as failure:
        raise SetupError(Cause.OTHER, f"benchmarks/proofs.toml cannot be read: {failure}.") from failure
    for kind in ("name", "result"):
        values = [getattr(proof, kind) for proof in proofs]
        for value in values:
            if values.count(value) > 1:
                raise SetupError(Cause.OTHER, f"benchmarks/proofs.toml has the {kind} '{value}' twice.")
    return proofs


def _proof(entry: Mapping[str, object]) -> Proof:
    name, command, result = entry.get("name"), entry.get("command"), entry.get("result")
    if not isinstance(name, str) or not isinstance(result, str) or not isinstance(command, list) or not command:
        raise SetupError(
            Cause.OTHER, f"benchmarks/proofs.toml: an entry needs name, command and result, and has {entry}."
        )
    if Path(result).name != result or not result.endswith(".json"):
        raise SetupError(
            Cause.OTHER, f"benchmarks/proofs.toml: the result '{result}' is no plain name ending in .json."
        )
    return Proof(name, tuple(map(str, command)), result)


@dataclass(frozen=True)
class Printed:
    """The object a benchmark printed, and its figures."""

    whole: Mapping[str, object]
    figures: Mapping[str, float]


def read_figures(output: str) -> Printed:
    """The object a benchmark printed.

    Raises:
        ValueError: no JSON object, or one without `benchmark`, `figures` (name to number) and `cases`.
    """
    said = json.loads(output)
    if not isinstance(said, dict):
        raise ValueError("no object")
    missing = [key for key in ("benchmark", "figures", "cases") if key not in said]
    if missing:
        raise ValueError(f"no {' and no '.join(missing)}")
    figures = said["figures"]
    if not isinstance(figures, dict) or not figures:
        raise ValueError("no figure")
    for name, value in figures.items():
        if not isinstance(value, int | float):
            raise ValueError(f"figure '{name}' is no number")
    return Printed(said, figures)


def run_all(checkout: Checkout, words: Sequence[str], say: Say) -> int:
    """Run the proofs named in `words` (all if none) and keep their results; the exit status.

    `--list` only lists; `--quick` is passed on and keeps nothing.

    Raises:
        SetupError: an unknown name, an unreadable list, or changes not committed.
    """
    proofs = read_proofs((checkout.root / "benchmarks" / "proofs.toml").read_text(encoding="utf-8"))
    names = [word for word in words if not word.startswith("-")]
    for word in words:
        if word not in {"--list", "--quick", *(proof.name for proof in proofs)}:
            known = ", ".join(proof.name for proof in proofs) or "none yet"
            raise SetupError(Cause.OTHER, f"There is no proof '{word}'; there are: {known}; options: --list, --quick.")
    chosen = [proof for proof in proofs if not names or proof.name in names]
    if "--list" in words:
        for proof in chosen:
            say(f"{proof.name:24} {' '.join(proof.command)} -> benchmarks/results/{proof.result}")
        return 0
    quick = "--quick" in words
    commit = "" if quick else _commit(checkout.root)
    failed = [proof.name for proof in chosen if not _run(checkout, proof, commit, quick, say)]
    tail = f"; failed: {', '.join(failed)}" if failed else ""
    say(f"{len(chosen) - len(failed)} of {len(chosen)} proofs ran{tail}")
    return 1 if failed else 0


def _run(checkout: Checkout, proof: Proof, commit: str, quick: bool, say: Say) -> bool:
    say(f"{proof.name} ...")
    began = time.monotonic()
    done = subprocess.run(
        [str(checkout.python), *proof.command, *(["--quick"] if quick else [])],
        cwd=checkout.root, check=False, stdout=subprocess.PIPE, text=True, encoding="utf-8",
    )  # fmt: skip
    seconds = time.monotonic() - began
    if done.returncode != 0:
        say(f"{proof.name} failed with exit status {done.returncode} after {seconds:.0f} s; nothing was kept.")
        return False
    try:
        said = read_figures(done.stdout)
    except ValueError as failure:
        say(f"{proof.name} did not print one object of a benchmark ({failure}); nothing was kept.")
        return False
    for name, value in said.figures.items():
        say(f"  {name} = {value:.6g}")
    if not quick:
        measured = {
            "commit": commit, "python": _version(checkout.python), "machine": platform.machine(),
            "system": platform.system(), "cores": os.cpu_count(), "seconds": round(seconds, 1),
        }  # fmt: skip
        folder = checkout.root / "benchmarks" / "results"
        folder.mkdir(exist_ok=True)
        text = json.dumps({"measured": measured, **said.whole}, indent=1, ensure_ascii=False)
        (folder / proof.result).write_text(text + "\n", encoding="utf-8")
    return True


def _commit(root: Path) -> str:
    """The commit of a checkout in which nothing that counts was changed since."""
    try:
        commit = _git(root, "rev-parse", "HEAD").strip()
        changed = _git(root, "status", "--porcelain", "--", *_MEASURED).splitlines()
    except (OSError, subprocess.CalledProcessError) as failure:
        raise SetupError(
            Cause.OTHER, "A proof is kept with the commit it measured: run it in a git checkout."
        ) from failure
    if changed:
        raise SetupError(
            Cause.OTHER,
            f"A proof is kept with the commit it measured, and {changed[0][3:]} differs from it"
            f"{f' (and {len(changed) - 1} more)' if changed[1:] else ''}: commit first, or look with --quick.",
        )
    return commit


def _version(python: Path) -> str:
    """The version of the Python that measured, which need not be the one that runs this."""
    words = [str(python), "-c", "import platform; print(platform.python_version())"]
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout.strip()


def _git(root: Path, *words: str) -> str:
    return subprocess.run(["git", *words], cwd=root, check=True, capture_output=True, text=True).stdout

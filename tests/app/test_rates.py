"""Rates from a record of closed jobs, through a plain file, into the weights of the next search."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.app.finding import close, repaired
from loombench.app.rates import Rates, from_jobs, load_rates, rates_lines, rates_text, read_rates
from loombench.app.search import Search, start
from loombench.diagnose.rates import Count, together
from loombench.evidence.envelope import envelope
from loombench.evidence.events import CaseClosed, Note
from loombench.record.jsonl import JsonlStore
from tests.diagnose.vehicles import LAMP

TIME = "2026-03-01T08:00:00+01:00"


def begun(folder: Path, case: str, rates: Rates | None = None) -> Search:
    file, jobs = str(folder / "rig.circuit"), folder / "jobs"
    found = start(file, "E8 dead when S4=on", jobs, case, TIME, rates=rates or Rates())
    assert found.value is not None
    return found.value


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A record of a proven job, an open one, one that proved nothing, a practice one; and the cause that was proven."""
    folder = tmp_path_factory.mktemp("rates")
    (folder / "rig.circuit").write_text(LAMP, encoding="utf-8")
    first = begun(folder, "1").case
    known = first.bench.hypotheses
    cause = next(group for group in known.groups if "W3/b" in group)
    done = repaired(first, cause, TIME)
    store = JsonlStore(folder / "jobs")
    store.append(envelope(done.following, TIME, "1", "", CaseClosed("cured", True, cause)))
    begun(folder, "2")
    close(begun(folder, "3").case, TIME)
    practice = begun(folder, "practice-4").case
    store.append(envelope(practice.following, TIME, "practice-4", "", CaseClosed("cured", True, cause)))
    return folder, cause


def test_proven_jobs_count_and_the_others_are_named(jobs: tuple[Path, str]) -> None:
    folder, _ = jobs
    counted = from_jobs(folder / "jobs")
    assert counted.jobs == ("1",)
    assert dict(counted.left) == {"2": "open", "3": "unproven", "practice-4": "practice"}
    assert sum(one.found for one in counted.rates.counts) == pytest.approx(1.0)
    assert sum(one.expected for one in counted.rates.counts) == pytest.approx(1.0)
    assert {one.what for one in counted.rates.counts if one.found > 0.0} == {"ring"}
    said = rates_lines(counted)
    assert said[0] == "Jobs counted: 1; left out: 3."
    assert any(line.startswith("ring ") for line in said)


def test_the_next_search_goes_by_them(jobs: tuple[Path, str]) -> None:
    folder, cause = jobs
    learned = from_jobs(folder / "jobs").rates
    path = folder / "rates.csv"
    path.write_text(rates_text(learned), encoding="utf-8")
    read = load_rates(path)
    assert read.problems == ()
    assert read.value == learned
    plain, better = begun(folder, "plain").case, begun(folder, "better", read.value).case
    group = plain.bench.hypotheses.groups.index(cause)
    own = plain.bench.hypotheses.group == group
    before, after = (np.exp(case.bench.hypotheses.log_prior)[own].sum() for case in (plain, better))
    assert after > before * 1.05
    # They are counted from the table again, however a job was searched.
    assert from_jobs(folder / "jobs").rates == learned


def test_a_drawing_that_was_changed_does_not_count(jobs: tuple[Path, str], tmp_path: Path) -> None:
    folder, cause = jobs
    (tmp_path / "rig.circuit").write_text((folder / "rig.circuit").read_text(encoding="utf-8"), encoding="utf-8")
    case = begun(tmp_path, "1").case
    case.store.append(envelope(case.following, TIME, "1", "", CaseClosed("cured", True, cause)))
    case.store.append(envelope(case.following + 1, TIME, "1", "", Note("later")))
    assert from_jobs(tmp_path / "jobs").jobs == ("1",)
    (tmp_path / "rig.circuit").write_text(LAMP + "# other\n", encoding="utf-8")
    assert from_jobs(tmp_path / "jobs").left == (("1", "drawing-changed"),)
    (tmp_path / "rig.circuit").unlink()
    assert from_jobs(tmp_path / "jobs").left == (("1", "no-drawing"),)


@given(
    st.lists(
        st.builds(
            Count, st.text("ab, \"'", max_size=5).map(str.strip), st.just("wire"), st.sampled_from(["open", "short"]),
            st.sampled_from([(), ("hot",), ("outside", "wet")]), st.floats(0.0, 1e6), st.floats(0.0, 1e6),
        ),
        max_size=6,
    )
)  # fmt: skip
def test_a_file_gives_back_what_was_written(counts: list[Count]) -> None:
    rates = together(Rates((one,)) for one in counts)
    read = read_rates(rates_text(rates))
    assert read.problems == ()
    assert read.value == rates


def test_each_line_fails_alone(tmp_path: Path) -> None:
    text = "Lamp,contact,open,wet,2,1\nnonsense\nLamp,wire,open,,nan,1\n\nLamp,contact,open,wet,1,1\n"
    read = read_rates(text, "rates.csv")
    assert [one.code for one in read.problems] == ["rates-line", "rates-line"]
    assert [one.spans[0].line for one in read.problems] == [2, 3]
    assert read.value.counts == (Count("Lamp", "contact", "open", ("wet",), 3.0, 2.0),)
    assert [one.code for one in load_rates(tmp_path / "none.csv").problems] == ["file-missing"]
    assert load_rates(None).value == Rates()

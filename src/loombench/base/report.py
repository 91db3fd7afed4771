"""Problems printed for a person: message, place, the source line, a mark under the place, what to do."""

from collections.abc import Iterable, Mapping

from loombench.base.problems import Problem, Span
from loombench.base.wording import Catalogue, catalogue

LONGEST_LINE = 160
HIDDEN = "\u00b7"
SAID = ("seen", "expected", "fix")


def _source_line(span: Span, sources: Mapping[str, str]) -> list[str]:
    lines = sources.get(span.file, "").splitlines()
    if not 0 < span.line <= len(lines):
        return []
    line = lines[span.line - 1].replace("\t", " ")
    start = max(0, span.column - LONGEST_LINE // 2) if len(line) > LONGEST_LINE else 0
    shown = line[start : start + LONGEST_LINE]
    first = span.column - 1 - start
    width = max(1, min(span.end_column - span.column, len(shown) - first))
    number = f"{span.line:>5} | "
    return [number + shown, " " * (len(number) + first) + "^" * width]


def render(item: Problem, sources: Mapping[str, str], words: Catalogue | None = None) -> str:
    """One problem as text of a few lines; `sources` maps file names to their text."""
    words = words or catalogue()
    said = words.problem(item.code, dict(item.facts))
    lines = [f"{words.say(f'report.{item.level.value}')} {item.code}: {said['title']}"]
    for span in item.spans:
        lines.append(f"  {span}")
        lines.extend(_source_line(span, sources))
    labels = {part: words.say(f"report.{part}") for part in SAID}
    width = max(map(len, labels.values()))
    lines.extend(f"  {label:<{width}} {said[part]}" for part, label in labels.items())
    return "\n".join(_printable(line) for line in lines)


def _printable(line: str) -> str:
    """The line with what a terminal would obey, and not show, made visible: a file must not be able to steer it."""
    return "".join(mark if mark.isprintable() else HIDDEN for mark in line)


def render_all(items: Iterable[Problem], sources: Mapping[str, str], words: Catalogue | None = None) -> str:
    """Several problems, a blank line between two."""
    return "\n\n".join(render(item, sources, words) for item in items)

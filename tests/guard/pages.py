"""The examples in the documentation, run: circuits load, commands print what the page shows.

A fenced block `circuit` is a whole file of the notation and must load without errors. With a name after it
(`circuit roof.circuit`) it is a file beside the others of its page: for an include, or for a command to read.

A fenced block `console` holds lines `$ loombench ...`, each followed by its output. `...` stands for any text. The
commands of a page run in order in one empty folder, in which `examples/` and the page's named circuits lie.
"""

import re
import shlex
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

_FENCE = re.compile(r"^```(?P<info>[^\n`]*)\n(?P<text>.*?)^```[ ]*$", re.S | re.M)
_PROGRAM = "loombench"
Load = Callable[[str, Callable[[str], str | None]], Sequence[str]]
Run = Callable[[Sequence[str]], str]


@dataclass(frozen=True)
class Block:
    """A fenced block: the line its text begins on, the words after the fence, its text."""

    line: int
    info: tuple[str, ...]
    text: str


def blocks(page: str) -> tuple[Block, ...]:
    """The fenced blocks of a page."""
    return tuple(
        Block(page.count("\n", 0, found.start("text")) + 1, tuple(found["info"].split()), found["text"])
        for found in _FENCE.finditer(page)
    )


def named(page: str) -> dict[str, str]:
    """The named circuits of a page, by name."""
    return {block.info[1]: block.text for block in blocks(page) if block.info[:1] == ("circuit",) and block.info[1:]}


def wrong_circuits(name: str, page: str, load: Load) -> tuple[str, ...]:
    """One line for each circuit of the page with errors, and for each named one that nothing reads.

    `load` gives the errors of a text, and is handed what gives the text of an included file.
    """
    files, read = named(page), set[str]()
    commands = "".join(block.text for block in blocks(page) if block.info[:1] == ("console",))

    def include(wanted: str) -> str | None:
        read.add(wanted)
        return files.get(wanted)

    said = [
        f"{name}:{block.line}: the circuit does not load: {problem}"
        for block in blocks(page)
        if block.info == ("circuit",)
        for problem in load(block.text, include)
    ]
    said += [
        f"{name}: nothing on the page reads the circuit {file}"
        for file in files
        if file not in read and file not in commands
    ]
    return tuple(said)


def wrong_commands(name: str, page: str, run: Run) -> tuple[str, ...]:
    """One line for each command of the page whose output is not the one shown. `run` gives the output of its words."""
    return tuple(
        line for block in blocks(page) if block.info[:1] == ("console",) for line in _of_console(name, block, run)
    )


def _of_console(name: str, block: Block, run: Run) -> Iterator[str]:
    parts = re.split(r"^\$ (.*)$", block.text, flags=re.M)
    if parts[0].strip() or len(parts) == 1:
        yield f"{name}:{block.line}: a console block begins with a line `$ {_PROGRAM} ...`"
        return
    for command, shown in zip(parts[1::2], parts[2::2], strict=True):
        words = shlex.split(command)
        where = f"{name}:{block.line}: `{command}`"
        if words[:1] != [_PROGRAM]:
            yield f"{where} is not run here; show it in a block `sh` without output"
            continue
        if not shown.replace("...", "").strip():
            yield f"{where} shows nothing that could be compared"
            continue
        got = run(words[1:])
        if "Traceback (most recent call last)" in got or not _like(shown).fullmatch(_tidy(got)):
            yield f"{where} printed\n{_tidy(got)}\nand the page shows\n{_tidy(shown)}"


def _tidy(text: str) -> str:
    return "\n".join(line.rstrip() for line in text.strip("\n").splitlines()).rstrip()


def _like(shown: str) -> re.Pattern[str]:
    """What the page shows as a pattern, `...` being any text."""
    return re.compile(".*?".join(re.escape(piece) for piece in _tidy(shown).split("...")), re.S)

"""The layout script in an engine: it answers, says what is wrong, and gives the same each time."""

import json
import subprocess
import sys
from types import SimpleNamespace
from unittest.mock import patch

import pytest

from loombench.draw.engine.engines import EngineError, load_engine

GRAPH = {
    "id": "page",
    "layoutOptions": {"elk.algorithm": "layered", "elk.direction": "DOWN"},
    "children": [{"id": "a", "width": 10, "height": 10}, {"id": "b", "width": 10, "height": 10}],
    "edges": [{"id": "w", "sources": ["a"], "targets": ["b"]}],
}


def test_the_engine_puts_one_part_below_the_other_the_same_each_time() -> None:
    engine = load_engine().value
    assert engine is not None
    text = engine.lay(json.dumps(GRAPH))
    (above, below) = json.loads(text)["ok"]["children"]
    assert above["y"] + above["height"] < below["y"]
    assert engine.lay(json.dumps(GRAPH)) == text
    assert "error" in json.loads(engine.lay('{"id": "page", "edges": [{"id": "w", "sources": ["x"]}]}'))


def test_an_event_loop_may_run_and_the_program_ends() -> None:
    script = (
        "import asyncio; from loombench.draw.engine.engines import load_engine\n"
        'async def draw(): return load_engine().value.lay(\'{"id": "page"}\')\n'
        "print(asyncio.run(draw()))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout[:6], done.stderr) == (0, '{"ok":', "")


def test_the_small_engine_is_taken_where_the_usual_one_is_missing() -> None:
    class StoppedError(Exception):
        pass

    class Context:
        def eval(self, script: str) -> None:
            assert "function lay" in script

        def set_max_stack_size(self, size: int) -> None:
            assert size > 1 << 20

        def set_time_limit(self, seconds: float) -> None:
            assert seconds > 1

        def get(self, name: str) -> object:
            def lay(text: str) -> str:
                if text == "endless":
                    raise StoppedError("stopped")
                return f"{name} {text}"

            return lay

    small = SimpleNamespace(Context=Context, JSException=StoppedError)
    with patch.dict(sys.modules, {"py_mini_racer": None, "quickjs": small}):
        engine = load_engine().value
    assert engine is not None
    assert engine.lay("graph") == "lay graph"
    with pytest.raises(EngineError, match="stopped"):
        engine.lay("endless")

"""What a page about drawings shows: an engine is looked for where something is wrong.

without     no engine is installed
"""

import sys
from collections.abc import Sequence
from unittest.mock import patch

from loombench.base.problems import Problem
from loombench.draw.engine.engines import load_engine


def drawing_problems(ask: str) -> Sequence[Problem]:
    """The problems under that condition."""
    if ask != "without":
        raise ValueError(ask)
    with patch.dict(sys.modules, {"py_mini_racer": None, "quickjs": None}):
        return load_engine().problems

"""Groups of tests by what they need, and property tests that draw the same examples on every run."""

import pytest
from hypothesis import settings

from tests.groups import GROUPS, GroupPlugin, required

settings.register_profile("loombench", deadline=None, derandomize=True)
settings.load_profile("loombench")


def pytest_configure(config: pytest.Config) -> None:
    """Let the groups take part in the run."""
    config.pluginmanager.register(GroupPlugin(GROUPS, required()), "loombench-groups")

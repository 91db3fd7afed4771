"""Property tests draw the same examples on every run and are not timed."""

from hypothesis import settings

settings.register_profile("loombench-facts", deadline=None, derandomize=True)
settings.load_profile("loombench-facts")

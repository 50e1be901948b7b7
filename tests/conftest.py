"""What holds for the whole suite."""

from __future__ import annotations

from hypothesis import settings

# Time is judged by the benchmarks alone: a busy machine must not fail a law.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

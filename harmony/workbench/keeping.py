"""What all desks do alike when they keep."""

from __future__ import annotations

from harmony.scoring import Score
from harmony.sketchbook import Keep, Record, Sketchbook

MELODY = "theme"  # what the record of a melody says, whichever desk it is from
USUAL_TITLE = "Melody"


def keep_melody(sketchbook: Sketchbook, score: Score, how: str) -> Keep:
    """Keep a melody that was entered by hand; ``how`` says in words by what."""
    record = Record(desk=MELODY, source=how, ancestry=(how,))
    return sketchbook.keep(score.title or USUAL_TITLE, score, record)


def say_kept(*keeps: Keep) -> str:
    """Say under which names and where something was kept."""
    names = ", ".join(keep.score_path.name for keep in keeps)
    return f"Kept as {names} in {keeps[0].score_path.parent}."

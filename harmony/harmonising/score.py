"""A harmonisation as a score: the tune, and its chords on two staves below."""

from __future__ import annotations

from dataclasses import replace

from harmony.harmonising.harmonisation import Harmonisation
from harmony.scoring.build import progression_to_score, theme_to_score
from harmony.scoring.score import Score


def harmonisation_to_score(harmonisation: Harmonisation) -> Score:
    """Give the tune on a staff of its own and the chords as blocks on two staves.

    The tune's notes have the ids n0, n1, ...; chord i has the ids ``s{i}`` and ``s{i}b``.
    """
    theme = harmonisation.theme
    below = progression_to_score(harmonisation.progression)
    above = theme_to_score(theme, part_name=theme.title or "Theme")
    title = f"{theme.title}: {harmonisation.name}" if theme.title else harmonisation.name
    return replace(
        below,
        parts=(*above.parts, *below.parts),
        tempi=above.tempi,
        keys=above.keys or below.keys[:1],
        title=title,
        source=theme.source,
    )

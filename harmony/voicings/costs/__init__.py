"""The cost terms, one family a file; texts and sources in data/voicing/terms.toml."""

from __future__ import annotations

from functools import cache

from harmony.tables import read_toml
from harmony.voicings.costs.common_tones import CommonTones
from harmony.voicings.costs.cost import Amounts, Cost, Item, Term
from harmony.voicings.costs.crossing import Crossing, Overlap
from harmony.voicings.costs.leaps import Leaps
from harmony.voicings.costs.low_intervals import LowIntervals
from harmony.voicings.costs.members import Completeness, Doubling
from harmony.voicings.costs.motion import Evenness, Motion
from harmony.voicings.costs.perfects import ConsecutivePerfects, DirectPerfects
from harmony.voicings.costs.resolution import Resolution
from harmony.voicings.costs.series import SeriesProfile
from harmony.voicings.costs.spacing import Spacing
from harmony.voicings.costs.voices import Register, Stillness, TopLine

_FAMILIES: dict[str, type[Term]] = {
    "motion": Motion,
    "leaps": Leaps,
    "common_tones": CommonTones,
    "consecutive_perfects": ConsecutivePerfects,
    "direct_perfects": DirectPerfects,
    "crossing": Crossing,
    "overlap": Overlap,
    "spacing": Spacing,
    "series_profile": SeriesProfile,
    "low_intervals": LowIntervals,
    "doubling": Doubling,
    "completeness": Completeness,
    "resolution": Resolution,
    "register": Register,
    "top_line": TopLine,
    "stillness": Stillness,
}
TERM_NAMES = tuple(_FAMILIES)
_OTHER_MEASURES: dict[str, type[Term]] = {"evenness": Evenness}


@cache
def standard_costs() -> tuple[Cost, ...]:
    """The sixteen terms in their usual order."""
    texts = read_toml("voicing/terms.toml")
    return tuple(family(name=name, **texts[name]) for name, family in _FAMILIES.items())


@cache
def other_measure(name: str, behind: str) -> Cost:
    """The measure `name` of terms.toml, standing behind the term `behind`."""
    return _OTHER_MEASURES[name](name=behind, **read_toml("voicing/terms.toml")[name])


__all__ = ["TERM_NAMES", "Amounts", "Cost", "Item", "Term", "other_measure", "standard_costs"]

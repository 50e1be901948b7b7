"""The score model: one for every writer and reader."""

from harmony.scoring.clef import ClefChange
from harmony.scoring.direction import Direction, Harmony, KeyChange, Tempo
from harmony.scoring.event import Event, Grace, Lyric, Tuplet, event_of_id
from harmony.scoring.part import Group, Part, Staff
from harmony.scoring.score import Bar, Score

__all__ = [
    "Bar",
    "ClefChange",
    "Direction",
    "Event",
    "Grace",
    "Group",
    "Harmony",
    "KeyChange",
    "Lyric",
    "Part",
    "Score",
    "Staff",
    "Tempo",
    "Tuplet",
    "event_of_id",
]

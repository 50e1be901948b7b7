"""Keeping a harmonisation, opening it again, and carrying its chords to be voiced."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from harmony.errors import HarmonyError
from harmony.sketchbook import Keep, Record, Sketchbook
from harmony.workbench.harmonising.state import Again, Choices, Edit, Joint, Question, Repeat
from harmony.workbench.harmonising.voicing import shown_to_score
from harmony.workbench.harmonising.work import LETTERS, Work
from harmony.workbench.progression.keeping import keep_work as keep_voicing
from harmony.workbench.progression.state import Choices as VoicingChoices
from harmony.workbench.progression.work import find_best

DESK = "harmonising"
USUAL_NAME = "Harmonisation"
CARRIED_TO = "string quartet"
_JOIN = "join"


def keep_work(sketchbook: Sketchbook, name: str, work: Work) -> Keep:
    """Keep the shown alternative, the tune over its chords, under the next free name."""
    return sketchbook.keep(name.strip() or USUAL_NAME, shown_to_score(work), work_to_record(work))


def work_to_record(work: Work) -> Record:
    """Give what is remembered of the shown alternative."""
    asked, shown = work.choices.question, work.shown
    return Record(
        desk=DESK,
        source=asked.source,
        cost=shown.cost,
        terms=shown.terms,
        status=shown.status,
        ancestry=(asked.source, f"{shown.idiom}: {shown.name}"),
        settings={
            "idioms": list(asked.idioms),
            "key": asked.key,
            "count": asked.count,
            "pace": asked.pace,
            "fixes": list(asked.fixes),
            "rhythm": [_write_edit(edit) for edit in asked.rhythm],
            "turns": [_write_turn(one) for one in asked.turns],
            "part": asked.part,
            "bars": asked.bars,
            "phrase_ends": None if asked.phrase_ends is None else [*map(str, asked.phrase_ends)],
            "repeats": None if asked.repeats is None else [*map(_write_repeat, asked.repeats)],
            "locked": [[str(start), str(end)] for start, end in asked.locked],
            "alternative": LETTERS[work.number],
            "idea": shown.idea,
            "chords": str(shown.progression),
        },
    )


def keep_to_choices(keep: Keep) -> Choices:
    """Give the choices a keep was made with; a keep of another desk becomes the tune itself.

    Raises
    ------
    HarmonyError
        If its record does not fit together.
    """
    if keep.record.desk != DESK:
        return Choices(Question(keep.score_path.name))
    kept: dict[str, Any] = dict(keep.record.settings)
    try:
        question = Question(
            keep.record.source,
            tuple(map(str, kept["idioms"])),
            str(kept["key"]),
            int(kept["count"]),
            str(kept["pace"]),
            tuple(map(str, kept["fixes"])),
            tuple(_read_edit(*one) for one in kept["rhythm"]),
            tuple(_read_turn(*one) for one in kept["turns"]),
            str(kept.get("part", "")),
            str(kept.get("bars", "")),
            _read_times(kept.get("phrase_ends")),
            _read_repeats(kept.get("repeats")),
            tuple((Fraction(start), Fraction(end)) for start, end in kept.get("locked", [])),
        )
        return Choices(question, LETTERS.index(str(kept["alternative"])))
    except (KeyError, TypeError, ValueError) as fault:
        raise HarmonyError(
            f"The record beside {keep.name!r} was changed and does not fit together; its score"
            " opens as a theme."
        ) from fault


def _write_edit(edit: Edit) -> list[str]:
    written = [edit.kind, str(edit.at)]
    return written if edit.to is None else [*written, str(edit.to)]


def _read_edit(kind: str, at: str, to: str | None = None) -> Edit:
    return Edit(str(kind), Fraction(at), None if to is None else Fraction(to))


def _write_turn(one: Joint | Again) -> list[str | int]:
    if isinstance(one, Joint):
        return [_JOIN, one.first, one.second, one.bar]
    return [one.kind, one.number, one.first, one.last]


def _read_turn(kind: str, *numbers: int) -> Joint | Again:
    if kind == _JOIN:
        return Joint(*map(int, numbers))
    return Again(str(kind), *map(int, numbers))


def _read_times(kept: Any) -> tuple[Fraction, ...] | None:
    return None if kept is None else tuple(Fraction(time) for time in kept)


def _write_repeat(one: Repeat) -> list[Any]:
    return [one.kind, [str(start) for start in one.starts], str(one.length)]


def _read_repeats(kept: Any) -> tuple[Repeat, ...] | None:
    if kept is None:
        return None
    return tuple(
        Repeat(str(kind), tuple(Fraction(start) for start in starts), Fraction(length))
        for kind, starts, length in kept
    )


def carry_to_voicing(sketchbook: Sketchbook, name: str, work: Work) -> Keep:
    """Keep the chords of the shown alternative as a progression that desk 1 opens.

    They are voiced for a string quartet, to be changed there.
    """
    ancestry = (work.choices.question.source, f"{work.shown.idiom}: {work.shown.name}")
    voiced = find_best(VoicingChoices(str(work.shown.progression), CARRIED_TO, ancestry=ancestry))
    return keep_voicing(sketchbook, f"{name.strip() or USUAL_NAME} chords", voiced)

"""Keeping a harmonisation, opening it again, and carrying its chords to be voiced."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from harmony.errors import HarmonyError
from harmony.harmonising.carrying import PRESETS, STRICT, carry_to_players
from harmony.harmonising.easing import say_let_go
from harmony.harmonising.figures import AS_IDIOM, FIGURES
from harmony.harmonising.lines import GIVENS, MELODY
from harmony.harmonising.pedal_voices import say_pedals
from harmony.harmonising.register import fit_to_voice
from harmony.instruments.catalogue import ensemble as find_ensemble
from harmony.pitch.spelling import Pitch
from harmony.sketchbook import Keep, Record, Sketchbook
from harmony.workbench.harmonising.state import Again, Choices, Edit, Joint, Question, Repeat
from harmony.workbench.harmonising.tune import open_given
from harmony.workbench.harmonising.voicing import shown_to_score
from harmony.workbench.harmonising.work import LETTERS, Work
from harmony.workbench.progression.keeping import keep_work as keep_voicing
from harmony.workbench.progression.state import Choices as VoicingChoices
from harmony.workbench.progression.state import PinnedNote
from harmony.workbench.progression.work import Work as VoicingWork
from harmony.workbench.progression.work import find_best

DESK = "harmonising"
USUAL_NAME = "Harmonisation"
_JOIN = "join"
#: steps of desk 1's terms: in a strict idiom nothing buys a consecutive fifth or octave
_STRICT_TERMS = (("consecutive_perfects", 4), ("direct_perfects", 2))


def keep_work(sketchbook: Sketchbook, name: str, work: Work) -> Keep:
    """Keep the shown alternative, the tune over its chords, under the next free name."""
    return sketchbook.keep(name.strip() or USUAL_NAME, shown_to_score(work), work_to_record(work))


def keep_each(sketchbook: Sketchbook, name: str, work: Work) -> tuple[Keep, ...]:
    """Keep every alternative in a file of its own, its letter after the name."""
    kept = []
    for number, letter in enumerate(LETTERS[: len(work.alternatives)]):
        one = replace(work, choices=work.choices.with_shown(number))
        kept.append(keep_work(sketchbook, f"{name.strip() or USUAL_NAME} {letter}", one))
    return tuple(kept)


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
            "weights": dict(asked.weights),
            "given": asked.given,
            "bass": asked.bass,
            "counter_melody": work.choices.has_counter,
            "alternative": LETTERS[work.number],
            "figures": work.choices.figures,
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
            tuple(sorted((str(n), int(s)) for n, s in dict(kept.get("weights", {})).items())),
            GIVENS[GIVENS.index(str(kept.get("given", MELODY)))],
            str(kept.get("bass", "")),
        )
        figures = FIGURES[FIGURES.index(str(kept.get("figures", AS_IDIOM)))]
        return Choices(
            question,
            LETTERS.index(str(kept["alternative"])),
            figures=figures,
            has_counter=bool(kept.get("counter_melody", False)),
        )
    except (KeyError, TypeError, ValueError, ArithmeticError) as fault:
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


def carry_to_voicing(
    sketchbook: Sketchbook, name: str, work: Work, *, ensemble: str, voice: str
) -> tuple[Keep, str]:
    """Keep the shown alternative for desk 1: its chords voiced, the tune in one of the voices.

    The tune keeps its rhythm and lies in the octave that suits the voice; the costs are
    those of the idiom's own way of writing. With no ``voice`` the chords go alone. What is
    held and stands in no chord has a voice of its own. Sentences beside the keep tell which
    rules had to be let go, and where, and which voice holds what; empty for none.

    Raises
    ------
    HarmonyError
        If the tune cannot stand in that voice over these chords.
    """
    shown = work.shown
    choices = VoicingChoices(
        str(shown.progression),
        ensemble,
        ancestry=(work.choices.question.source, f"{shown.idiom}: {shown.name}"),
        manner=PRESETS.get(shown.idiom, ""),
    )
    kept_as = f"{name.strip() or USUAL_NAME} for {ensemble}"
    bass, lowest = open_given(work.choices.question).bass, find_ensemble(ensemble).voices[-1].name
    placed = replace(shown, theme=fit_to_voice(work.theme, ensemble, voice)) if voice else shown
    if bass is not None and voice:
        if voice == lowest:
            raise HarmonyError(f"The bass lies in {voice}; choose another voice for the tune.")
        bass = fit_to_voice(bass, ensemble, lowest)
    carried = carry_to_players(placed, ensemble, voice=voice, bass=bass if voice else None)
    wanted, given = carried.voiced.alternatives[0].pitches, carried.voiced.problem.given
    told = say_pedals(carried.held)
    if not given:
        return keep_voicing(sketchbook, kept_as, find_best(choices)), told
    names = [one.name for one in find_ensemble(ensemble).voices]
    lines = tuple((names[one.voice], one.line) for one in given)
    choices = replace(choices, terms=_STRICT_TERMS if shown.idiom in STRICT else (), given=lines)
    voiced = find_best(choices)
    # Where that desk would write a note otherwise, the note found here is pinned.
    while pins := _other_notes(voiced, wanted, {name for name, _line in lines}):
        choices = replace(choices, pins=(*choices.pins, *pins))
        voiced = find_best(choices)
    told = " ".join(filter(None, (say_let_go(voiced.problem, voiced.shown), told)))
    return keep_voicing(sketchbook, kept_as, voiced), told


def _other_notes(
    voiced: VoicingWork, wanted: Sequence[Sequence[Pitch]], given: set[str]
) -> tuple[PinnedNote, ...]:
    """Give the notes of the first chord in which a voicing departs from another."""
    voices = voiced.problem.ensemble.voices
    for slot, own, other in zip(
        voiced.problem.progression, voiced.shown.pitches, wanted, strict=True
    ):
        pins = tuple(
            PinnedNote(slot.bar, slot.beat, voice.name, pitch)
            for voice, mine, pitch in zip(voices, own, other, strict=True)
            if mine != pitch and voice.name not in given
        )
        if pins:
            return pins
    return ()

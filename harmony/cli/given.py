"""What is given to `harmony harmonise`, and the players one of its answers is voiced for."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import replace
from pathlib import Path

from harmony.cli.options import CommandParser
from harmony.errors import HarmonyError
from harmony.harmonising.carrying import Carried, carry_to_players
from harmony.harmonising.easing import say_let_go
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.lines import BASS, BOTH, GIVENS, MELODY, Given
from harmony.harmonising.pedal_voices import say_pedals
from harmony.harmonising.register import LIES_IN, PLAYED_BY, fit_to_voice, say_octaves
from harmony.instruments.catalogue import ensemble as find_ensemble
from harmony.pitch.theme import Theme
from harmony.reading.opening import read
from harmony.reading.theme import score_to_theme, tell_what_is_left
from harmony.scoring.score import Score


def add_given_options(parser: CommandParser) -> None:
    """Declare which voice the tune is, and what goes with it."""
    parser.add_argument(
        "--given", metavar="VOICE", choices=GIVENS,
        help="which voice the tune is: melody (usual), bass, inner; both: its bass is given too",
    )  # fmt: skip
    parser.add_argument(
        "--bass", metavar="P|SCORE",
        help="the bass that goes with the tune: another part of the score (the last), or a score",
    )  # fmt: skip
    parser.add_argument(
        "--counter-melody", dest="has_counter_melody", action="store_true",
        help="write a counter-melody to the tune, under each harmonisation",
    )  # fmt: skip


def add_player_options(parser: CommandParser) -> None:
    """Declare which alternative is written, and for whom."""
    parser.add_argument(
        "--alternative", metavar="N", default="1", help="which of them -o writes (1)"
    )
    parser.add_argument(
        "--for", dest="ensemble", metavar="ENSEMBLE",
        help="voice it for players, the tune in one of their voices, and let -o write that",
    )  # fmt: skip
    parser.add_argument(
        "--tune-in", dest="voice", metavar="VOICE",
        help="the players' voice that has the tune (the highest; of a bass the lowest)",
    )  # fmt: skip


def read_what_is_given(options: Namespace, score: Score) -> tuple[Given, Theme, list[str]]:
    """Read which voice the tune is and its bass, and give the tune where that voice lies.

    Sentences say what of the score is left out, and how the tune was moved.

    Raises
    ------
    HarmonyError
        For a bass beside another given, no part for it, or no such part or score.
    """
    if options.voice is not None and options.ensemble is None:
        raise HarmonyError(
            "--tune-in names a voice of players; --for says which players.", where="--tune-in"
        )
    kind = options.given or (MELODY if options.bass is None else BOTH)
    theme = score_to_theme(score, part=options.part, bars=options.bars)
    told = list(tell_what_is_left(score, part=options.part))
    if kind == BOTH:
        return Given(BOTH, _read_bass(options, score)), theme, told
    if options.bass is not None:
        raise HarmonyError(
            f"--bass goes with a tune whose bass is given, not with --given {kind}; leave one of"
            " the two out.",
            where="--bass",
        )
    place = LIES_IN.get(kind)
    placed = theme if place is None else fit_to_voice(theme, PLAYED_BY, place)
    return Given(kind), placed, [*told, *filter(None, [say_octaves(theme, placed)])]


def _read_bass(options: Namespace, score: Score) -> Theme:
    own = 0 if options.part is None else score.part_index(options.part)
    if options.bass is not None and not _has_part(score, options.bass):
        if not Path(options.bass).expanduser().is_file():
            raise HarmonyError(
                f"--bass {options.bass} is neither a part of the score nor a score;"
                f" {score.name_parts()} or a file are accepted.",
                where="--bass",
            )
        return score_to_theme(read(options.bass), bars=options.bars)
    part = len(score.parts) - 1 if options.bass is None else score.part_index(options.bass)
    if part == own:
        raise HarmonyError(
            "The score has no other part for the bass; --bass with another score is accepted."
            if len(score.parts) == 1
            else f"Part {part + 1} is the tune itself; --bass takes another part, or a score.",
            where="--bass",
        )
    return score_to_theme(score, part=part + 1, bars=options.bars)


def _has_part(score: Score, word: str) -> bool:
    try:
        score.part_index(word)
    except HarmonyError:
        return False
    return True


def carry_as_asked(options: Namespace, one: Harmonisation, given: Given) -> Carried:
    """Voice an alternative for the players asked for, the tune in the voice asked for.

    Raises
    ------
    HarmonyError
        For unknown players or voices, or where the tune cannot stand there.
    """
    names = [voice.name for voice in find_ensemble(options.ensemble).voices]
    voice = names[_usual_place(given, len(names))] if options.voice is None else options.voice
    placed = replace(one, theme=fit_to_voice(one.theme, options.ensemble, voice))
    bass = given.bass
    if bass is not None:
        if voice == names[-1]:
            raise HarmonyError(
                f"The bass lies in {voice}; --tune-in takes another voice.", where="--tune-in"
            )
        bass = fit_to_voice(bass, options.ensemble, names[-1])
    return carry_to_players(placed, options.ensemble, voice=voice, bass=bass)


def _usual_place(given: Given, count: int) -> int:
    if given.kind == BASS:
        return count - 1
    return 0 if given.kind in (MELODY, BOTH) else count // 2


def say_carried(options: Namespace, carried: Carried) -> str:
    """Say where the tune and the pedals lie, and which rules were let go for them."""
    problem, best = carried.voiced.problem, carried.voiced.alternatives[0]
    held = {one.voice for one in carried.held}
    names = [problem.ensemble.voices[line.voice].name for line in problem.given]
    lines = " and ".join(name for name in names if name not in held)
    what = "the tune" if len([n for n in names if n not in held]) == 1 else "tune and bass"
    said = f"Voiced for {options.ensemble}, {what} in {lines}."
    return " ".join(filter(None, (said, say_pedals(carried.held), say_let_go(problem, best))))

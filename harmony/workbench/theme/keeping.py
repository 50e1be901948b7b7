"""Keeping what the theme desk shows, carrying it on, and a sheet about the theme."""

from __future__ import annotations

from collections.abc import Callable

from harmony.saving import save_bytes
from harmony.scoring.build import theme_to_score
from harmony.sketchbook import Keep, Record, Sketchbook
from harmony.themes.survey import StoppedError
from harmony.workbench.theme.result import theme_to_result
from harmony.workbench.theme.work import Work

DESK = "theme"


def keep_result(sketchbook: Sketchbook, name: str, work: Work) -> Keep:
    """Keep the music that is opened, with what it came from and how."""
    record = _record(work, work.opened.sentence)
    return sketchbook.keep(name, work.opened.to_score(), record)


def carry_to_harmonising(sketchbook: Sketchbook, name: str, work: Work) -> str:
    """Keep one line for the harmonising desk, and say how to go on there.

    It is the line that is opened where there is only one, and the theme where there
    are more.
    """
    opened = work.opened if len(work.opened.lines) == 1 else theme_to_result(work.theme)
    score = theme_to_score(opened.theme)
    keep = sketchbook.keep(f"{name.strip() or 'Theme'} tune", score, _record(work, opened.sentence))
    return (
        f"Kept as {keep.score_path.name}: at desk 3 choose {keep.name} under Kept and press"
        " Open; it is the tune there."
    )


def keep_sheet(
    sketchbook: Sketchbook, name: str, work: Work, watch: Callable[[str], bool] | None = None
) -> str:
    """Keep a sheet about the theme: its score with the chords it implies, and A4 pages.

    ``watch`` is told in words how far it is, and stops it by giving True.

    Raises
    ------
    StoppedError
        If it was stopped; nothing is kept then.
    HarmonyError
        If the name cannot be a file's, or the folder cannot be written to.
    """
    # Loaded when the first sheet is wanted.
    from harmony.themes.portrait import describe_theme
    from harmony.workbench.theme.sheet import lay_theme_sheet, score_with_chords
    from harmony.writing.paper import write_pdf

    def tell(said: str) -> None:
        if watch and watch(said):
            raise StoppedError("The sheet was not written.")

    tell("engraving")
    pages = lay_theme_sheet(work.theme, work.possibilities, work.choices.judge)
    printed = write_pdf(
        pages,
        title=work.theme.title or "Theme",
        report=lambda number: tell(f"page {number} of {len(pages)}"),
    )
    score = score_with_chords(work.theme, describe_theme(work.theme))
    record = _record(work, "a sheet about the theme")
    keep = sketchbook.keep(f"{name.strip() or 'Theme'} sheet", score, record)
    path = save_bytes(keep.score_path.with_suffix(".pdf"), printed)
    count = "one page" if len(pages) == 1 else f"{len(pages)} pages"
    return f"Kept as {path.name}, {count} to print, and {keep.score_path.name}, its music."


def _record(work: Work, sentence: str) -> Record:
    choices = work.choices
    done = (sentence,) if sentence else ()
    return Record(
        desk=DESK,
        source=choices.source,
        ancestry=(choices.source, *choices.operations, *done),
        settings={
            "operations": list(choices.operations),
            "part": choices.part,
            "bars": choices.bars,
            "letter": choices.letter,
        },
    )

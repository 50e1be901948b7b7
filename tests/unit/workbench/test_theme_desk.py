"""The theme desk without a browser: what is found and shown for what is set."""

from __future__ import annotations

import asyncio
import threading
from fractions import Fraction
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.sketchbook import Sketchbook
from harmony.themes.canon import find_faults as find_faults_of
from harmony.themes.follower import STEPS
from harmony.themes.survey import StoppedError
from harmony.workbench.parts.background import LongSearch
from harmony.workbench.parts.controls import Message
from harmony.workbench.parts.guard import saying
from harmony.workbench.scores import list_themes
from harmony.workbench.theme.keeping import carry_to_harmonising, keep_result, keep_sheet
from harmony.workbench.theme.presenter import (
    present_chart,
    present_fault_marks,
    present_notes,
    present_share,
)
from harmony.workbench.theme.sheet import say_tempo
from harmony.workbench.theme.state import (
    CANONS,
    CONTINUATIONS,
    KINDS,
    OTHER_THEME,
    OVER_CHORDS,
    OWN_FORMS,
    Choices,
    Search,
)
from harmony.workbench.theme.view import ThemeDesk
from harmony.workbench.theme.work import do_work, find_mends, say_taken, takes_long
from harmony.writing.musicxml import write_musicxml
from tests.published.musicxml_schema import faults as find_faults
from tests.unit.workbench.messages import send

SHUTTLE = Choices("Shuttle")
CHORDS = "Dm7 | G7 | Dm7 | C"
ASKED = {
    CONTINUATIONS: Search(CONTINUATIONS),
    CANONS: Search(CANONS, voices=3),
    OTHER_THEME: Search(OTHER_THEME, other="Lamps out"),
    OWN_FORMS: Search(OWN_FORMS),
    OVER_CHORDS: Search(OVER_CHORDS, chords=CHORDS),
}


@pytest.mark.parametrize("kind", KINDS)
def test_each_search_finds_three_to_six_that_can_be_seen_heard_and_kept(kind: str) -> None:
    work = do_work(SHUTTLE.with_search(ASKED[kind]))
    assert 3 <= len(work.finds) <= 6
    assert work.opened is work.finds[0]
    assert len({one.sentence for one in work.finds}) == len(work.finds)
    for one in work.finds:
        assert len(present_notes(one)) == sum(len(line.sounding) for line in one.lines)
        assert find_faults(write_musicxml(one.to_score())) == []
    assert do_work(SHUTTLE.with_search(ASKED[kind]).with_found(2)).opened is work.finds[1]


def test_where_no_canon_goes_well_enough_the_nearest_is_shown_with_its_faults() -> None:
    work = do_work(Choices("Night shift").with_search(Search(CANONS, voices=3)))
    assert [one.sentence for one in work.finds] == [
        "No canon in 3 voices of this theme goes well enough to offer. The nearest: at the unison"
        " after 8 bars; a sixth below after 15 1/2 bars: 7 faults."
    ]
    assert len(work.opened.faults) == 7
    assert work.opened.names == ("Leader", "Second voice", "Third voice")


def test_two_themes_together_tell_how_the_second_is_moved_and_what_they_share() -> None:
    found = do_work(SHUTTLE.with_search(Search(OTHER_THEME, other="Pattern drawer"))).finds
    assert found[0].sentence == (
        "Pattern-drawer in D, a sixth above from E5, 4 bars in: no fault in the 4 bars they share;"
        " the two can change places at the octave."
    )
    form = do_work(SHUTTLE.with_search(Search(OWN_FORMS))).finds
    assert "Itself in doubled durations, a fourth above from D5, together with it: 1 fault." in [
        one.sentence for one in form
    ]


def test_what_has_faults_is_marked_where_they_are() -> None:
    choices = SHUTTLE.with_search(Search(CANONS, voices=4))
    work = do_work(choices)
    faulty = next(one for one in work.finds if one.faults)
    marks = present_fault_marks(faulty)
    assert len(marks) == len({fault.offset for fault in faulty.faults})
    assert f"{len(faulty.faults)} fault" in faulty.sentence


def test_canons_can_go_over_chords_or_over_a_theme_as_ground() -> None:
    over = do_work(SHUTTLE.with_search(Search(CANONS, voices=3, chords=CHORDS)))
    assert over.opened.harmonies[0].symbol == "Dm7"
    ground = do_work(SHUTTLE.with_search(Search(CANONS, voices=2, ground="Lamps out")))
    assert ground.opened.names == ("Leader", "Second voice", "Ground")


def test_a_continuation_made_the_theme_is_remembered_and_undone_by_its_name() -> None:
    work = do_work(SHUTTLE.with_search(Search(CONTINUATIONS, bars=4, closing_degree=5)))
    taken = SHUTTLE.with_operation(work.opened.operation)
    assert do_work(taken).theme.line == work.opened.lines[0]
    assert do_work(taken).theme.parent[0] == "Shuttle"
    assert len(do_work(taken.with_operation("retrograde")).theme.parent) == 3
    assert taken.search is None


def test_each_of_the_first_five_with_one_line_can_be_made_the_theme() -> None:
    for letter in "ABCDE":
        work = do_work(SHUTTLE.with_letter(letter))
        if len(work.opened.lines) == 1:
            taken = do_work(SHUTTLE.with_operation(work.opened.operation))
            assert [n.pitch for n in taken.theme.line] == [n.pitch for n in work.opened.lines[0]]


def test_the_best_of_the_chart_is_the_best_of_what_it_shows() -> None:
    work = do_work(SHUTTLE)
    content = present_chart(work.canons, "direct", Fraction(1))
    assert content["best"] == (-4, Fraction(4))
    row = STEPS[::-1].index(content["best"][0])
    text, spoken = content["rows"][row]["cells"][content["delays"].index("4")]
    assert text == "7✓"
    assert spoken == "5th below, 4 beats later: no fault"


def test_the_chart_shows_every_eighth_when_asked() -> None:
    canons = do_work(SHUTTLE).canons
    beats = present_chart(canons, "direct", Fraction(1))["delays"]
    eighths = present_chart(canons, "direct", Fraction(1), is_fine=True)["delays"]
    assert len(beats) == 32
    assert eighths == [str(Fraction(k, 2)) for k in range(64)]


def test_another_part_or_some_bars_can_be_the_theme(folder: Path) -> None:
    both = "X:1\nM:4/4\nL:1/4\nK:D\nV:1\nDEFG|AGFE|D4|\nV:2\nD4|[CE]4|D4|\n"
    (folder / "both.abc").write_text(both, encoding="utf-8")
    first = Choices("both.abc")
    assert say_taken(first) == "The theme is part 1 of 2. "
    second = first.with_part("2", "1-2")
    assert [str(n.pitch) for n in do_work(second).theme.line.sounding] == ["D4", "E4"]
    assert "sounds several notes at once; the highest line" in say_taken(second)
    assert len(do_work(first.with_part("", "1-2")).theme.line.sounding) == 8
    with pytest.raises(HarmonyError, match="bars"):
        do_work(first.with_part("", "7-9"))


@pytest.mark.parametrize(
    ("search", "words"),
    [
        (Search(OVER_CHORDS), "Write the chords first"),
        (Search(CANONS, chords="Zz"), "'Zz' is not a chord"),
        (Search(OTHER_THEME, other="Nothing"), "not in the sketchbook"),
        (Search("hats"), "nothing the workshop looks for"),
        (Search(CONTINUATIONS, kept_bars=16), "not in the theme"),
    ],
)
def test_what_cannot_be_looked_for_is_told_in_a_sentence(search: Search, words: str) -> None:
    with pytest.raises(HarmonyError, match=words):
        do_work(SHUTTLE.with_search(search))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The sketchbook of the test."""
    return tmp_path


HEAD = "X:1\nT:Bad\nM:4/4\nL:1/4\nK:C\n"


@pytest.mark.parametrize(
    ("abc", "words"),
    [
        (f"{HEAD}C|]", "at least two notes"),
        (f"{HEAD}z4|z4|]", "note"),
        (f"{HEAD}{'CDEF|' * 300}]", "300 bars"),
        ("", "bad.abc"),
    ],
)
def test_bad_themes_are_refused_in_a_sentence(folder: Path, abc: str, words: str) -> None:
    (folder / "bad.abc").write_text(abc, encoding="utf-8")
    with pytest.raises(HarmonyError, match=words) as refused:
        do_work(Choices("bad.abc"))
    assert str(refused.value).count("\n") == 0


def test_two_parts_at_once_are_the_first_parts_and_no_key_is_no_matter(folder: Path) -> None:
    both = "X:1\nM:4/4\nL:1/4\nK:none\nV:1\nCDEF|GFED|\nV:2\nC4|G4|\n"
    (folder / "both.abc").write_text(both, encoding="utf-8")
    work = do_work(Choices("both.abc"))
    assert len(work.theme.line.sounding) == 8
    assert len(work.possibilities) == 5


def test_keeps_carry_the_line_and_its_history(folder: Path) -> None:
    book = Sketchbook(folder)
    canon = do_work(SHUTTLE)
    kept = keep_result(book, "canon", canon)
    assert kept.record.ancestry == ("Shuttle", canon.opened.sentence)
    said = carry_to_harmonising(book, "canon", canon)
    assert "canon tune.musicxml" in said
    assert do_work(Choices("canon tune.musicxml")).theme.line == canon.theme.line
    turned = do_work(SHUTTLE.with_letter("C"))
    carry_to_harmonising(book, "turned", turned)
    assert do_work(Choices("turned tune.musicxml")).theme.line == turned.opened.lines[0]


def test_a_sheet_tells_how_far_it_is_and_can_be_stopped(folder: Path) -> None:
    work, told = do_work(SHUTTLE), []
    keep_sheet(Sketchbook(folder), "Told", work, lambda said: bool(told.append(said)))
    assert told == ["engraving", "page 1 of 2", "page 2 of 2"]
    with pytest.raises(StoppedError, match="The sheet was not written"):
        keep_sheet(Sketchbook(folder), "Stopped", work, lambda said: said == "page 2 of 2")
    assert not list(folder.glob("Stopped*"))


def test_two_notes_mend_what_one_does_not() -> None:
    desk = ThemeDesk(Choices("Lamps out"))
    desk._change(Choices.with_cell, (-8, Fraction(8)))
    assert desk.work.canon is not None
    mends = find_mends(desk.work)
    assert {len(one.changes) for one in mends} == {2}
    assert desk.mends.bill.candidates[0]["name"]
    before = desk.work.canon.cell
    send(desk.mends.bill, press=0)
    assert desk.history.present.operations == mends[0].operations
    assert find_faults_of(desk.work.theme, before, "tonal") == ()


def test_a_sheet_is_kept_with_its_pages(folder: Path) -> None:
    work = do_work(Choices("Pattern drawer"))
    said = keep_sheet(Sketchbook(folder), "Pattern", work)
    assert said.startswith("Kept as Pattern sheet.pdf, 2 pages to print")
    assert (folder / "Pattern sheet.pdf").read_bytes().startswith(b"%PDF")
    assert find_faults((folder / "Pattern sheet.musicxml").read_bytes()) == []
    assert "Pattern sheet.musicxml" in list_themes()
    keep_sheet(Sketchbook(folder), "Pattern", work)
    assert (folder / "Pattern sheet 2.pdf").exists()


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("Night shift", "96 dotted quarter notes a minute"),
        ("Shuttle", "138 quarter notes a minute"),
    ],
)
def test_a_tempo_is_said_in_the_beats_it_is_marked_in(source: str, said: str) -> None:
    (tempo,) = do_work(Choices(source)).opened.to_score().tempi
    assert say_tempo(tempo) == said


def test_a_long_theme_is_looked_at_beside_the_desk_and_can_be_stopped(folder: Path) -> None:
    (folder / "long.abc").write_text(HEAD + "CDEF|GFED|" * 25 + "]", encoding="utf-8")
    choices = Choices("long.abc")
    assert takes_long(choices)
    assert not takes_long(SHUTTLE)
    told: list[float] = []
    with pytest.raises(StoppedError):
        do_work(choices, lambda share: told.append(share) or len(told) > 2)  # type: ignore[func-returns-value]
    assert told == [0.0, pytest.approx(1 / 12), pytest.approx(2 / 12)]


def test_a_search_beside_the_desk_tells_how_far_it_is_and_hears_cancel() -> None:
    async def press_cancel() -> tuple[list[object], str, str]:
        long, ended, first = LongSearch(present_share), asyncio.Event(), threading.Event()
        got: list[object] = []

        def find(watch):  # type: ignore[no-untyped-def]
            while not watch(0.25):
                first.set()
            raise StoppedError("stopped")

        def report(fault: Exception, *, unforeseen: bool) -> None:
            got.extend((fault, unforeseen))
            ended.set()

        long.run(find, got.append, report)
        shown = str(long.box.layout.display)
        await asyncio.to_thread(first.wait)
        await asyncio.sleep(0)
        said = long.message.text
        long.cancel._handle_custom_msg({"press": "cancel"}, [])
        await ended.wait()
        return got, shown, f"{said} {long.box.layout.display}"

    got, shown, said = asyncio.run(press_cancel())
    assert isinstance(got[0], StoppedError)
    assert got[1] is False
    assert shown == "None"
    assert said == "Looking for canons: 25 % looked at. none"


def test_without_an_event_loop_a_search_runs_at_once() -> None:
    got: list[object] = []
    LongSearch(present_share).run(lambda watch: watch(0.5), got.append, saying(Message()))
    assert got == [False]


def test_what_was_changed_stands_beside_its_original_until_undone() -> None:
    desk = ThemeDesk()
    assert desk.beside.box.children == ()
    desk.operation.put("retrograde")
    desk._operate(desk.operation.text)
    desk._operate("augmentation by 2")
    assert desk.portrait.text.startswith("Shuttle, retrograde, then augmentation by 2. ")
    assert desk.beside.sheet in desk.beside.box.children
    original = do_work(SHUTTLE).theme
    heard = desk.beside.player.tune["voices"][0]["notes"]
    assert [midi for _, _, midi in heard] == [n.pitch.midi for n in original.line.sounding]
    desk._take_action("undo")
    desk._take_action("undo")
    assert desk.beside.box.children == ()

"""The small pictures of the alternatives at desk 1."""

from __future__ import annotations

import pytest

from harmony.workbench.progression.alternatives import find_window
from harmony.workbench.progression.view import ProgressionDesk
from tests.unit.workbench.messages import send


def count_noteheads(picture: str) -> int:
    return picture.count('data-class="notehead"')


def test_every_alternative_has_a_picture_of_the_same_bars(desk: ProgressionDesk) -> None:
    first, last = find_window(desk.work)
    assert desk.cards.label == f"Alternatives, as they differ in bars {first} and {last}"
    assert len(desk.cards.pictures) == 5
    slots = desk.work.problem.progression.slots
    inside = [number for number, slot in enumerate(slots) if first <= slot.bar <= last]
    for one, picture in zip(desk.work.alternatives, desk.cards.pictures, strict=True):
        assert count_noteheads(picture) == sum(len(one.pitches[number]) for number in inside)
        # another picture exactly where other notes stand in these bars
        unlike = any(one.pitches[n] != desk.work.alternatives[0].pitches[n] for n in inside)
        assert (picture != desk.cards.pictures[0]) is unlike


def test_the_bars_are_those_where_most_alternatives_differ(desk: ProgressionDesk) -> None:
    first, last = find_window(desk.work)
    slots, alternatives = desk.work.problem.progression.slots, desk.work.alternatives

    def unlike(bars: range) -> int:
        numbers = [number for number, slot in enumerate(slots) if slot.bar in bars]
        return sum(
            any(one.pitches[n] != alternatives[0].pitches[n] for n in numbers)
            for one in alternatives
        )

    most = max(unlike(range(bar, bar + 2)) for bar in range(1, 9))
    assert unlike(range(first, last + 1)) == most > 0


def test_pictures_and_letters_stay_while_alternatives_are_compared(desk: ProgressionDesk) -> None:
    before = list(desk.cards.pictures), [item["letter"] for item in desk.cards.items]
    send(desk.cards, press="D")
    assert (list(desk.cards.pictures), [item["letter"] for item in desk.cards.items]) == before
    assert [item["shown"] for item in desk.cards.items] == [False, False, False, True, False]


@pytest.mark.parametrize(
    "text",
    [
        "C: I",
        "4/4 N.C. | Dmaj7 | N.C.",
        "5/4 C: I V I V I | I",
        "{C3 G3 E4 C5}",
        "2/4 Bb: ii V | I",
    ],
)
def test_any_progression_has_them(desk: ProgressionDesk, text: str) -> None:
    send(desk.entry, submit=text)
    assert desk.entry.message == ""
    assert len(desk.cards.pictures) == len(desk.cards.items)
    assert all(picture.startswith("<svg") for picture in desk.cards.pictures)

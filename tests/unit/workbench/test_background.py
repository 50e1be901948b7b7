"""What a search beside the desk hands over while it goes on."""

from __future__ import annotations

import asyncio

from harmony.errors import HarmonyError
from harmony.workbench.parts.background import LongSearch, Watch


def refuse(_value: object) -> None:
    raise HarmonyError("This cannot be shown.")


def hand_over(watch: Watch) -> str:
    watch.hand_over(refuse, 1)
    return "found"


def test_what_cannot_be_shown_meanwhile_is_told_where_faults_of_the_search_are() -> None:
    told: list[tuple[str, bool]] = []

    def report(fault: Exception, *, unforeseen: bool) -> None:
        told.append((str(fault), unforeseen))

    async def search() -> str:
        found: asyncio.Queue[str] = asyncio.Queue()
        LongSearch(str).run(hand_over, found.put_nowait, report)
        return await found.get()

    assert asyncio.run(asyncio.wait_for(search(), 60)) == "found"
    assert told == [("This cannot be shown.", False)]


def test_the_same_holds_where_nobody_waits_beside_it() -> None:
    told: list[str] = []
    got: list[str] = []

    def report(fault: Exception, *, unforeseen: bool) -> None:
        assert not unforeseen
        told.append(str(fault))

    LongSearch(str).run(hand_over, got.append, report)
    assert (told, got) == (["This cannot be shown."], ["found"])

from __future__ import annotations

import re

import pytest

from harmony.scoring.build import theme_to_score
from harmony.writing.flatten import Page
from harmony.writing.sheet import Curve, Music, Words, lay_sheet, measure_line
from tests.unit.themes.lines import shuttle

WIDTH, HEIGHT, MARGIN = 840, 1188, 70
MUSIC = Music(theme_to_score(shuttle()))


def places(page: Page) -> list[tuple[float, float]]:
    """Where each shape's first point lies on the page."""
    found = []
    for shape in page.shapes:
        x, y = (float(n) for n in re.findall(r"-?\d*\.?\d+(?:e-?\d+)?", shape.path)[:2])
        m = shape.matrix
        found.append((m.a * x + m.c * y + m.e, m.b * x + m.d * y + m.f))
    return found


def test_everything_lies_between_the_margins() -> None:
    long = Words("How many words a line can hold depends on their letters. " * 12)
    (page,) = lay_sheet([Words("A heading", 26, is_heading=True), long, MUSIC])
    for x, y in places(page):
        assert MARGIN - 25 <= x <= WIDTH - MARGIN + 5
        assert MARGIN - 5 <= y <= HEIGHT - MARGIN


def test_words_are_broken_where_the_line_is_full() -> None:
    short, long = (len(set(rows(Words("weaving " * count)))) for count in (3, 60))
    assert short == 1
    assert long >= measure_line("weaving " * 60, 15.0) / (WIDTH - 2 * MARGIN)


def rows(words: Words) -> list[float]:
    (page,) = lay_sheet([words])
    return [shape.matrix.f for shape in page.shapes]


def test_what_does_not_fit_goes_to_the_next_page_with_its_words() -> None:
    pages = lay_sheet([MUSIC] * 5 + [Words("Last", 18, is_heading=True), MUSIC])
    assert len(pages) == 2
    tops = [min(y for _, y in places(page)) for page in pages]
    assert tops[1] < 200
    # a heading alone at the foot of a page would introduce nothing
    for count in range(1, 9):
        for page in lay_sheet([MUSIC] * count + [Words("Last", 18, is_heading=True), MUSIC]):
            assert len(page.shapes) > len("Last")


def test_a_curve_has_a_point_and_a_number_for_each_height() -> None:
    (page,) = lay_sheet([Curve((1.0, 3.0, 2.0), ("1", "2", "3"))])
    dots = [shape for shape in page.shapes if shape.path.count("a3 3") == 2]
    assert len(dots) == 3
    heights = [float(shape.path.split(" ")[1].split("a")[0]) for shape in dots]
    assert heights[1] < heights[2] < heights[0]  # the page's y runs downward


@pytest.mark.parametrize("flat", [(2.0,), (2.0, 2.0)])
def test_a_level_curve_can_be_drawn(flat: tuple[float, ...]) -> None:
    (page,) = lay_sheet([Curve(flat, tuple("12")[: len(flat)])])
    assert page.to_svg().startswith("<svg")

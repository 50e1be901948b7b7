"""The one finder of the package's own files, in a checkout and in an installed wheel."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmony import resources
from harmony.errors import HarmonyError


def test_the_checkout_s_own_folders_are_found() -> None:
    root = Path(resources.__file__).parents[1]
    assert resources.find_desks() == root / "notebooks"
    assert resources.find_corpora() == root / "corpora"
    assert resources.find_data() == root / "harmony" / "data"


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty stand-in for the installed package's folder."""
    folder = tmp_path / "site" / "harmony"
    folder.mkdir(parents=True)
    monkeypatch.setattr(resources, "find_package_folder", lambda: folder)
    return folder


def test_a_wheel_s_folders_are_found_inside_the_package(package: Path) -> None:
    desks = package / "_shipped" / "notebooks"
    desks.mkdir(parents=True)
    assert resources.find_desks() == desks


def test_a_stranger_s_folder_beside_the_package_is_not_taken(package: Path) -> None:
    (package.parent / "notebooks").mkdir()
    with pytest.raises(HarmonyError, match="lacks 'notebooks'"):
        resources.find_desks()


def test_a_missing_table_is_told(package: Path) -> None:
    with pytest.raises(HarmonyError, match=r"lacks 'nothing.csv' .* installing it again"):
        resources.find_data("nothing.csv")
    with pytest.raises(HarmonyError, match="lacks"):
        resources.find_corpora("loom", "theme.abc")


def test_a_home_that_nobody_has_stays_as_written() -> None:
    assert resources.expand_home("~") == Path.home()
    assert resources.expand_home("~nobody-of-that-name/x.abc") == Path("~nobody-of-that-name/x.abc")

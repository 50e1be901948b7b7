"""The sketchbook folder, the desks copied into it, and Lab set up apart from other settings."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.workbench.lab.desks import copy_desks, open_folder


def test_a_missing_folder_is_made(tmp_path: Path) -> None:
    assert open_folder(tmp_path / "new" / "book").is_dir()


def test_a_file_is_not_a_folder(tmp_path: Path) -> None:
    (tmp_path / "song").write_text("words")
    with pytest.raises(HarmonyError, match="is a file; the workbench opens on a folder"):
        open_folder(tmp_path / "song")


def test_a_folder_that_cannot_be_written_to_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(**_options: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("harmony.workbench.lab.desks.tempfile.TemporaryFile", refuse)
    with pytest.raises(HarmonyError, match=r"Nothing can be written in .* \(permission denied\)"):
        open_folder(tmp_path)


def test_desks_are_copied_once_and_never_overwritten(tmp_path: Path) -> None:
    shipped, book = tmp_path / "shipped", tmp_path / "book"
    shipped.mkdir()
    book.mkdir()
    (shipped / "one.ipynb").write_text("first")
    (shipped / "two.ipynb").write_text("second")
    (shipped / "readme.txt").write_text("no desk")
    copied = copy_desks(shipped, book)
    assert [path.name for path in copied] == ["one.ipynb", "two.ipynb"]
    copied[0].write_text("the composer's own")
    (shipped / "one.ipynb").write_text("a later version")
    copy_desks(shipped, book)
    assert copied[0].read_text() == "the composer's own"
    assert copied[1].read_text() == "second"
    assert sorted(path.name for path in (book / "desks").iterdir()) == ["one.ipynb", "two.ipynb"]


def ask(code: str, home: Path, **variables: str) -> str:
    kept = {n: v for n, v in os.environ.items() if not n.startswith(("JUPYTER", "IPYTHON"))}
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**kept, "HOME": str(home), **variables},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


SETTLE = (
    "from harmony.workbench.lab.look import settle_environment as s; import os; print(s());"
    "print(os.environ['JUPYTER_CONFIG_DIR']);"
    "from jupyter_core.paths import jupyter_data_dir as d; print(d())"
)


def test_lab_s_look_is_set_beside_the_composer_s_own_settings(tmp_path: Path) -> None:
    own = tmp_path / ".jupyter"
    own.mkdir()
    config, variable, data = ask(SETTLE, tmp_path).splitlines()
    assert config == variable
    assert Path(config).is_relative_to(data)
    overrides = json.loads(
        (Path(config) / "labconfig" / "default_setting_overrides.json").read_text("utf-8")
    )
    notification = overrides["@jupyterlab/apputils-extension:notification"]
    assert notification["fetchNews"] == "false"
    assert notification["checkForUpdates"] is False
    assert (Path(config) / "custom" / "custom.css").is_file()
    assert list(own.iterdir()) == []


def test_a_home_that_cannot_be_written_to_is_done_without(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    config, _, data = ask(
        SETTLE, tmp_path, JUPYTER_DATA_DIR=str(tmp_path / "file" / "x")
    ).splitlines()
    assert Path(config).is_dir()
    assert Path(config).is_relative_to(data)

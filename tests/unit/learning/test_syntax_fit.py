"""The table of the learnt syntax is what the script makes of the corpus."""

from __future__ import annotations

from pathlib import Path

import pytest

from harmony.harmonising.syntax import TABLE
from harmony.learning.fit_syntax import main
from harmony.resources import find_data


@pytest.mark.sweep
@pytest.mark.slow
@pytest.mark.timeout(3000)
def test_the_whole_table_is_rebuilt_byte_for_byte(tmp_path: Path) -> None:
    main([str(tmp_path / "again.npz")])
    assert (tmp_path / "again.npz").read_bytes() == find_data(*TABLE.split("/")).read_bytes()

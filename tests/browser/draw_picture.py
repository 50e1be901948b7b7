"""Draw the README's picture: desk 1 as it opens, from the real workbench in a real browser.

Run by ``make picture``; writes notebooks/picture-desk1.png.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.browser.desk import Desk
from tests.browser.finding import find_browser
from tests.browser.serving import open_page, serve_workbench

PICTURE = Path(__file__).resolve().parents[2] / "notebooks" / "picture-desk1.png"


def main() -> None:
    """Open the workbench on an empty folder and photograph its first desk."""
    with (
        tempfile.TemporaryDirectory() as place,
        serve_workbench(Path(place), browser=find_browser()) as served,
        open_page(served) as page,
    ):
        page.set_viewport_size({"width": 1280, "height": 1376})
        Desk(page, served.folder).wait_until_ready()
        # the alternatives, drawn last, have their pictures
        page.locator(".hw-card-picture[style*=mask]").nth(4).wait_for()
        page.screenshot(path=PICTURE)


if __name__ == "__main__":
    main()

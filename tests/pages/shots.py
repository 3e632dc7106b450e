# SPDX-License-Identifier: GPL-3.0-or-later
"""Pictures of pages for a person to look at.

Usage: shots.py FOLDER PAGE.html...
For each page: as seen on screens of 375, 768 and 1280 px, light and dark, and printed on A4 and
Letter."""

import pathlib
import sys

from browser import PAPERS, Browser

WIDTHS = (375, 768, 1280)


def main(folder, pages):
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    with Browser() as browser:
        for page in map(pathlib.Path, pages):
            browser.open(page)
            for width in WIDTHS:
                for dark in (False, True):
                    kind = "dark" if dark else "light"
                    browser.picture(folder / f"{page.stem}-{width}-{kind}.png", width, dark)
            for paper in PAPERS:
                browser.paper(folder / f"{page.stem}-{paper}.pdf", paper)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])

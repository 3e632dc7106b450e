# SPDX-License-Identifier: GPL-3.0-or-later
"""Pictures of all pages for a person to look at.

Usage: shots.py PROGRAM EXAMPLES FOLDER
Each page as seen on screens of 375, 768 and 1280 px, light and dark, and printed on A4 and Letter."""

import pathlib
import sys

from browser import PAPERS, Browser
from pages import examples_make

WIDTHS = (375, 768, 1280)


def page_shoot(browser, page, folder):
    browser.open(page.html)
    for width in WIDTHS:
        for dark in (False, True):
            kind = "dark" if dark else "light"
            browser.picture(folder / f"{page.name}-{width}-{kind}.png", width, dark)
    for paper in PAPERS:
        browser.paper(folder / f"{page.name}-{paper}.pdf", paper)


def main(program, examples, folder):
    folder = pathlib.Path(folder)
    pages = examples_make(pathlib.Path(program), pathlib.Path(examples), folder)
    with Browser() as browser:
        for page in pages.values():
            page_shoot(browser, page, folder)
    print(f"{len(pages)} pages in {folder}")


if __name__ == "__main__":
    main(*sys.argv[1:])

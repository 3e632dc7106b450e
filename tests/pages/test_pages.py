# SPDX-License-Identifier: GPL-3.0-or-later
"""Pages from end to end: written by the program, opened in a browser, held against its JSON.

Usage: test_pages.py PROGRAM EXAMPLES FOLDER [unittest's own arguments]"""

import hashlib
import itertools
import pathlib
import re
import subprocess
import sys
import unittest
from decimal import ROUND_FLOOR, Decimal

import dom
from browser import PAPERS, Browser
from pages import examples_make, page_make, run

# 1: cells carry ten significant digits, JSON nine and more
SAME = 1e-8

# What no page may hold, wherever: nothing is fetched, nothing but the page's own script is run.
OUTSIDE = re.compile(r"https?:|(?:\s|^)(?:src|srcset|data|poster)\s*=|url\(|@import|<link|<iframe|"
                     r"<img|<object|<embed|<base|<form|javascript:|\son[a-z]+\s*=", re.I)

# WCAG 2.1: 1.4.3 for text at AA, 1.4.11 for what is not text
LEAST_TEXT = 4.5
LEAST_STROKE = 3.0

# Sheets of paper; the smallest screen that the guidelines know is 320 px wide (WCAG 2.1, 1.4.10).
SHEETS = {"check": 2, "joint": 2, "sweep": 2, "compare": 2, "loadrun": 3}
WIDTHS = (320, 375, 768, 1280)


def sheets(pdf):
    told = subprocess.run(["pdfinfo", pdf], capture_output=True, check=True, text=True).stdout
    return int(re.search(r"^Pages:\s+(\d+)", told, re.M).group(1))


class Pages(unittest.TestCase):
    program = examples = folder = None

    @classmethod
    def setUpClass(cls):
        cls.pages = examples_make(cls.program, cls.examples, cls.folder)
        cls.browser = cls.enterClassContext(Browser())

    def open(self, name):
        page = self.pages[name]
        self.browser.open(page.html)
        return page

    def table(self, section, number=0):
        return self.browser.script(dom.TABLE, section, number)

    def near(self, shown, expected, what):
        self.assertAlmostEqual(shown, expected, delta=SAME * max(1.0, abs(expected)), msg=what)


class Documents(Pages):
    def test_tidy_and_an_xml_parser_find_nothing(self):
        for name, page in self.pages.items():
            with self.subTest(name):
                tidy = subprocess.run(["tidy", "-e", "-q", page.html], capture_output=True,
                                      check=False, text=True)
                self.assertEqual((tidy.returncode, tidy.stderr), (0, ""))
                subprocess.run(["xmllint", "--noout", "--nonet", page.html], check=True)

    def test_nothing_outside_is_named_and_nothing_is_asked_for(self):
        for name, page in self.pages.items():
            with self.subTest(name):
                self.assertIsNone(OUTSIDE.search(page.html.read_text()))
                self.browser.requests()
                self.open(name)
                self.assertEqual(self.browser.requests(), [page.html.resolve().as_uri()])

    def test_the_same_files_make_the_same_page(self):
        arguments = ["check", self.examples / "drive.ini", self.examples / "module-good.ini",
                     "--format", "html"]
        self.assertEqual(run(self.program, arguments), run(self.program, arguments))

    def test_ids_scopes_captions_labels_and_links_are_in_order(self):
        for name in self.pages:
            with self.subTest(name):
                self.open(name)
                self.assertEqual(self.browser.script(dom.MARKUP), [])

    def test_it_reads_without_a_script(self):
        self.browser.tell("Emulation.setScriptExecutionDisabled", value=True)
        try:
            page = self.open("compare")
        finally:
            self.browser.tell("Emulation.setScriptExecutionDisabled", value=False)
        self.assertEqual(self.browser.script("return document.querySelectorAll('button').length"),
                         0)
        self.assertEqual(len(self.table("part-1")), len(page.data["candidates"]))


class Readers(Pages):
    def tree(self):
        nodes = self.browser.tell("Accessibility.getFullAXTree")["nodes"]
        return [n for n in nodes if not n.get("ignored")]

    @staticmethod
    def said(node, key):
        return (node.get(key) or {}).get("value", "")

    def test_landmarks_one_title_and_headings_in_order(self):
        for name in self.pages:
            with self.subTest(name):
                self.open(name)
                roles = [self.said(n, "role") for n in self.tree()]
                for landmark in ("banner", "main", "navigation", "contentinfo"):
                    self.assertEqual(roles.count(landmark), 1, landmark)
                levels = self.browser.script(
                    "return [...document.querySelectorAll('h1,h2,h3')].map(e => e.tagName)")
                self.assertEqual(levels[0], "H1")
                self.assertEqual(set(levels[1:]), {"H2"})

    def test_every_picture_has_a_name_and_says_its_numbers(self):
        for name in self.pages:
            with self.subTest(name):
                self.open(name)
                pictures = [n for n in self.tree() if self.said(n, "role") in ("image", "img")]
                drawn = self.browser.script("return document.querySelectorAll('svg').length")
                self.assertEqual(len(pictures), drawn)
                for picture in pictures:
                    self.assertTrue(self.said(picture, "name"))
                    self.assertRegex(self.said(picture, "description"), r"\d")

    def test_the_margins_stand_in_the_words_of_their_picture(self):
        page = self.open("check")
        words = self.browser.script("return document.querySelector('#kelvins desc').textContent")
        self.assertIn(f"margin left {page.data['points'][0]['margin_k']:.1f} K", words)

    def test_contrast_is_enough_in_light_in_dark_and_on_paper(self):
        for name, (media, dark) in itertools.product(
                ("check-low-frequency", "compare", "loadrun"),
                (("screen", False), ("screen", True), ("print", False), ("print", True))):
            with self.subTest(name, media=media, dark=dark):
                self.open(name)
                self.browser.screen(1280, dark=dark)
                self.browser.tell("Emulation.setEmulatedMedia", media=media, features=[
                    {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}])
                colours = self.browser.script(dom.COLOURS)
                self.browser.tell("Emulation.setEmulatedMedia", media="")
                self.assertGreater(len(colours), 6)
                for c in colours:
                    least = LEAST_TEXT if c["kind"] == "text" else LEAST_STROKE
                    self.assertGreaterEqual(dom.contrast(c["colour"], c["on"]), least, c)

    def test_the_dark_page_is_dark(self):
        self.open("check")
        ground = []
        for dark in (False, True):
            self.browser.screen(1280, dark=dark)
            ground.append(self.browser.script(
                "return getComputedStyle(document.body).backgroundColor.match(/\\d+/g).map(Number)"))
        self.assertGreater(dom.luminance(ground[0]), 0.8)
        self.assertLess(dom.luminance(ground[1]), 0.05)

    def test_no_screen_has_to_be_scrolled_sideways(self):
        for name, width in itertools.product(self.pages, WIDTHS):
            with self.subTest(name, width=width):
                self.open(name)
                self.browser.screen(width)
                self.assertEqual(self.browser.script(dom.OVERFLOW), 0)

    def test_no_column_of_a_comparison_is_cut_off(self):
        for width in (1000, 1100, 1280):
            with self.subTest(width=width):
                self.open("compare")
                self.browser.screen(width)
                self.assertEqual(self.browser.script(
                    "const f = document.querySelector('.scroll:has(.sortable)');"
                    "return f.scrollWidth - f.clientWidth"), 0)

    def test_the_keyboard_reaches_boxes_fields_and_wide_tables(self):
        self.open("check")
        self.browser.screen(375)
        reached = set()
        for _ in range(60):
            self.browser.tell("Input.dispatchKeyEvent", type="keyDown", key="Tab", code="Tab",
                              windowsVirtualKeyCode=9)
            reached.add(self.browser.script(
                "const e = document.activeElement; return e.tagName + '.' + (e.type ?? e.className)"))
        for wanted in ("INPUT.checkbox", "INPUT.text", "DIV.scroll", "A."):
            self.assertIn(wanted, reached)


class Paper(Pages):
    def test_sheets_of_paper(self):
        for name, paper in itertools.product(self.pages, PAPERS):
            page = self.open(name)
            pdf = self.folder / f"{name}-{paper}.pdf"
            self.browser.paper(pdf, paper)
            with self.subTest(name, paper=paper):
                self.assertEqual(sheets(pdf), SHEETS[page.command])

    def test_a_check_at_two_frequencies_takes_two_sheets_whatever_the_module(self):
        modules = sorted(self.examples.glob("module-*.ini"))
        originals = ([], ["--original", self.examples / "module-original.ini"])
        for drive, module, original in itertools.product(
                ("drive.ini", "drive-complete.ini"), modules, originals):
            page = page_make(self.program, self.folder, "paper",
                             ["check", self.examples / drive, module, *original])
            self.browser.open(page.html)
            for paper in PAPERS:
                pdf = self.folder / "paper.pdf"
                self.browser.paper(pdf, paper)
                with self.subTest(drive=drive, module=module.name, original=bool(original),
                                  paper=paper):
                    self.assertEqual(sheets(pdf), 2)

    def test_a_rejection_at_all_test_frequencies_that_a_file_may_have_takes_four_sheets(self):
        frequencies = " ".join(map(str, [*range(1, 7), *range(10, 60, 5)]))
        drive = (self.examples / "drive.ini").read_text()
        drive = re.sub("^frequencies.*", f"frequencies = {frequencies} Hz", drive, flags=re.M)
        drive = re.sub("^ambient = .*", "ambient = 60 degC", drive, flags=re.M)
        hot = self.folder / "hot.ini"
        hot.write_text(drive)
        page = page_make(self.program, self.folder, "paper",
                         ["check", hot, self.examples / "module-marginal.ini",
                          "--original", self.examples / "module-original.ini"])
        self.assertEqual((page.data["verdict"], len(page.data["points"])), ("reject", 16))
        self.browser.open(page.html)
        for paper in PAPERS:
            pdf = self.folder / "paper.pdf"
            self.browser.paper(pdf, paper)
            with self.subTest(paper=paper):
                self.assertIn(sheets(pdf), (3, 4))

    def test_the_signature_and_the_fingerprints_are_printed(self):
        for paper in PAPERS:
            self.open("check-complete")
            pdf = self.folder / f"check-complete-{paper}.pdf"
            self.browser.paper(pdf, paper)
            told = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True,
                                  check=True, text=True).stdout
            module = (self.examples / "module-good.ini").read_bytes()
            for words in ("Signature", "2/2", hashlib.sha256(module).hexdigest()):
                self.assertIn(words, told)


class Numbers(Pages):
    def test_a_check_says_what_its_json_says(self):
        for name, page in self.pages.items():
            if page.command != "check":
                continue
            with self.subTest(name):
                self.open(name)
                self.check_compare(page.data)

    def check_compare(self, data):
        verdict = self.browser.script("return document.querySelector('.verdict').textContent")
        self.assertEqual(verdict, data["verdict"].upper())
        boxes = self.browser.script("return document.querySelectorAll('#settle input').length")
        self.assertEqual(boxes, len(data["conditions"]))
        margins = self.table("margin")
        self.assertEqual(len(margins), len(data["points"]))
        for row, point in zip(margins, data["points"]):
            igbt, diode = point["igbt"], point["diode"]
            expected = [point["output_hz"], igbt["tvj_max_c"], igbt["tvj_max_c"] - igbt["tvj_min_c"],
                        diode["tvj_max_c"], diode["tvj_max_c"] - diode["tvj_min_c"],
                        point["margin_k"]]
            for shown, wanted in zip(row, expected):
                self.near(shown, wanted, row)
        losses = {row[0]: row for row in self.table("losses")}
        for i, point in enumerate(data["points"]):
            self.near(losses["IGBT conduction"][1 + 3 * i], point["igbt"]["conduction_w"], "igbt")
            self.near(losses["diode recovery"][1 + 3 * i], point["diode"]["recovery_w"], "diode")
            self.near(losses["all heat"][3 + 3 * i], point["sink_heat_w"], "sink")
        results = [row[1] for row in self.table("fit")]
        self.assertEqual(results, [c["result"] for c in data["checks"]
                                   if c["result"] != "not checked"] if "not checked" not in results
                         else [c["result"] for c in data["checks"]])
        cautions = self.browser.script(dom.ITEMS, "#cautions li")
        self.assertEqual(cautions, data["cautions"])

    def test_fingerprints_are_those_of_the_files(self):
        for name, page in self.pages.items():
            if page.command == "compare":
                continue
            with self.subTest(name):
                self.open(name)
                facts = [text.split("\n") for label, text in self.browser.script(
                    dom.FACTS, "made-from") if label != "program"]
                self.assertEqual(facts, [[f["file"], f["sha256"]]
                                         for f in page.data["inputs_sha256"]])
                for file, sha in facts:
                    self.assertEqual(hashlib.sha256(pathlib.Path(file).read_bytes()).hexdigest(),
                                     sha)

    def test_a_comparison_says_what_its_json_says(self):
        page = self.open("compare")
        rows = self.table("part-1")
        for row, one in zip(rows, page.data["candidates"], strict=True):
            self.assertEqual(row[0], str(one["rank"]))
            self.assertEqual(row[1], one["part"] or one["file"])
            self.assertEqual(row[2], one["verdict"])
            for shown, margin in zip(row[3:5], one["margins"]):
                self.near(shown, margin["margin_k"], row)
            for shown, key in zip(row[6:10], ("losses_w", "price_set", "price_per_k",
                                              "lead_time_d")):
                if one[key] is None:
                    self.assertEqual(shown, "-")
                else:
                    self.near(shown, one[key], key)

    def test_heads_sort_the_table_and_what_is_absent_comes_last(self):
        page = self.open("compare")
        self.browser.screen(1280)
        for title, key in (("losses W", "losses_w"), ("set", "price_set")):
            for way in (1, -1):
                self.browser.script(
                    "[...document.querySelectorAll('th button')]"
                    ".find(b => b.textContent.trim() === arguments[0]).click()", title)
                ranks = [int(row[0]) for row in self.table("part-1")]
                known = sorted((c for c in page.data["candidates"] if c[key] is not None),
                               key=lambda c, k=key, w=way: w * c[k])
                self.assertEqual(ranks[:len(known)], [c["rank"] for c in known], title)
                sort = self.browser.script(
                    "return [...document.querySelectorAll('th[aria-sort]')]"
                    ".map(h => h.getAttribute('aria-sort'))")
                self.assertEqual(sort, ["ascending" if way > 0 else "descending"])

    def test_a_sweep_says_what_its_json_says(self):
        page = self.open("sweep")
        for row, one in zip(self.table("margin"), page.data["rows"], strict=True):
            self.assertEqual(float(row[0]), one["value"])
            self.near(row[1], one["margin_k"], row)
        marks = self.browser.script(dom.ITEMS, "#margin circle.mark title")
        self.assertEqual(len(marks), len(page.data["crossings"]))

    def test_a_joint_says_what_its_json_says(self):
        page = self.open("joint")
        words = self.browser.script("return document.body.innerText")
        thickest = Decimal(repr(page.data["joint"]["max_thickness_um"]))
        digit = Decimal(1).scaleb(thickest.adjusted() - 3)
        # rounded down, with a tenth of the last digit to spare
        self.assertIn(f"{(thickest - digit / 10).quantize(digit, ROUND_FLOOR)} µm", words)
        self.assertIn(f"smallest margin is {page.data['margin_k']:.4g} K", words)

    def test_a_load_run_says_what_its_json_says(self):
        page = self.open("loadrun")
        for i, one in enumerate(page.data["runs"]):
            rows = self.table(f"run-{i + 1}")
            for k, row in enumerate(rows[:len(one["minutes"])]):
                self.near(float(row[0]), one["minutes"][k], "minute")
                self.near(row[1], one["sink_c"][k], "sink")
                self.near(row[4], one["case_igbt_c"][k], "case")
                self.near(row[7], one["tvj_max_c"][k], "junction")
        fields = self.browser.script("return document.querySelectorAll('input.blank').length")
        self.assertGreater(fields, 2 * len(page.data["runs"][0]["minutes"]))


class Hostile(Pages):
    """Text that would be markup, script or a change of direction, in every free-text key."""

    EVIL = "<script>document.title=1</script>%s><img src=x onerror=alert(1)>&lt;`b`7\u05d0 7"
    QUOTES = ("\"", "'")  # a value may hold one kind
    # Marks that turn the writing direction are refused inside a file; the name of one may have them.
    TURNED = "\u202e\u200f\u2066"
    KEYS = {"drive": ["name"], "module": ["part", "maker", "outline", "pinout"]}

    def evil_copy(self, name, section):
        text = (self.examples / name).read_text()
        for key in self.KEYS[section]:
            text = re.sub(rf"(?m)^{key}\s*=.*$\n?", "", text)
        lines = "".join(f"{key} = {self.EVIL % self.QUOTES[i % 2]} {key}\n"
                        for i, key in enumerate(self.KEYS[section]))
        text = text.replace(f"[{section}]\n", f"[{section}]\n{lines}", 1)
        path = self.folder / f"<b onclick=x>'{section}&amp;{self.TURNED}.ini"
        path.write_text(text)
        return path

    def setUp(self):
        self.drive = self.evil_copy("drive.ini", "drive")
        self.module = self.evil_copy("module-good.ini", "module")

    def test_it_comes_out_as_text(self):
        for command, more in (("check", ["--original", self.module]), ("compare", []),
                              ("joint", []), ("loadrun", []),
                              ("sweep", ["--over", "load", "--from", "50 %", "--to", "90 %",
                                         "--steps", "3"])):
            with self.subTest(command):
                page = page_make(self.program, self.folder, f"hostile-{command}",
                                 [command, self.drive, self.module, *more])
                self.browser.requests()
                self.browser.open(page.html)
                self.assertEqual(self.browser.requests(), [page.html.resolve().as_uri()])
                text = self.browser.script("return document.body.textContent")
                self.assertIn("<script>document.title=1</script>\"><img src=x onerror=", text)
                self.assertNotRegex(text, "[\u202a-\u202e\u200e\u200f\u2066\u2067]")
                self.assertEqual(self.browser.script(
                    "return document.querySelectorAll('img, b, [onclick], [onerror]').length"), 0)
                self.assertNotEqual(self.browser.script("return document.title"), "1")
                scripts = self.browser.script("return document.scripts.length")
                self.assertEqual(scripts, 1 if command == "compare" else 0)
                tidy = subprocess.run(["tidy", "-e", "-q", page.html], capture_output=True,
                                      check=False, text=True)
                self.assertEqual((tidy.returncode, tidy.stderr), (0, ""))


class Extremes(Pages):
    """Drives that make a page long or leave it without numbers."""

    MANY = "0.5 1 2 3 5 8 10 15 20 25 30 35 40 45 50 60 Hz"
    MOST_COLUMNS = 17  # of a table that may be cut into parts

    def variant(self, name, edits):
        text = (self.examples / "drive.ini").read_text()
        for pattern, new in edits:
            text, changed = re.subn(pattern, new, text)
            self.assertGreater(changed, 0, pattern)
        path = self.folder / f"{name}.ini"
        path.write_text(text)
        return path

    def pages_of(self, drive):
        module = self.examples / "module-marginal.ini"
        original = self.examples / "module-original.ini"
        sweep = ["--over", "load", "--from", "5 %", "--to", "100 %", "--steps", "5"]
        for command, more in (("check", ["--original", original]), ("compare", [original]),
                              ("joint", []), ("loadrun", []), ("sweep", sweep)):
            yield page_make(self.program, self.folder, f"{drive.stem}-{command}",
                            [command, drive, module, *more])

    def sound(self, page):
        tidy = subprocess.run(["tidy", "-e", "-q", page.html], capture_output=True, check=False,
                              text=True)
        self.assertEqual((tidy.returncode, tidy.stderr), (0, ""))
        self.browser.open(page.html)
        self.browser.screen(375)
        self.assertEqual(self.browser.script(dom.OVERFLOW), 0)
        self.assertEqual(self.browser.script(dom.MARKUP), [])
        self.assertNotRegex(self.browser.script("return document.body.textContent"), r"\bnan\b")
        columns = self.browser.script("return [...document.querySelectorAll('tbody tr')]"
                                      ".map(row => row.cells.length)")
        self.assertLessEqual(max(columns), self.MOST_COLUMNS)

    def test_sixteen_frequencies_are_cut_into_tables_that_fit(self):
        drive = self.variant("many", [(r"(?m)^frequencies\s*=.*$", f"frequencies = {self.MANY}")])
        for page in self.pages_of(drive):
            with self.subTest(page.command):
                self.sound(page)

    def test_without_equilibrium_words_stand_for_numbers(self):
        drive = self.variant("hot", [(r"(?m)^rth_sa\s*=.*$", "rth_sa = 2 K/W")])
        for page in self.pages_of(drive):
            with self.subTest(page.command):
                self.sound(page)
                words = self.browser.script("return document.body.textContent.toLowerCase()")
                self.assertRegex(words, "runaway|no equilibrium|short")
                if page.command == "check":
                    self.assertEqual(self.browser.script(
                        "return document.querySelectorAll('#margin svg').length"), 0)
                    pdf = self.folder / "hot.pdf"
                    for paper in PAPERS:
                        self.browser.paper(pdf, paper)
                        self.assertEqual(sheets(pdf), 2)


if __name__ == "__main__":
    Pages.program, Pages.examples, Pages.folder = map(pathlib.Path, sys.argv[1:4])
    del sys.argv[1:4]
    unittest.main()

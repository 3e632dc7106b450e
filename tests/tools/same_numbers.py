# SPDX-License-Identifier: GPL-3.0-or-later
"""Two folders of outputs of one program, built so that the last bits of its numbers differ.

    same_numbers.py FOLDER FOLDER

Texts for people are the same to the byte: they show few digits.  Documents for programs are the
same to eight digits.
"""

import os
import re
import sys

NUMBER = r"-?\d+\.?\d*(?:e[-+]?\d+)?"
# A number alone; in a drawing also one of a path.
IN_TEXT, IN_PATH = re.compile(rf"(?<![\w.]){NUMBER}(?!\w)"), re.compile(NUMBER)

# relative, absolute
DOCUMENT = (1e-8, 1e-8)  # ten digits are written; searches and small differences end before them
EXPLAINED = (1e-6, 1e-6)  # names places on flat tops, known to a millionth; no result hangs on them
DRAWN = (0.0, 0.011)  # coordinates of a drawing, two decimals


def pieces(text, number):
    """What stands between the numbers, and the numbers."""
    return number.split(text), [float(found) for found in number.findall(text)]


def near(a, b, tolerance, number=IN_TEXT):
    (words_a, numbers_a), (words_b, numbers_b) = pieces(a, number), pieces(b, number)
    if words_a != words_b:
        return False
    relative, absolute = tolerance
    return all(abs(x - y) <= absolute + relative * max(abs(x), abs(y))
               for x, y in zip(numbers_a, numbers_b))


def same(name, a, b):
    if a == b:
        return True
    if name.startswith("explain"):
        blanks = re.compile(" +")  # a number may be a digit shorter, and a column with it
        return near(blanks.sub(" ", a), blanks.sub(" ", b), EXPLAINED)
    if name.endswith((".json", ".jsonl", ".csv")):
        return near(a, b, DOCUMENT)
    if name.endswith(".html"):
        tag = re.compile(r"<[^>]*>")
        return tag.split(a) == tag.split(b) and near("".join(tag.findall(a)),
                                                     "".join(tag.findall(b)), DRAWN, IN_PATH)
    return False


def main(first, second):
    names = sorted(os.listdir(first))
    bad = [] if names and names == sorted(os.listdir(second)) else ["the files are not the same ones"]
    differing = 0
    for name in names if not bad else []:
        texts = []
        for folder in (first, second):
            with open(os.path.join(folder, name), encoding="utf-8") as file:
                texts.append(file.read())
        differing += texts[0] != texts[1]
        if not same(name, *texts):
            bad.append(name)
    print("\n".join(bad), end="\n" if bad else "")
    print(f"{len(names)} outputs, {differing} with another last digit", file=sys.stderr)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))

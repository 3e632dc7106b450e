# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes module files of invented parts, many and all different, for tests and benchmarks of scale.

    make_modules.py FOLDER COUNT [SEED]

Each part is one of the example modules with its currents, voltages, energies, thermal resistances,
price and lead time scaled by factors drawn from a seeded generator: the same seed gives the same files.
A hundred files go into each sub-folder.
"""
import os
import random
import re
import sys

EXAMPLES = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "examples")
PATTERNS = ("module-good.ini", "module-marginal.ini", "module-low-frequency.ini")
# what is scaled, by a factor from and to; all of one kind in a file by the same
SCALED = (
    (re.compile(r"^(vce_sat|vf) @"), "v", 0.85, 1.2),
    (re.compile(r"^(e_on|e_off|e_rr)\b"), "e", 0.6, 1.6),
    (re.compile(r"^(rth_jc|foster_r)\b"), "r", 0.7, 1.5),
    (re.compile(r"^rth_cs\b"), "j", 0.8, 1.4),
    (re.compile(r"^price\b"), "p", 0.5, 3.0),
    (re.compile(r"^lead_time\b"), "l", 0.2, 6.0),
)
NUMBER = re.compile(r"\d+(\.\d+)?([eE][-+]?\d+)?")


def scaled(line, factor):
    """The numbers of a value, up to its unit, times the factor."""
    key, _, value = line.partition("=")
    value, _, comment = value.partition(";")
    unit = re.search(r"[A-Za-z%].*$", value)
    cut = unit.start() if unit else len(value)
    numbers = NUMBER.sub(lambda m: "%.6g" % (float(m.group()) * factor), value[:cut])
    return key + "=" + numbers + value[cut:].rstrip() + "\n"


def part_text(lines, number, rng):
    factors = {kind: rng.uniform(low, high) for _, kind, low, high in SCALED}
    out = []
    for line in lines:
        for pattern, kind, _, _ in SCALED:
            if pattern.match(line):
                line = scaled(line, factors[kind])
                break
        if line.startswith("part"):
            line = "part = MX %05d\n" % number
        out.append(line)
    return "".join(out)


def main():
    folder, count = sys.argv[1], int(sys.argv[2])
    rng = random.Random(int(sys.argv[3]) if len(sys.argv) > 3 else 1)
    patterns = []
    for name in PATTERNS:
        with open(os.path.join(EXAMPLES, name), encoding="utf-8") as file:
            patterns.append(file.readlines())
    for number in range(count):
        place = os.path.join(folder, "%03d" % (number // 100))
        os.makedirs(place, exist_ok=True)
        with open(os.path.join(place, "module-%05d.ini" % number), "w", encoding="utf-8") as file:
            file.write(part_text(patterns[number % len(patterns)], number, rng))


main()

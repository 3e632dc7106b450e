# SPDX-License-Identifier: GPL-3.0-or-later
"""Keeps the tables of docs/validation.md and docs/worked-example.md true.

    document.py write --program PROGRAM --rows TOOL FILE...
    document.py check --program PROGRAM --block NAME... FILE

A table stands between `<!-- block NAME -->` and `<!-- end -->`.  `write` makes all anew; `check` makes the
named ones and compares: words must agree, numbers to one and a half units of their last printed place, a
bound (`< x`) must still hold.  Both run the calculations behind the tables and fail when one misses its own
tolerance, so a check is also the test of that calculation.  TOOL prints the rows of tests/published/.
"""
import argparse
import math
import os
import re
import subprocess
import sys

import closed_forms
import compare
import ngspice_run
import program
import pulse_resolved
import reference
import sensitivity
import whole_network
import worked_example

HERE = os.path.dirname(os.path.abspath(__file__))
CASES = os.path.join(HERE, "cases")
# Those that show something of their own: times, no equilibrium, fan load, another joint, the hold's limits.
EXTRAS_CASES = ("overload-lasts", "runaway", "fan-torque", "joint-file", "slow-output")
# Singles with a capacity of their own base; a six-pack without.
NETWORK_CASES = ("both-joints-single", "overload-lasts")
BLOCK = re.compile(r"(<!-- block (\S+) -->\n)(.*?)(<!-- end -->)", re.S)
NUMBER = re.compile(r"(< )?([+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?)")
SLACK = 1.5            # 1  a bound is written this much above what was found, so that rounding cannot break it
UNITS = 1.5            # of the last printed place


class Miss(Exception):
    """A calculation is outside its own tolerance."""


class Run:
    """What the blocks need."""

    def __init__(self, path, tool, slack):
        self.program, self.tool, self.slack = path, tool, slack

    def below(self, x, least=1e-4):
        """'< b', b the next of 1, 2, 5 times a power of ten, at least `least`."""
        x = max(x * self.slack, least)
        decade = 10.0 ** math.floor(math.log10(x))
        for step in (1, 2, 5, 10):
            if x <= step * decade * (1 + 1e-9):
                return "< %.10g" % (step * decade)
        raise AssertionError


def table(heads, rows):
    lines = ["| " + " | ".join(heads) + " |", "|" + "---|" * len(heads)]
    return "\n".join(lines + ["| " + " | ".join(row) + " |" for row in rows]) + "\n"


def signed(x, digits):
    """With its sign; what rounds to nothing has none."""
    text = "%+.*f" % (digits, x)
    return text if float(text) else text[1:]


def files_of(name):
    joint = os.path.join(CASES, name + "-joint.ini")
    return (os.path.join(CASES, name + "-drive.ini"), os.path.join(CASES, name + "-module.ini"),
            joint if os.path.exists(joint) else None)


# ------------------------------------------------------------------------------------------ blocks

def published(group):
    def block(run):
        return subprocess.run([run.tool, group], capture_output=True, text=True, check=True).stdout
    return block


def closed(run):
    rows = list(closed_forms.rows())
    worst = max(abs(got - want) / abs(want) for _, got, want in rows)
    if any(closed_forms.missed(got, want) for _, got, want in rows):
        raise Miss("closed forms: %.2g" % worst)
    return "%d numbers, largest difference %s of the value.\n" % (len(rows), run.below(worst, 1e-9))


def frequency_domain(run):
    rows = []
    for name in compare.names(CASES):
        worst, misses = compare.compare_pair(run.program, name, CASES, False)
        if misses:
            raise Miss("%s: %s" % (name, misses[0]))
        with open(files_of(name)[0], encoding="utf-8") as file:
            shows = file.readline().lstrip("; ").strip()
        rows.append([name, shows] + [run.below(worst[g][0], 1e-3) if g in worst else "-" for g in ("watts", "kelvins")])
    return table(["case", "what it exercises", "W", "K"], rows)


def in_time(run):
    rows = []
    for name in EXTRAS_CASES:
        worst, misses = compare.compare_pair(run.program, name, CASES, True)
        if misses:
            raise Miss("%s: %s" % (name, misses[0]))
        percent = {g: 100.0 if g == "limits" else 1.0 for g in worst}
        rows.append([name] + [run.below(percent[g] * worst[g][0], least) if g in worst else "-"
                              for g, least in (("overload", 1e-3), ("seconds", 1e-3), ("limits", 1e-4), ("runs", 1e-3))])
    return table(["case", "overload, K", "how long, s", "limits, %", "load run, K"], rows)


def spice(name):
    def block(run):
        files, rows = files_of(name), []
        case = reference.load_case(*files)
        for f in case.drive.frequencies:
            c, point = ngspice_run.march(case, f, ngspice_run.STEPS), program.point(run.program, files, f)
            numbers = list(ngspice_run.rows(c, point))
            for what, got, want, watts in numbers:
                if ngspice_run.missed(case, got, want, watts):
                    raise Miss("%s at %g Hz, %s: ngspice %.5f, program %.5f" % (name, f, what, got, want))
            cells = ["%g" % f]
            for what, got, want in (("IGBT", sum(c.watts[m] for m in ngspice_run.MECHANISMS[:3]), point["igbt"]["total_w"]),
                                    ("diode", sum(c.watts[m] for m in ngspice_run.MECHANISMS[3:]), point["diode"]["total_w"])):
                cells.append("%.2f / %.2f" % (got, want))
            for what in ("igbt tvj max", "diode tvj max"):
                got, want = next(n[1:3] for n in numbers if n[0] == what)
                cells.append("%.2f / %.2f" % (got, want))
            for kind in (True, False):
                cells.append(run.below(max(abs(n[1] - n[2]) for n in numbers if n[3] == kind), 1e-3))
            rows.append(cells)
        return table(["Hz", "IGBT, W", "diode, W", "highest IGBT junction, degC", "highest diode junction, degC",
                      "any watt", "any kelvin"], rows)
    return block


def pulses(run):
    name, f = "space-vector-six-pack", 30.0
    files = files_of(name)
    case = reference.load_case(*files)
    here = pulse_resolved.moved_carrier(case, f)
    pulsed = pulse_resolved.pulse_solve(here, reference.Point(case.drive, f))
    rows = []
    for what, got, want, watts in pulse_resolved.rows(pulsed, program.point(run.program, files, f, here.drive.f_sw)):
        if pulse_resolved.missed(got, want, watts, pulsed["carriers"]):
            raise Miss("each pulse, %s: %.4f, program %.4f" % (what, got, want))
        rows.append([what, "W" if watts else "degC", "%.2f" % got, "%.2f" % want, signed(want - got, 2)])
    return table(["", "unit", "every pulse", "program", "difference"], rows)


def network(run):
    example = [os.path.join(sensitivity.EXAMPLES, n) for n in ("drive.ini", "module-good.ini")] + [None]
    rows = []
    for name, files in [("the example", example)] + [(n, files_of(n)) for n in NETWORK_CASES]:
        cells = [name]
        for what, found, _ in whole_network.rows(run.program, files):
            if max(found.values()) > whole_network.TOLERANCE:
                raise Miss("%s, %s: %s" % (name, what, found))
            cells += [run.below(k, 1e-3) for k in found.values()]
        rows.append(cells)
    return table(["case", "sink", "case", "junction"] + ["%d Hz, %s" % (f, w) for f in (1, 2, 5)
                                                         for w in ("junction", "case ripple")], rows)


def costs(run):
    case = sensitivity.example()
    frequencies = case.drive.frequencies
    heads = ["%s, %g Hz" % (chip, f) for f in frequencies for chip in sensitivity.COLUMNS]
    return table(["what", "instead"] + heads, [[what, assumed] + [signed(k, 2) for k in kelvins]
                                               for what, assumed, kelvins in sensitivity.rows(case, frequencies)])


def paper(run):
    case = sensitivity.example()
    papers = [worked_example.Paper(case, f) for f in case.drive.frequencies]
    rows = [[what, "`%s`" % how] + ["%.*f" % (decimals, v) for v in values] + [unit]
            for what, how, values, unit, decimals in worked_example.paper_rows(papers)]
    return table(["quantity", "how"] + ["%g Hz" % f for f in case.drive.frequencies] + ["unit"], rows)


def way(f):
    def block(run):
        case = sensitivity.example()
        files = [os.path.join(sensitivity.EXAMPLES, n) for n in ("drive.ini", "module-good.ini")] + [None]
        p = program.point(run.program, files, f)
        steps = list(worked_example.ladder(case, f))
        steps.append(("**the program**", [p["igbt"]["total_w"], p["diode"]["total_w"], p["sink_c"], p["case_igbt_c"],
                                          p["igbt"]["tvj_max_c"], p["diode"]["tvj_max_c"]]))
        far = max(abs(a - b) for a, b in zip(steps[-1][1], steps[-2][1]))
        if far > 0.05:
            raise Miss("worked example at %g Hz: the last step is %.3f from the program" % (f, far))
        rows, before = [], None
        for what, values in steps:
            changes = ["", ""] if before is None else [signed(a - b, 2) for a, b in zip(values[4:], before[4:])]
            rows.append([what] + ["%.2f" % v for v in values] + changes)
            before = values
        return table(["step", "IGBT, W", "diode, W", "sink", "case", "IGBT junction", "diode junction", "IGBT by, K",
                      "diode by, K"], rows)
    return block


BLOCKS = {
    "published-chain": published("chain"), "published-losses": published("losses"),
    "published-heat": published("heat"), "published-drive": published("drive"),
    "closed-forms": closed, "frequency-domain": frequency_domain, "overload-and-limits": in_time,
    "ngspice-smooth": spice("space-vector-six-pack"), "ngspice-clamped": spice("clamped-regenerating"),
    "whole-network": network, "pulses": pulses, "sensitivity": costs, "paper": paper, "ladder-30": way(30.0), "ladder-60": way(60.0),
}


# ----------------------------------------------------------------------------------------- compare

def place(number):
    """The value of one unit in a printed number's last place."""
    mantissa, _, exponent = number.partition("e")
    return 10.0 ** (int(exponent or 0) - len(mantissa.partition(".")[2]))


def differences(kept, fresh):
    """Lines in which a kept table says something else than a fresh one."""
    old, new = kept.splitlines(), fresh.splitlines()
    if len(old) != len(new):
        yield "%d lines instead of %d" % (len(old), len(new))
        return
    for a, b in zip(old, new):
        numbers = list(zip(NUMBER.findall(a), NUMBER.findall(b)))
        same = NUMBER.sub("#", a) == NUMBER.sub("#", b) and all(agree(*pair) for pair in numbers)
        if not same:
            yield "%s\n  now %s" % (a, b)


def agree(kept, fresh):
    a, b = float(kept[1]), float(fresh[1])
    if kept[0]:
        return b <= a
    return abs(a - b) <= UNITS * place(kept[1])


def check(run, path, names):
    with open(path, encoding="utf-8") as file:
        kept = {m.group(2): m.group(3) for m in BLOCK.finditer(file.read())}
    bad = 0
    for name in names:
        for line in differences(kept.get(name, "no such table\n"), BLOCKS[name](run)):
            print("%s, %s: %s" % (os.path.basename(path), name, line))
            bad = 1
    return bad


def write(run, path):
    with open(path, encoding="utf-8") as file:
        text = file.read()
    text = BLOCK.sub(lambda m: m.group(1) + BLOCKS[m.group(2)](run) + m.group(4), text)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("action", choices=("check", "write"))
    parser.add_argument("--program", required=True)
    parser.add_argument("--rows", help="prints the rows of one group of tests/published/")
    parser.add_argument("--block", action="append", choices=sorted(BLOCKS))
    parser.add_argument("files", nargs="+")
    args = parser.parse_args()
    run = Run(args.program, args.rows, SLACK if args.action == "write" else 1.0)
    try:
        if args.action == "check":
            sys.exit(max(check(run, path, args.block) for path in args.files))
        for path in args.files:
            write(run, path)
    except Miss as miss:
        sys.exit("outside its tolerance: %s" % miss)


if __name__ == "__main__":
    main()

# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs a program on every pair of cases/ and compares it with the reference.

    compare.py PROGRAM [--cases DIR] [--only NAME] [--extras]

Each pair NAME-drive.ini, NAME-module.ini (with --joint NAME-joint.ini where that file stands).
Tolerances: watts 0.05 % (never tighter than 0.5 mW), temperatures 0.05 K, pure numbers and amperes
1e-6 of their value: ten times the grid's own error, a hundredth of what a data sheet's curve is worth.
Prints the largest differences of each pair; exit status 1 on any miss.
"""
import argparse
import glob
import os
import subprocess
import sys

import reference
from program import check

WATTS = (5e-4, 5e-4)        # relative, W
KELVINS = (0.0, 0.05)       # relative, K
NUMBERS = (1e-6, 1e-9)      # relative, absolute
LIMITS = (1e-3, 1e-6)       # relative: a root divides the temperatures' 0.05 K by the slope there
SECONDS = (1e-3, 0.05)      # relative, s: the same
HERE = os.path.dirname(os.path.abspath(__file__))


def tolerance(path):
    """(group, relative, absolute) of a key by its name's ending."""
    key = path[-1]
    name = path[-2] if isinstance(key, int) and len(path) > 1 else key   # of a list of plain numbers
    if "limits" in path or key == "allowed_current_a":
        return ("limits",) + LIMITS
    key = name
    if key == "allowed_s":
        return ("seconds",) + SECONDS
    if path[0] == "runs" and name.endswith("_c"):
        return ("runs",) + KELVINS
    if "overload" in path and key.endswith(("_c", "margin_k")):
        return ("overload",) + KELVINS
    if key.endswith("_w"):
        return ("watts",) + WATTS
    if key.endswith(("_c", "margin_k")) or "drop_k" in path:
        return ("kelvins",) + KELVINS
    return ("numbers",) + NUMBERS


def walk(want, got, path=()):
    """Yields (path, wanted, found) of every leaf of the reference."""
    if isinstance(want, dict):
        for key, value in want.items():
            there = isinstance(got, dict) and key in got
            yield from walk(value, got[key] if there else "absent", path + (key,))
    elif isinstance(want, list):
        same = isinstance(got, list) and len(got) == len(want)
        for n, value in enumerate(want):
            yield from walk(value, got[n] if same else "absent", path + (n,))
    else:
        yield path, want, got


def differ(path, want, got):
    """-> (group, difference, difference over tolerance); a limit's difference is relative"""
    number = (int, float)
    if isinstance(want, bool) or not isinstance(want, number) or isinstance(got, bool) or not isinstance(got, number):
        return "words", None, 0.0 if want == got else float("inf")
    group, relative, absolute = tolerance(path)
    d = abs(got - want)
    over = d / max(relative * abs(want), absolute)
    return group, d / abs(want) if group == "limits" else d, over


def compare_pair(program, name, cases, with_extras):
    files = [os.path.join(cases, name + end) for end in ("-drive.ini", "-module.ini")]
    joint = os.path.join(cases, name + "-joint.ini")
    joint = joint if os.path.exists(joint) else None
    case = reference.load_case(*files, joint)
    want = reference.check(case)
    if with_extras:
        import extras
        want["overload"] = extras.overload(case)
        want["limits"] = extras.limits(case)
        want["hold"]["allowed_current_a"] = extras.hold_current(case)
    got = check(program, *files, joint)
    if with_extras:
        want["runs"] = extras.runs(case)
        got["runs"] = check(program, *files, joint, command="loadrun")["runs"]
    worst, misses = {}, []
    for path, w, g in walk(want, got):
        group, d, over = differ(path, w, g)
        if d is not None and d >= worst.get(group, (-1,))[0]:
            worst[group] = (d, path)
        if over > 1:
            misses.append((path, w, g))
    return worst, misses


def names(cases):
    """Of all pairs in a folder."""
    return sorted(os.path.basename(f)[:-len("-drive.ini")] for f in glob.glob(os.path.join(cases, "*-drive.ini")))


def dotted(path):
    return ".".join(str(p) for p in path)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("program")
    parser.add_argument("--cases", default=os.path.join(HERE, "cases"))
    parser.add_argument("--only")
    parser.add_argument("--extras", action="store_true", help="also overload, limits and load run")
    args = parser.parse_args()
    failed, pairs = 0, names(args.cases)
    groups = ["watts", "kelvins", "numbers"] + (["overload", "seconds", "limits", "runs"] if args.extras else [])
    print("%-34s" % "case", *["%10s" % g for g in groups], " misses")
    for name in pairs:
        if args.only and args.only != name:
            continue
        try:
            worst, misses = compare_pair(args.program, name, args.cases, args.extras)
        except (RuntimeError, ValueError, OSError, subprocess.TimeoutExpired) as error:
            failed += 1
            print("%-34s %s" % (name, error))
            continue
        cells = ["%10.2g" % worst[g][0] if g in worst else "%10s" % "-" for g in groups]
        print("%-34s" % name, *cells, " %d" % len(misses))
        for path, want, got in misses[:12]:
            print("    %s: reference %s, program %s" % (dotted(path), want, got))
        if len(misses) > 12:
            print("    and %d more" % (len(misses) - 12))
        failed += bool(misses)
    print("%d of %d cases miss" % (failed, len(pairs)) if failed else "all within tolerance")
    sys.exit(1 if failed or not pairs else 0)


if __name__ == "__main__":
    main()

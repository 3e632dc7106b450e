# SPDX-License-Identifier: GPL-3.0-or-later
"""Third calculation of the same case: a time march in ngspice.

    ngspice_run.py DRIVE MODULE [--joint FILE] [--program PROGRAM] [--hz F ...] [--steps N] [--netlist FILE]

The leg's three fundamentals, duty, phase current and losses are behavioural sources of time and of the
junction's own voltage; each chip's Foster network is R and C side by side, in series up to the case; 1 V
is 1 degC and 1 A is 1 W.  Losses are the mean over the last cycle of a run.  Case and sink carry the
cycle mean: after each run they are set from its mean losses and the next run starts from the capacitors
as they were left, until nothing moves.  Prints spice against PROGRAM (else against reference.py) and exits
1 when watts differ by more than 0.05 % or temperatures by more than 0.05 K (0.1 K for the clamped scheme
with its jumps).
"""
import argparse
import math
import os
import subprocess
import sys
import tempfile

import numpy as np

import program
from reference import Point, cycle_result, load_case, solve

STEPS = 720            # time steps a cycle, at most
EDGE = 1e-5            # of a cycle; half the width that a jump of the clamped scheme is given
SETTLED = 2e-4         # K  change of any case or junction value between two runs that ends the march
MAX_RUNS = 40
SETTLE_TAUS = 1.5      # length of one run in the longest time constant
WATT_TOLERANCE = 5e-4  # 1
FLOOR = 2e-3           # W    below this watts are not told apart
MECHANISMS = ("igbt.conduction", "igbt.e_on", "igbt.e_off", "diode.conduction", "diode.e_rr")


# -------------------------------------------------------------------------------- expressions

def number(x):
    return "(%.15g)" % x


def cubic_chain(curve, x):
    """One Steffen curve as nested conditions of node expression x, each piece a cubic in Horner form."""
    pieces = []
    for k, h in enumerate(curve.h):
        s, a, b = curve.s[k], curve.slope[k], curve.slope[k + 1]
        u = "(%s-%s)" % (x, number(curve.x[k]))
        c2, c3 = (3 * s - 2 * a - b) / h, (a + b - 2 * s) / (h * h)
        pieces.append("(%s+%s*(%s+%s*(%s+%s*%s)))" % (number(curve.y[k]), u, number(a), u, number(c2), u, number(c3)))
    below = "(%s+%s*(%s-%s))" % (number(curve.y[0]), number(curve.s[0]), x, number(curve.x[0]))
    beyond = "(%s+%s*(%s-%s))" % (number(curve.y[-1]), number(curve.s[-1]), x, number(curve.x[-1]))
    text = beyond
    for k in range(len(pieces) - 1, -1, -1):
        text = "(%s < %s ? %s : %s)" % (x, number(curve.x[k + 1]), pieces[k], text)
    return "(%s < %s ? %s : %s)" % (x, number(curve.x[0]), below, text)


def over_temperature(t_table, nodes, t, coefficient):
    """Linear between the nearest tables, whose values stand on nodes."""
    if len(t_table) == 1:
        if coefficient is None:
            return "V(%s)" % nodes[0]
        return "(V(%s)*(1+%s*(%s-%s)))" % (nodes[0], number(coefficient), t, number(t_table[0]))
    text = ""
    for k in range(len(t_table) - 2, -1, -1):
        part = "(V(%s)+(V(%s)-V(%s))*(%s-%s)/%s)" % (nodes[k], nodes[k + 1], nodes[k], t, number(t_table[k]),
                                                   number(t_table[k + 1] - t_table[k]))
        text = part if not text else "(%s < %s ? %s : %s)" % (t, number(t_table[k + 1]), part, text)
    return text


def modulation(scheme, m, period):
    """Lines that put the reference of leg 0 on node M and its switching on node S."""
    lines = ["Bu%d u%d 0 V = %s*cos(V(theta)-%s)" % (k, k, number(m), number(2 * math.pi * k / 3)) for k in range(3)]
    if scheme == "sine":
        return lines + ["BM M 0 V = V(u0)", "BS S 0 V = 1"]
    if scheme == "third-harmonic":
        return lines + ["BM M 0 V = V(u0)-%s*cos(3*V(theta))" % number(m / 6), "BS S 0 V = 1"]
    if scheme == "space-vector":
        return lines + ["BM M 0 V = V(u0)-0.5*(max(V(u0),max(V(u1),V(u2)))+min(V(u0),min(V(u1),V(u2))))",
                        "BS S 0 V = 1"]
    # Phase k is held in two spans of T/6, half a cycle apart: weights that are 1 there, with ramps so
    # short that they count for nothing and so placed that the solver steps onto them.
    ramp = 2 * EDGE * period
    for k, (first, then, edge, width) in enumerate(((1, 0, 1, 4), (0, 1, 3, 2), (0, 1, 1, 2))):
        lines.append("Vw%d w%d 0 PULSE(%d %d %.15g %.15g %.15g %.15g %.15g)" % (
            k, k, first, then, edge * period / 12 - ramp / 2, ramp, ramp, width * period / 12 - ramp, period / 2))
    lines.append("BM M 0 V = V(u0)+" + "+".join("V(w%d)*((V(u%d) > 0 ? 1 : -1)-V(u%d))" % (k, k, k) for k in range(3)))
    return lines + ["BS S 0 V = 1-V(w0)"]


def energy_table(energy, k, x):
    if energy.single:
        return "(%s*pow((%s+1e-12)/%s,%s))" % (number(energy.rows[k][0]), x, number(energy.current[0]), number(energy.exponent))
    return cubic_chain(energy.curves[k], x)


def chip_lines(name, chip, sign, f_sw, t_case, charge):
    """Sources, Foster network and integrators of one chip.  charge: start values of its capacitors."""
    x, t = "V(i_%s)" % name, "V(j_%s)" % name
    on = "(%sV(cur) > 0 ? 1 : 0)" % sign
    duty = "(0.5*(1+V(M)))"
    lines = ["Bi_%s i_%s 0 V = max(%sV(cur),0)" % (name, name, sign)]
    nodes = []
    for k, curve in enumerate(chip.voltage.curves):
        nodes.append("v%d_%s" % (k, name))
        lines.append("B%s %s 0 V = max(%s,0)" % (nodes[-1], nodes[-1], cubic_chain(curve, x)))
    terms = {"conduction": "%s*%s*%s" % (duty, x, over_temperature(chip.voltage.t, nodes, t, None))}
    for label, (energy, factor) in chip.energies.items():
        nodes = []
        for k in range(len(energy.rows)):
            nodes.append("%s%d_%s" % (label, k, name))
            lines.append("B%s %s 0 V = %s" % (nodes[-1], nodes[-1], energy_table(energy, k, x)))
        terms[label] = "%s*V(S)*%s*%s" % (on, number(factor * f_sw),
                                          over_temperature(energy.t, nodes, t, energy.coefficient))
    for label, text in terms.items():
        node = "p_%s_%s" % (label, name)
        lines.append("B%s %s 0 V = %s" % (node, node, text))
    lines.append("Br_%s p_rms_%s 0 V = %s*%s*%s" % (name, name, duty, x, x))
    lines.append("Bheat_%s 0 j_%s I = %s" % (name, name, "+".join("V(p_%s_%s)" % (w, name) for w in terms)))
    chain = ["j_" + name] + ["f%d_%s" % (k, name) for k in range(1, len(chip.r))] + ["case_" + name]
    for k, (r, tau) in enumerate(zip(chip.r, chip.tau)):
        lines += ["R%d_%s %s %s %.15g" % (k, name, chain[k], chain[k + 1], r),
                  "C%d_%s %s %s %.15g IC=%.15g" % (k, name, chain[k], chain[k + 1], tau / r, charge[k])]
    return lines + ["Vcase_%s case_%s 0 %.15g" % (name, name, t_case)], chain


def netlist(case, point, t_case, charge, cycles, steps, data):
    omega, period = 2 * math.pi * point.f, 1 / point.f
    lines = ["* one leg's upper IGBT and diode at %.15g Hz" % point.f,
             "Btheta theta 0 V = %s*time" % number(omega),
             "Bcur cur 0 V = %s*cos(V(theta)-%s)" % (number(math.sqrt(2) * point.current), number(point.phi))]
    lines += modulation(point.scheme, point.m, period)
    saved = []
    for k, (name, chip, sign) in enumerate((("igbt", case.module.igbt, ""), ("diode", case.module.diode, "-"))):
        more, chain = chip_lines(name, chip, sign, case.drive.f_sw, t_case[k], charge[k])
        lines += more
        saved += chain[:-1] + ["p_%s_%s" % (w, name) for w in ("conduction", *chip.energies, "rms")]
    vectors = " ".join("v(%s)" % node for node in saved)
    step = period / steps
    lines += [".options method=trap reltol=1e-5 vntol=1e-5 abstol=1e-5 trtol=1 itl4=100",
              ".save " + vectors,
              ".tran %.15g %.15g %.15g %.15g uic" % (step, cycles * period, (cycles - 1.1) * period, step),
              ".control", "set wr_singlescale", "set wr_vecnames", "set numdgt=12", "run",
              "wrdata %s %s" % (data, vectors), "quit", ".endc", ".end"]
    return "\n".join(lines) + "\n", saved


# -------------------------------------------------------------------------------------- march

def run_spice(text, data, folder):
    path = os.path.join(folder, "case.cir")
    with open(path, "w", encoding="ascii") as f:
        f.write(text)
    done = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, timeout=300, cwd=folder)
    if not os.path.exists(data):
        raise RuntimeError(done.stdout[-2000:] + done.stderr[-2000:])
    table = np.loadtxt(data, skiprows=1)
    os.remove(data)
    return table


class Cycle:
    """What one run's last cycle tells."""

    def __init__(self, table, saved, case, f):
        end = table[-1, 0]
        begin = end - 1 / f
        first = [np.interp(begin, table[:, 0], y) for y in table.T[1:]]
        table = np.vstack([[begin, *first], table[table[:, 0] > begin]])
        t, column = table[:, 0], {name: table[:, n + 1] for n, name in enumerate(saved)}

        def mean(y):
            return float(np.sum(0.5 * (y[1:] + y[:-1]) * np.diff(t))) * f

        self.watts = {m: mean(column["p_%s_%s" % tuple(reversed(m.split(".")))]) for m in MECHANISMS}
        self.total = [sum(w for m, w in self.watts.items() if m.startswith(k)) for k in ("igbt.", "diode.")]
        self.rms2 = mean(column["p_rms_igbt"]) + mean(column["p_rms_diode"])
        self.tvj = [column["j_igbt"], column["j_diode"]]
        self.mean = [mean(y) for y in self.tvj]
        self.rises = [[column[node][-1] for node in saved if node == "j_" + name or node.endswith("_" + name)
                       and node.startswith("f")] for name in ("igbt", "diode")]


def march(case, f, steps, netlist_file=None):
    d, point = case.drive, Point(case.drive, f)
    taus = max(np.max(case.module.igbt.tau), np.max(case.module.diode.tau))
    cycles = max(3, math.ceil(SETTLE_TAUS * taus * f))
    t_case, before = [d.ambient, d.ambient], None
    charge = [np.zeros(len(c.r)) for c in (case.module.igbt, case.module.diode)]
    with tempfile.TemporaryDirectory() as folder:
        data = os.path.join(folder, "out.txt")
        for _ in range(MAX_RUNS):
            text, saved = netlist(case, point, t_case, charge, cycles, steps, data)
            c = Cycle(run_spice(text, data, folder), saved, case, f)
            if netlist_file:
                with open(netlist_file, "w", encoding="ascii") as out:
                    out.write(text)
            c.lead = case.module.lead * c.rms2
            c.module = case.module.switches * (sum(c.total) + c.lead) + d.same_case
            c.heat = case.module.count * c.module + d.other
            c.sink = d.ambient + d.rth_sa() * c.heat
            charge = [-np.diff(np.r_[rises, t]) for rises, t in zip(c.rises, t_case)]
            t_case = list(case.case_temperatures(c.sink, c.total[0], c.total[1], c.module))
            now = np.r_[t_case, [x for y in c.tvj for x in (np.min(y), np.max(y))] - np.repeat(t_case, 2)]
            if before is not None and np.max(np.abs(now - before)) < SETTLED:
                c.case = t_case
                return c
            before = now
    raise RuntimeError("the march did not settle")


def rows(c, point):
    """(name, spice, compared, is watts); point: with the keys of `check --format json`"""
    for m, key in zip(MECHANISMS, ("conduction_w", "turn_on_w", "turn_off_w", "conduction_w", "recovery_w")):
        yield m, c.watts[m], point[m.split(".")[0]][key], True
    yield "lead", c.lead, point["lead_w"], True
    yield "module", c.module, point["module_w"], True
    for k, kind in enumerate(("igbt", "diode")):
        yield kind + " case", c.case[k], point["case_%s_c" % kind], False
        for word, f in (("min", np.min), ("mean", np.mean), ("max", np.max)):
            spice = c.mean[k] if word == "mean" else float(f(c.tvj[k]))
            yield kind + " tvj " + word, spice, point[kind]["tvj_%s_c" % word], False
    yield "sink", c.sink, point["sink_c"], False


def missed(case, got, want, watts):
    kelvins = 0.1 if case.drive.scheme == "clamped" else 0.05
    return abs(got - want) > (max(WATT_TOLERANCE * abs(want), FLOOR) if watts else kelvins)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("drive")
    parser.add_argument("module")
    parser.add_argument("--joint")
    parser.add_argument("--program", help="compare this program's result, not the second calculation's")
    parser.add_argument("--hz", type=float, nargs="*")
    parser.add_argument("--steps", type=int)
    parser.add_argument("--netlist", help="also leave the last netlist here")
    args = parser.parse_args()
    case, misses = load_case(args.drive, args.module, args.joint), 0
    for f in args.hz or case.drive.frequencies:
        c = march(case, f, args.steps or STEPS, args.netlist)
        if args.program:
            compared = program.point(args.program, (args.drive, args.module, args.joint), f)
        else:
            compared = cycle_result(case, solve(case, Point(case.drive, f)))
        print("%g Hz\n%-18s %12s %12s %10s" % (f, "", "ngspice", "program" if args.program else "reference",
                                              "difference"))
        for name, got, want, watts in rows(c, compared):
            miss = missed(case, got, want, watts)
            misses += miss
            print("%-18s %12.5f %12.5f %10.5f%s" % (name, got, want, got - want, "  MISS" if miss else ""))
    sys.exit(1 if misses else 0)


if __name__ == "__main__":
    main()

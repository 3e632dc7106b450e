# SPDX-License-Identifier: GPL-3.0-or-later
"""Chips, cases and sink as one network, twice more.

    whole_network.py PROGRAM DRIVE MODULE [--hz F ...]

Foster terms become ladders by the continued fraction of their impedance in rational arithmetic.
The first run of the load machine is a transient of ngspice: 1 V is 1 degC and 1 A is 1 W, every ladder
capacitor, case and sink as R and C, the losses a table over the junction's own voltage that the second
calculation fills over held sinks.  The low output frequencies are solved in the frequency domain: the
whole network, six switches apart, at each harmonic, losses at the instantaneous temperature.  Prints
the largest differences from what PROGRAM's `loadrun` tells under `network`; exits 1 above 0.1 K.
For a joint per module.
"""
import argparse
import math
import os
import subprocess
import sys
import tempfile
from fractions import Fraction

import numpy as np

import program
from inifile import Section
from reference import Case, ChipLoad, Point, fixed_point, leg, load_case, solve

GRID = 3600            # intervals of a cycle
SINKS = np.arange(-40.0, 121.0, 5.0)   # degC  held, for the losses' table
TOLERANCE = 0.1        # K
STRETCHES = ((4.0, 1e-3), (None, 2.0))   # s  end of a transient (None: of the run), longest step
KINDS = ("igbt", "diode")


# ------------------------------------------------------------------------------------- ladders

def poly_mul(a, b):
    out = [Fraction(0)] * (len(a) + len(b) - 1)
    for i, x in enumerate(a):
        for j, y in enumerate(b):
            out[i + j] += x * y
    return out


def ladder(chip):
    """[(C, R), ...] from the junction on; polynomials in s, lowest power first."""
    r, tau = [Fraction(x) for x in chip.r], [Fraction(x) for x in chip.tau]
    den = [Fraction(1)]
    for t in tau:
        den = poly_mul(den, [Fraction(1), t])
    num = [Fraction(0)] * len(r)
    for k, rk in enumerate(r):
        part = [rk]
        for j, t in enumerate(tau):
            if j != k:
                part = poly_mul(part, [Fraction(1), t])
        num = [a + b for a, b in zip(num, part)]
    rungs = []
    while num:
        c = den[-1] / num[-1]                    # 1/Z = s c + ...
        den = [d - c * n for d, n in zip(den, [Fraction(0)] + num)][:len(num)]
        resistance = num[-1] / den[-1]           # the rest, upside down: R + ...
        num = [n - resistance * d for n, d in zip(num, den)][:len(num) - 1]
        rungs.append((float(c), float(resistance)))
    return rungs


# -------------------------------------------------------------------------------------- losses

class LossTable:
    """Mean loss and highest over mean junction temperature, of each kind of chip."""

    def __init__(self, case, point):
        solved = [solve(case, point, sink=float(t)) for t in SINKS]
        self.t = [[float(np.mean(s["tvj"][k])) for s in solved] for k in range(2)]
        self.loss = [[s["total"][k] for s in solved] for k in range(2)]
        self.crest = [[float(np.max(s["tvj"][k])) - t for s, t in zip(solved, self.t[k])] for k in range(2)]
        self.lead = solved[0]["lead"]

    def highest(self, k, mean):
        return mean + np.interp(mean, self.t[k], self.crest[k])


# ------------------------------------------------------------------------------------- an hour

def netlist(case, table, base, data, end, step):
    d, mod = case.drive, case.module
    count = mod.switches * mod.count
    lines = ["* one switch for all",
             "Rsa sink air %.15g" % d.rth_sa(), "Vair air 0 %.15g" % d.ambient,
             "Csink sink 0 %.15g IC=%.15g" % (d.sink_capacity, d.ambient),
             "Rjoint base sink %.15g" % (case.joint.module / mod.count),
             "Iother 0 sink %.15g" % d.other,
             "Ibase 0 base %.15g" % (count * table.lead + mod.count * d.same_case)]
    if base:
        lines.append("Cbase base 0 %.15g IC=%.15g" % (base * mod.count, d.ambient))
    for k, kind in enumerate(KINDS):
        pairs = ",".join("%.12g,%.12g" % (t, count * p) for t, p in zip(table.t[k], table.loss[k]))
        lines.append("B%s 0 %s0 I = pwl(V(%s0),%s)" % (kind, kind, kind, pairs))
        rungs = ladder((mod.igbt, mod.diode)[k])
        for n, (c, r) in enumerate(rungs):
            here, there = "%s%d" % (kind, n), "%s%d" % (kind, n + 1) if n + 1 < len(rungs) else "base"
            lines += ["C%s %s 0 %.15g IC=%.15g" % (here, here, c * count, d.ambient),
                      "R%s %s %s %.15g" % (here, here, there, r / count)]
    vectors = "v(sink) v(base) v(igbt0) v(diode0)"
    return "\n".join(lines + [".options method=gear reltol=1e-6 vntol=1e-6 abstol=1e-6 trtol=1",
                              ".save " + vectors,
                              ".tran %g %.15g 0 %g uic" % (step, end, step), ".control",
                              "set wr_singlescale", "set wr_vecnames", "set numdgt=12", "run",
                              "wrdata %s %s" % (data, vectors), "quit", ".endc", ".end"]) + "\n"


def transient(case, table, base, end, step):
    with tempfile.TemporaryDirectory() as folder:
        data, path = os.path.join(folder, "out.txt"), os.path.join(folder, "net.cir")
        with open(path, "w", encoding="ascii") as f:
            f.write(netlist(case, table, base, data, end, step))
        done = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, timeout=300)
        if not os.path.exists(data):
            raise RuntimeError(done.stdout[-2000:] + done.stderr[-2000:])
        return np.loadtxt(data, skiprows=1)


def hour(case, base, run):
    """Largest difference of sink, case and highest junction over the first run, the start apart."""
    table = LossTable(case, Point(case.drive, case.drive.frequencies[0]))
    worst, done = {"sink": 0.0, "case": 0.0, "junction": 0.0}, 0.0
    for end, step in STRETCHES:
        end = min(end or case.drive.duration, case.drive.duration)
        found = transient(case, table, base, end, step)
        marks = [k for k, t in enumerate(run["time_s"]) if done < t <= end * (1 + 1e-12)]
        time = np.array(run["time_s"])[marks]
        sink, case_t, igbt, diode = (np.interp(time, found[:, 0], found[:, n]) for n in range(1, 5))
        highest = np.maximum(table.highest(0, igbt), table.highest(1, diode))
        for name, key, t in (("sink", "sink_c", sink), ("case", "case_igbt_c", case_t), ("junction", "tvj_max_c", highest)):
            worst[name] = max(worst[name], float(np.max(np.abs(np.array(run[key])[marks] - t))))
        done = end
    return worst


# ------------------------------------------------------------------------------- inside a cycle

class Bridge:
    """Six switches apart, what behaves alike in parallel put together; answers at each harmonic."""

    def __init__(self, case, base, f):
        d, mod, n = case.drive, case.module, case.grid
        self.case, self.n = case, n
        parallel, modules = d.parallel, 6 // mod.switches
        rungs = [ladder(c) for c in (mod.igbt, mod.diode)]
        size = 1 + modules + 6 * sum(len(r) for r in rungs)
        self.g, self.c, free = np.zeros((size, size)), np.zeros(size), 1 + modules
        self.g[0, 0] += 1 / d.rth_sa()
        self.c[0] = d.sink_capacity
        self.junction = []                # (place, switch, kind)
        for m in range(modules):
            self.join(1 + m, 0, case.joint.module / parallel)
            self.c[1 + m] = (base or 0.0) * parallel
        for s in range(6):
            for k in range(2):
                self.junction.append((free, s, k))
                for j, (c, r) in enumerate(rungs[k]):
                    last = j + 1 == len(rungs[k])
                    self.c[free] = c * parallel
                    self.join(free, 1 + s // mod.switches if last else free + 1, r / parallel)
                    free += 1
        self.parallel = parallel
        self.answers(f)

    def join(self, a, b, r):
        self.g[a, a] += 1 / r
        self.g[b, b] += 1 / r
        self.g[a, b] -= 1 / r
        self.g[b, a] -= 1 / r

    def answers(self, f):
        """Rise at the first switch's chips, its case and the sink, over the loss of an upper switch's
        chip of each kind while all six take turns, at harmonics 0 .. n/2."""
        harmonics = np.arange(self.n // 2 + 1)
        seen = [self.junction[0][0], self.junction[1][0], 1, 0]
        self.z = np.zeros((len(seen), 2, len(harmonics)), complex)
        for h in harmonics:
            drive = np.zeros((len(self.c), 2), complex)
            for place, s, k in self.junction:
                later = (s // 2 / 3 + s % 2 / 2) % 1.0
                drive[place, k] += self.parallel * np.exp(-2j * math.pi * h * later)
            rise = np.linalg.solve(self.g + 2j * math.pi * f * h * np.diag(self.c), drive)
            self.z[:, :, h] = rise[seen]

    def constant(self, lead):
        d, mod = self.case.drive, self.case.module
        power = np.zeros(len(self.c))
        power[0] = d.other
        for m in range(6 // mod.switches):
            power[1 + m] = self.parallel * (mod.switches * lead + d.same_case)
        rise = np.linalg.solve(self.g, power)
        return [rise[self.junction[0][0]], rise[self.junction[1][0]], rise[1], rise[0]]


def inside(case, base, cycle):
    """Largest difference of highest junctions and of the case's ripple at one low frequency."""
    d, mod, n = case.drive, case.module, case.grid
    point = Point(d, cycle["output_hz"])
    theta = (np.arange(n) + 0.5) * 2 * math.pi / n
    duty, switching = leg(point.scheme, point.m, theta)
    i = math.sqrt(2) * point.current * np.cos(theta - point.phi)
    loads = (ChipLoad(mod.igbt, i, duty, switching, d.f_sw), ChipLoad(mod.diode, -i, duty, switching, d.f_sw))
    bridge = Bridge(case, base, point.f)
    constant = bridge.constant(mod.lead * (loads[0].rms2 + loads[1].rms2))
    seen = {}

    def step(t):
        p = [np.fft.rfft(sum(load.losses(x).values())) for load, x in zip(loads, t)]
        seen["t"] = [d.ambient + c + np.fft.irfft(z[0] * p[0] + z[1] * p[1], n) for c, z in zip(constant, bridge.z)]
        return np.array(seen["t"][:2])

    tvj = fixed_point(step, np.full((2, n), d.ambient))
    out = {"junction": max(abs(float(np.max(t)) - cycle[kind]["tvj_max_c"]) for t, kind in zip(tvj, KINDS))}
    ripple = float(np.ptp(seen["t"][2]))
    out["case ripple"] = abs(ripple - cycle["igbt"]["case_ripple_k"])
    return out, ripple


def rows(path, files):
    """(what, {place: largest difference}) of everything compared."""
    case = load_case(*files)
    case = Case(case.drive, case.module_ini, GRID)
    base = Section(case.module_ini, "mounting").value("base_capacity")
    network = program.check(path, *files, command="loadrun")["network"]
    yield "the hour at %g Hz" % case.drive.frequencies[0], hour(case, base, network["runs"][0]), None
    for cycle in network["low_frequency"]:
        yield ("%g Hz" % cycle["output_hz"],) + inside(case, base, cycle)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("program")
    parser.add_argument("drive")
    parser.add_argument("module")
    args, worst = parser.parse_args(), 0.0
    for what, found, ripple in rows(args.program, (args.drive, args.module, None)):
        worst = max(worst, *found.values())
        print("%-20s" % what, " ".join("%s %.5f K" % item for item in found.items()),
              "" if ripple is None else "of %.4f K" % ripple)
    sys.exit(1 if worst > TOLERANCE else 0)


if __name__ == "__main__":
    main()

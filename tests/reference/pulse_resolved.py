# SPDX-License-Identifier: GPL-3.0-or-later
"""What averaging over a switching period leaves out: the same case with every pulse.

    pulse_resolved.py DRIVE MODULE [--joint FILE] [--program PROGRAM] [--hz F ...]

In each carrier period the upper switch is on for the share d of it, centred (a symmetrical triangle,
the reference sampled at its middle).  The IGBT or the diode conducts during that time only, at the
current of the moment; E_on comes as an impulse at the rising edge, E_off or E_rr at the falling one.
Between edges the power is constant over a quarter of the on time, and each Foster term is stepped by
its own exponential, which is exact.  The cycle's start is solved so that it repeats; temperatures and
losses are iterated.  For both sides the carrier is moved to the nearest multiple of 12 output
frequencies, so that every cycle and each held span has a whole number of pulses.
Prints pulse-resolved against averaged (by PROGRAM, else by reference.py); exits 1 when a watt differs by more than 0.5 % or a temperature
by more than 0.3 K, about what one pulse heats the chip.  Edges stand up to half a carrier period beside
the middle from which averaging takes the current, so a single mechanism differs in proportion to output
over carrier frequency (E_on one way, E_off the other): 0.5 % holds from 200 carrier periods a cycle on,
and below that in proportion.
"""
import argparse
import copy
import math
import sys

import numpy as np

import program
from reference import (Case, NoEquilibrium, Point, T_RUNAWAY, cycle_result, leg, load_case, over_temperature,
                       solve)

PARTS = 4              # pieces of the on time
SETTLED = 1e-6         # K
MAX_ITERATIONS = 500
WATT_TOLERANCE = 5e-3  # 1    of each mechanism with ENOUGH carrier periods a cycle, in proportion with fewer
ENOUGH = 200
PER_CYCLE = 12         # carrier periods a cycle are a multiple of this
FLOOR = 0.02           # W
KELVIN_TOLERANCE = 0.3 # K
FULL = 1 - 1e-9        # duty from which on the switch does not open any more


class Pulses:
    """One chip's cycle as steps: a length each, with constant power over it and an impulse at its end."""

    def __init__(self, chip, duty, switching, current, period, phase):
        """duty, switching: per carrier period; current(theta); phase(t) -> theta."""
        n, rows = len(duty), []
        for k in range(n):
            start, on = k * period, duty[k] * period
            edges = [start, start + (period - on) / 2]
            edges += [edges[1] + on * (j + 1) / PARTS for j in range(PARTS)] + [start + period]
            sound = switching[k] > 0 and duty[k] < FULL
            for j in range(PARTS + 2):
                conducts = 0 < j <= PARTS
                impulse = {0: "rise", PARTS: "fall"}.get(j, "") if sound else ""
                rows.append((edges[j], edges[j + 1] - edges[j], conducts, impulse))
        self.begin = np.array([r[0] for r in rows])
        self.length = np.array([r[1] for r in rows])
        self.conducts = np.array([r[2] for r in rows])
        self.edge = np.array([r[3] for r in rows])
        self.chip = chip
        i_mid = np.maximum(current(phase(self.begin + self.length / 2)), 0.0)
        i_end = np.maximum(current(phase(self.begin + self.length)), 0.0)
        self.i_mid = np.where(self.conducts, i_mid, 0.0)
        self.v = chip.voltage.tables(i_mid)
        self.at = {"e_on": self.edge == "rise", "e_off": self.edge == "fall", "e_rr": self.edge == "fall"}
        self.energy = {name: (e.t, np.where(self.at[name] & (i_end > 0), factor * e.tables(i_end), 0.0),
                              e.coefficient) for name, (e, factor) in chip.energies.items()}
        self.rms2 = float(np.sum(self.i_mid ** 2 * self.length)) / (n * period)

    def watts(self, t_mid, t_end):
        """(power over each step, {mechanism: impulse at each step's end})"""
        power = self.i_mid * over_temperature(self.chip.voltage.t, self.v, t_mid)
        impulses = {name: over_temperature(e_t, e, t_end, k) for name, (e_t, e, k) in self.energy.items()}
        return power, impulses

    def rise(self, power, impulse):
        """Rise over the case at each step's middle, before its end's impulse and after it."""
        r, tau = self.chip.r, self.chip.tau
        half = np.exp(-self.length[:, None] / (2 * tau))
        state = np.zeros(len(r))
        for turn in range(2):
            mid, before, after = [], [], []
            for k in range(len(power)):
                m = state * half[k] + r * (1 - half[k]) * power[k]
                e = m * half[k] + r * (1 - half[k]) * power[k]
                state = e + r / tau * impulse[k]
                mid.append(m.sum())
                before.append(e.sum())
                after.append(state.sum())
            if turn == 0:   # from rest: the state that comes back after a cycle
                state = state / (1 - np.exp(-np.sum(self.length) / tau))
        return np.array(mid), np.array(before), np.array(after)


def pulse_solve(case, point):
    d, mod = case.drive, case.module
    n = round(d.f_sw / point.f)
    period = 1 / d.f_sw
    theta = 2 * math.pi * (np.arange(n) + 0.5) / n
    duty, switching = leg(point.scheme, point.m, theta)

    def phase(t):
        return 2 * math.pi * point.f * t

    peak = math.sqrt(2) * point.current
    chips = [Pulses(chip, duty, switching, lambda th, s=s: s * peak * np.cos(th - point.phi), period, phase)
             for chip, s in ((mod.igbt, 1), (mod.diode, -1))]
    lead = mod.lead * sum(c.rms2 for c in chips)
    t = [[np.full(len(c.length), d.ambient)] * 3 for c in chips]
    for _ in range(MAX_ITERATIONS):
        losses, total, rises = [], [], []
        for c, (mid, before, _) in zip(chips, t):
            power, impulses = c.watts(mid, before)
            watts = {name: float(np.sum(e)) * point.f for name, e in impulses.items()}
            watts["conduction"] = float(np.sum(power * c.length)) * point.f
            losses.append(watts)
            total.append(sum(watts.values()))
            rises.append(c.rise(power, sum(impulses.values())))
        p_module = mod.switches * (sum(total) + lead) + d.same_case
        sink = d.ambient + d.rth_sa() * (mod.count * p_module + d.other)
        t_case = case.case_temperatures(sink, *total, p_module)
        new = [[t_c + x for x in rise] for t_c, rise in zip(t_case, rises)]
        if max(np.max(x) for chip in new for x in chip) > T_RUNAWAY:
            raise NoEquilibrium
        change = max(float(np.max(np.abs(a - b))) for new_c, old_c in zip(new, t) for a, b in zip(new_c, old_c))
        t = new
        if change < SETTLED:
            break
    else:
        raise RuntimeError("the iteration did not settle")
    return dict(losses=losses, total=total, case=t_case, sink=sink, module=p_module,
                highest=[max(np.max(x) for x in chip) for chip in t], carriers=n)


def rows(pulsed, averaged):
    """(name, pulse-resolved, averaged, is watts); averaged: with the keys of `check --format json`"""
    mechanisms = ((("conduction", "conduction_w"), ("e_on", "turn_on_w"), ("e_off", "turn_off_w")),
                  (("conduction", "conduction_w"), ("e_rr", "recovery_w")))
    for k, kind in enumerate(("igbt", "diode")):
        chip = averaged[kind]
        for name, key in mechanisms[k]:
            yield kind + " " + name, pulsed["losses"][k][name], chip[key], True
        yield kind + " total", pulsed["total"][k], chip["total_w"], True
        yield kind + " case", pulsed["case"][k], averaged["case_%s_c" % kind], False
        yield kind + " tvj max", pulsed["highest"][k], chip["tvj_max_c"], False
    yield "module", pulsed["module"], averaged["module_w"], True
    yield "sink", pulsed["sink"], averaged["sink_c"], False


def moved_carrier(case, f):
    """The case with its carrier at the nearest multiple of PER_CYCLE output frequencies."""
    moved = copy.copy(case.drive)
    moved.f_sw = f * PER_CYCLE * round(case.drive.f_sw / (f * PER_CYCLE))
    return Case(moved, case.module_ini, case.grid)


def missed(got, want, watts, carriers):
    share = WATT_TOLERANCE * max(1.0, ENOUGH / carriers)
    return abs(got - want) > (max(share * want, FLOOR) if watts else KELVIN_TOLERANCE)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("drive")
    parser.add_argument("module")
    parser.add_argument("--joint")
    parser.add_argument("--program", help="the averaged side is this program, not the second calculation")
    parser.add_argument("--hz", type=float, nargs="*")
    args = parser.parse_args()
    case, misses = load_case(args.drive, args.module, args.joint), 0
    for f in args.hz or case.drive.frequencies:
        here, point = moved_carrier(case, f), Point(case.drive, f)
        pulsed = pulse_solve(here, point)
        if args.program:
            averaged = program.point(args.program, (args.drive, args.module, args.joint), f, here.drive.f_sw)
        else:
            averaged = cycle_result(here, solve(here, point))
        print("%g Hz, %d carrier periods\n%-18s %12s %12s %10s" % (
            f, pulsed["carriers"], "", "each pulse", "program" if args.program else "averaged", "difference"))
        for name, got, want, watts in rows(pulsed, averaged):
            miss = missed(got, want, watts, pulsed["carriers"])
            misses += miss
            print("%-18s %12.4f %12.4f %10.4f%s" % (name, got, want, got - want, "  MISS" if miss else ""))
    sys.exit(1 if misses else 0)


if __name__ == "__main__":
    main()

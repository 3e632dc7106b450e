# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes the example logs of a load run, each of a drive whose state is known.

    logs.py FOLDER [NAME ...]           log-NAME.csv, all of them unless named
    logs.py --exact FOLDER [NAME ...]   without errors and with all digits

The example drive and its good module run ten minutes without load, an hour at 30 Hz and an hour at
60 Hz; every minute somebody reads everything.  The heat is the second calculation's; the sink is marched by
the classical Runge-Kutta rule in steps of a second; the bus is marched through two line cycles.  What is
wrong with a drive stands in SCENARIOS.  Readings carry what hand-held instruments do: noise from one
reading to the next, a slower wander that hangs together over minutes, an offset between two
thermocouples, and the last digit that is shown.  The same name gives the same file.
"""
import math
import os
import random
import sys

import numpy as np

from reference import Case, Point, load_case, solve

EXAMPLES = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "examples")
COLUMNS = "time_min,output_hz,ambient_c,sink_c,case_c,ntc_ohm,iu_a,iv_a,iw_a,bus_v,ripple_v"
PLAN = ((10, 0.0), (60, 30.0), (60, 60.0))   # min, Hz; 0 Hz: no load
AMBIENT, AMBIENT_RISE = 27.0, 2.0            # degC at the start, and how far the shop warms, K
T_C0 = 273.15
GRID = 3600

# the state of the drive, in parts of the files' values:
#   layer     the joint of all modules
#   at_sensor what the joint costs where the case is read, over that
#   sink      heatsink to air
#   phases    currents of U, V, W
SCENARIOS = {
    "good": dict(),
    "thick-layer": dict(layer=2.4),
    "dry-spot": dict(layer=1.15, at_sensor=2.0),
    "blocked-fins": dict(sink=1.9),
    "weak-phase": dict(phases=(1.0, 0.87, 1.0)),
}
NTC_OVER_CASE = 0.012   # K/W  of the thermistor on the module's ceramic over the base beneath it
OFFSET = 0.4            # K    the case's thermocouple over the sink's
WHITE, WANDER, WANDER_MIN = 0.12, 0.15, 4.0   # K, K, min
CLAMP, BUS, RIPPLE = 0.004, 1.5, 0.3          # share, V, V


class Heat:
    """Heat of one module over the sink's temperature: a parabola through three solutions."""

    def __init__(self, case, f, current):
        sinks = np.array([290.0, 325.0, 360.0])
        point = Point(case.drive, f, current)
        solved = [solve(case, point, sink=t - T_C0) for t in sinks]
        self.curve = np.polyfit(sinks, [s["module"] for s in solved], 2)

    def __call__(self, t):
        return float(np.polyval(self.curve, t))


def sink_step(case, r_sa, ambient, heat, t, seconds):
    """The sink after some seconds."""
    d = case.drive

    def rate(t_sink):
        return (case.module.count * heat(t_sink) + d.other - (t_sink - ambient) / r_sa) / d.sink_capacity

    for _ in range(int(seconds)):
        k1 = rate(t)
        k2 = rate(t + 0.5 * k1)
        k3 = rate(t + 0.5 * k2)
        t += (k1 + 2 * k2 + 2 * k3 + rate(t + k3)) / 6
    return t


def bus_ripple(drive, capacitance, watts, steps=40000):
    """Peak to peak behind six pulses: two line cycles in small steps, the second one told."""
    peak, h = math.sqrt(2) * drive.line_voltage, 2 / 60.0 / steps
    v, seen = peak, []
    for k in range(steps):
        x = 2 * math.pi * 60.0 * k * h
        line = peak * max(abs(math.cos(x + a)) for a in (0, math.pi / 3, 2 * math.pi / 3))
        v = max(line, v - watts / (capacitance * v) * h)
        if k > steps // 2:
            seen.append(v)
    return max(seen) - min(seen)


class Wander:
    """A reading's error: white, and a slow part that forgets itself over minutes."""

    def __init__(self, rng):
        self.rng, self.slow, self.keep = rng, rng.gauss(0, WANDER), math.exp(-1 / WANDER_MIN)

    def __call__(self):
        self.slow = self.keep * self.slow + math.sqrt(1 - self.keep ** 2) * self.rng.gauss(0, WANDER)
        return self.slow + self.rng.gauss(0, WHITE)


class Bench:
    """The drive with its fault, and the instruments."""

    def __init__(self, name, exact):
        state, self.exact = SCENARIOS[name], exact
        self.case = load_case(os.path.join(EXAMPLES, "drive.ini"), os.path.join(EXAMPLES, "module-good.ini"), grid=GRID)
        self.case.drive.t *= state.get("layer", 1.0)
        self.case.rebuild()
        self.rng = random.Random("load run, " + name)
        self.at_sensor = self.case.joint.module * state.get("at_sensor", 1.0)
        self.r_sa = self.case.drive.rth_sa() * state.get("sink", 1.0)
        self.phases = [self.case.drive.current * p for p in state.get("phases", (1.0, 1.0, 1.0))]
        self.current = sum(self.phases) / 3
        self.errors = [Wander(self.rng) for _ in range(4)]
        self.ripple = {}

    def power(self, f, heat):
        """W from the bus."""
        d, point = self.case.drive, Point(self.case.drive, f, self.current)
        volts = min(point.m, point.m_requested) * math.sqrt(3) * d.v_dc / (2 * math.sqrt(2))
        return math.sqrt(3) * volts * self.current * point.pf + self.case.module.count * heat

    def row(self, minute, f, ambient, t_sink, heat):
        noise = self.rng.gauss
        loaded = f > 0
        case = t_sink + self.at_sensor * heat + OFFSET
        ntc = t_sink + (self.case.joint.module + NTC_OVER_CASE) * heat
        e = [error() for error in self.errors]
        ohm = 5000.0 * math.exp(3375.0 * (1 / (ntc + e[3]) - 1 / 298.15))
        if loaded and f not in self.ripple:
            self.ripple[f] = bus_ripple(self.case.drive, 2.7e-3, self.power(f, heat))
        currents = [i * (1 + noise(0, CLAMP)) if loaded else 0.0 for i in self.phases]
        bus = (648.0 if loaded else math.sqrt(2) * self.case.drive.line_voltage) + noise(0, BUS)
        ripple = self.ripple[f] + noise(0, RIPPLE) if loaded else abs(noise(0, RIPPLE))
        if self.exact:
            e, currents, bus, ripple = [0.0] * 4, [i if loaded else 0.0 for i in self.phases], 648.0, self.ripple.get(f, 0.0)
            ohm = 5000.0 * math.exp(3375.0 * (1 / ntc - 1 / 298.15))
        shown = ("%.9g", "%.9g", "%.9g", "%.9g", "%.9g") if self.exact else ("%.1f", "%.0f", "%.1f", "%.0f", "%.1f")
        numbers = ["%d" % minute, "%g" % f]
        numbers += [shown[0] % (t - T_C0) for t in (ambient + e[0], t_sink + e[1], case + e[2])]
        return (numbers + [shown[1] % ohm] + [shown[2] % i for i in currents] +
                [shown[3] % bus, shown[4] % ripple])

    def rows(self):
        minute, t_sink = 0, AMBIENT + T_C0
        total = sum(m for m, _ in PLAN)
        for minutes, f in PLAN:
            heat = Heat(self.case, f, self.current) if f else (lambda t: 0.0)
            for _ in range(minutes):
                ambient = T_C0 + AMBIENT + AMBIENT_RISE * minute / total
                yield self.row(minute, f, ambient, t_sink, heat(t_sink))
                if f:
                    t_sink = sink_step(self.case, self.r_sa, ambient, heat, t_sink, 60)
                minute += 1


def write(folder, name, exact):
    with open(os.path.join(folder, "log-%s.csv" % name), "w", newline="") as out:
        out.write(COLUMNS + "\n")
        out.writelines(",".join(row) + "\n" for row in Bench(name, exact).rows())


def main():
    words = sys.argv[1:]
    exact = words[0] == "--exact"
    folder, *names = words[1:] if exact else words
    for name in names or SCENARIOS:
        write(folder, name, exact)


if __name__ == "__main__":
    main()

# SPDX-License-Identifier: GPL-3.0-or-later
"""Overload, limits and one-hour run of the second calculation.

    extras.py DRIVE MODULE [--joint FILE] [--grid N] [--without limits ...]

The sink is an ordinary differential equation given to scipy's LSODA, with the periodic steady state
of the chips at each sink temperature on the right-hand side; limits are roots found by Brent's method
on the whole calculation, each evaluation from scratch.  Prints JSON: the keys of reference.py and
`overload`, `limits`, `runs`.
"""
import argparse
import copy
import json
import math
import sys

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from reference import Case, NoEquilibrium, Point, check, hold, load_case, solve

EXTRAS_GRID = 3600     # 3600 against 36000 intervals: below 0.005 K on the cases here, the clamped ones being the worst
RELATIVE, ABSOLUTE = 1e-9, 1e-7   # of LSODA, 1 and K
LOST = -1e4            # K  stands for the margin where there is no equilibrium
MINUTES = (0, 1, 2, 5, 10, 15, 20, 30, 45, 60)   # of a one-hour run
KINDS = ("igbt", "diode")


def coarse(case, grid=EXTRAS_GRID):
    return Case(case.drive, case.module_ini, grid)


# ----------------------------------------------------------------------------- the sink in time

def sink_at(case, point, t_start, times):
    """Sink temperatures at rising times from t_start on; NoEquilibrium when the chips run away."""
    d = case.drive

    def slope(_, t):
        heat = solve(case, point, sink=float(t[0]))["heat"]
        return [(heat - (t[0] - d.ambient) / d.rth_sa()) / d.sink_capacity]

    done = solve_ivp(slope, (0.0, times[-1]), [t_start], method="LSODA", t_eval=times,
                     rtol=RELATIVE, atol=ABSOLUTE)
    if not done.success:
        raise RuntimeError(done.message)
    return done.y[0]


def peaks(solved):
    return [float(np.max(t)) for t in solved["tvj"]]


def excess(case, point, sink):
    """K by which the hottest junction over a held sink is above its limit."""
    return max(peaks(solve(case, point, sink=float(sink)))) - case.module.tvj_op_max


def allowed(case, point, start):
    """Seconds until the limit is reached, which is before the end; a root in time of the whole march."""
    if excess(case, point, start) >= 0:
        return 0.0
    lasts = case.drive.overload_time
    return brentq(lambda t: excess(case, point, sink_at(case, point, start, [0.0, t])[-1]), 1e-3, lasts, xtol=1e-4)


def overload(case):
    """Highest junction temperature at the end of the overload, from each test frequency's equilibrium.
    The time is left out where there is no equilibrium."""
    case = coarse(case)
    d, out = case.drive, []
    if d.overload_current is None:
        return out
    for f in d.frequencies:
        point = Point(d, f, d.overload_current * d.current)
        entry = dict(output_hz=f, tvj_max_c=None, sink_c=None, margin_k=None)
        out.append(entry)
        try:
            if d.sink_capacity is None:
                solved = solve(case, point)
            else:
                start = solve(case, Point(d, f))["sink"]
                solved = solve(case, point, sink=float(sink_at(case, point, start, [0.0, d.overload_time])[-1]))
        except NoEquilibrium:
            continue
        highest = max(peaks(solved))
        entry.update(tvj_max_c=highest, sink_c=solved["sink"], margin_k=case.module.tvj_op_max - highest,
                     allowed_s=None)
        if d.sink_capacity is not None and highest > case.module.tvj_op_max:
            entry["allowed_s"] = allowed(case, point, start)
    return out


def hold_current(case):
    """The drive's current whose peak may stand for any time: the hotter chip at its limit."""
    def over(amperes):
        drive = copy.copy(case.drive)
        drive.load = amperes / drive.current
        try:
            return float(max(hold(Case(drive, case.module_ini, EXTRAS_GRID))["tvj"])) - case.module.tvj_op_max
        except NoEquilibrium:
            return -LOST
    return root(over, 0.01 * case.drive.current, 10 * case.drive.current)


def over_sink(case, point, sink):
    """(highest junction, case temperatures) over a held sink; below 1 Hz the hold over it counts too."""
    solved = solve(case, point, sink=sink)
    highest = peaks(solved)
    if point.f < 1.0:
        highest += [float(x) for x in hold(case, sink)["tvj"]]
    return max(highest), [float(t) for t in solved["case"]]


def reading(sink, highest, cases):
    return dict(sink_c=sink, case_igbt_c=cases[0], case_diode_c=cases[1], tvj_max_c=highest)


NO_READING = dict(sink_c=None, case_igbt_c=None, case_diode_c=None, tvj_max_c=None)


def settled_reading(case, point):
    """-> (reading, watts from the bus); None for both without an equilibrium."""
    d = case.drive
    try:
        solved = solve(case, point)
        highest = peaks(solved)
        if point.f < 1.0:
            highest += [float(x) for x in hold(case)["tvj"]]
    except NoEquilibrium:
        return NO_READING, None
    watts = None
    if point.pf > 0:
        volts = min(point.m, point.m_requested) * math.sqrt(3) * d.v_dc / (2 * math.sqrt(2))
        watts = (math.sqrt(3) * volts * point.drive_current * point.pf
                 + case.module.count * (solved["module"] - d.same_case))
    return reading(solved["sink"], max(highest), [float(t) for t in solved["case"]]), watts


def stop_reading(case, point):
    """Sink and case at which the hottest junction is at its limit."""
    d, limit = case.drive, case.module.tvj_op_max

    def over(sink):
        try:
            return over_sink(case, point, sink)[0] - limit
        except NoEquilibrium:
            return -LOST

    if over(d.ambient) > 0:
        return dict(stop_sink_c=None, stop_case_c=None, stop_case_diode_c=None)
    sink = brentq(over, d.ambient, limit, xtol=1e-6)
    cases = over_sink(case, point, sink)[1]
    return dict(stop_sink_c=sink, stop_case_c=cases[0], stop_case_diode_c=cases[1])


def run_sinks(case, point, t_sink, seconds):
    """Sink temperatures at rising times; None from where there is no equilibrium any more."""
    if t_sink is None:
        return [None] * len(seconds)
    try:
        return [float(t) for t in sink_at(case, point, t_sink, seconds)]
    except NoEquilibrium:
        sinks = [t_sink]
    for t, before in zip(seconds[1:], seconds):
        try:
            last = sinks[-1]
            sinks.append(None if last is None else float(sink_at(case, point, last, [0.0, t - before])[-1]))
        except NoEquilibrium:
            sinks.append(None)
    return sinks


def run_readings(case, point, sinks):
    out = []
    for t in sinks:
        try:
            out.append(NO_READING if t is None else reading(t, *over_sink(case, point, t)))
        except NoEquilibrium:
            out.append(NO_READING)
    return out


def runs(case):
    """The test frequencies in turn, no cooling down between."""
    case = coarse(case)
    d, out = case.drive, []
    minutes = [m / 60.0 * d.duration / 60.0 for m in MINUTES]
    t_sink = d.ambient
    for f in d.frequencies:
        point = Point(d, f)
        readings = []
        if d.sink_capacity is not None:
            sinks = run_sinks(case, point, t_sink, [60.0 * m for m in minutes])
            readings, t_sink = run_readings(case, point, sinks), sinks[-1]
        settled, watts = settled_reading(case, point)
        entry = dict(output_hz=f, current_a=point.current, minutes=minutes, settled=settled, bus_v=d.v_dc,
                     bus_power_w=watts)
        entry.update({key: [r[key] for r in readings] for key in NO_READING})
        entry.update(stop_reading(case, point))
        out.append(entry)
    return out


# --------------------------------------------------------------------------------------- limits

def margin_at(case, f):
    """(margin, chip) at one output frequency; below 1 Hz the hold counts too."""
    try:
        highest = peaks(solve(case, Point(case.drive, f)))
        if f < 1.0:
            highest = [max(a, float(b)) for a, b in zip(highest, hold(case)["tvj"])]
    except NoEquilibrium:
        return LOST, None
    k = int(np.argmax(highest))
    return case.module.tvj_op_max - highest[k], KINDS[k]


def worst(case, frequencies):
    """(margin, frequency, chip), the smallest over the frequencies."""
    return min(((*margin_at(case, f), f) for f in frequencies), key=lambda x: x[0])


def changed(case, set_value):
    drive = copy.copy(case.drive)
    set_value(drive)
    return Case(drive, case.module_ini, case.grid)


def root(excess, low, high):
    """Where excess(x) changes sign between low and high, or None."""
    if excess(low) * excess(high) > 0:
        return None
    return brentq(excess, low, high, xtol=1e-10 * max(abs(low), abs(high)), rtol=1e-10)


def limit(case, name, low, high, set_value, unit=1.0):
    """One limit as the program prints it: value in the unit of its name."""
    frequencies, required = case.drive.frequencies, case.drive.required

    def excess(x):
        return worst(changed(case, lambda d: set_value(d, x)), frequencies)[0] - required

    x = root(excess, low, high)
    if x is None:
        return dict(name=name, value=None, set_by_hz=None, set_by=None)
    # On the side where an equilibrium exists, a hair before the limit.
    _, chip, f = worst(changed(case, lambda d: set_value(d, x - 1e-7 * abs(x))), frequencies)
    return dict(name=name, value=x * unit, set_by_hz=f, set_by=chip)


def lowest_output(case):
    required, top = case.drive.required, min(case.drive.frequencies)
    empty = dict(name="lowest_output_hz", value=None, set_by_hz=None, set_by=None)
    if top <= 1.0:
        return empty
    x = root(lambda f: margin_at(case, f)[0] - required, 1.0, top)
    if x is None:
        return empty
    return dict(name="lowest_output_hz", value=x, set_by_hz=x, set_by=margin_at(case, x)[1])


def limits(case):
    case = coarse(case)
    d = case.drive

    def load(drive, amperes):
        drive.load = amperes / drive.current

    def field(name):
        return lambda drive, x: setattr(drive, name, x)

    out = [limit(case, "load_current_a", 0.01 * d.current, 10 * d.current, load),
           limit(case, "ambient_c", -60.0, case.module.tvj_op_max, field("ambient")),
           limit(case, "switching_hz", 100.0, 1e6, field("f_sw"))]
    if case.joint.layer_used:
        out.append(limit(case, "joint_thickness_um", 1e-6, 5e-3, field("t"), 1e6))
    else:
        out.append(dict(name="joint_thickness_um", value=None, set_by_hz=None, set_by=None))
    out += [limit(case, "rth_sa_k_per_w", 1e-5, 100.0, field("rth_sa_typed")), lowest_output(case)]
    return out


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("drive")
    parser.add_argument("module")
    parser.add_argument("--joint")
    parser.add_argument("--grid", type=int, default=36000)
    parser.add_argument("--without", nargs="*", default=[], choices=("overload", "limits", "runs"))
    args = parser.parse_args()
    case = load_case(args.drive, args.module, args.joint, args.grid)
    result = check(case)
    result["hold"]["allowed_current_a"] = hold_current(case)
    for name, part in (("overload", overload), ("limits", limits), ("runs", runs)):
        if name not in args.without:
            result[name] = part(case)
    json.dump(result, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()

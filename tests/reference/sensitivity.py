# SPDX-License-Identifier: GPL-3.0-or-later
"""What each simplification of the method costs on one drive with one module, in kelvin.

    sensitivity.py [DRIVE MODULE] [--hz F ...]

The second calculation is run again with one thing changed at a time; told is the change of the highest
junction temperature of IGBT and diode.  What the files do not give is assumed, and said in the table's
second column.  Without files: the example drive with its good module.
"""
import argparse
import contextlib
import copy
import os

import numpy as np

import pulse_resolved
import reference
from inifile import quantity
from reference import Case, ChipLoad, Point, load_case, solve

HERE = os.path.dirname(os.path.abspath(__file__))
EXAMPLES = os.path.join(HERE, "..", "..", "examples")
RIPPLE = 0.10          # 1      of the current's peak, either way: a large switching ripple
UNEQUAL = 0.10         # 1      more in one of two modules, less in the other
BASE_PLATE = 3e-3      # m      of copper under the module's base area
COPPER = 3.45e6        # J/(m3.K)
ADDED_LOSS = 0.10      # 1      on every loss
COLUMNS = ("IGBT", "diode")


@contextlib.contextmanager
def changed(name, value):
    """The second calculation with another function or class of that name."""
    before = getattr(reference, name)
    setattr(reference, name, value)
    try:
        yield
    finally:
        setattr(reference, name, before)


def highest(solved):
    return np.array([float(np.max(t)) for t in solved["tvj"]])


# ------------------------------------------------------------------- one function a simplification

def dead_time(case, point, seconds):
    """Uncompensated: in each carrier period the switch is on for one dead time less, the diode more."""
    share, plain = seconds * case.drive.f_sw, reference.leg

    def leg(scheme, m, theta):
        duty, switching = plain(scheme, m, theta)
        duty = duty - share * switching * np.sign(np.cos(theta - point.phi))
        return np.clip(duty, 0.0, 1.0), switching

    with changed("leg", leg):
        return highest(solve(case, point))


class Rippled(ChipLoad):
    """A triangle on the phase current: on at its valley, off at its peak, its mean square in between."""
    nodes, weights = np.polynomial.legendre.leggauss(8)

    def __init__(self, chip, current, duty, switching, f_sw):
        super().__init__(chip, current, duty, switching, f_sw)
        swing = RIPPLE * float(np.max(np.abs(current)))
        i, duty, switching = current[self.on], duty[self.on], switching[self.on]
        peak, valley = i + swing, np.maximum(i - swing, 0.0)
        moments = [(np.maximum(i + x * swing, 0.0), w / 2) for x, w in zip(self.nodes, self.weights)]
        self.i_duty = duty
        self.v = sum(w * now * chip.voltage.tables(now) for now, w in moments)
        self.energies = {name: (e.t, factor * f_sw * switching * e.tables(peak if name == "e_off" else valley),
                                e.coefficient) for name, (e, factor) in chip.energies.items()}
        self.rms2 = sum(w * float(np.sum(duty * now * now)) for now, w in moments) / self.n


def rippled(case, point):
    with changed("ChipLoad", Rippled):
        return highest(solve(case, point))


def unequal(case, point):
    """Two modules a position on one sink of half the resistance; the one with more current."""
    d, sink = case.drive, case.drive.ambient
    for _ in range(100):
        shares = [solve(case, with_current(point, 1 + sign * UNEQUAL), sink) for sign in (1, -1)]
        heat = case.module.count * sum(s["module"] for s in shares) + 2 * d.other
        new = d.ambient + d.rth_sa() / 2 * heat
        if abs(new - sink) < 1e-7:
            return highest(shares[0])
        sink = new
    raise RuntimeError("the sink did not settle")


def with_current(point, share):
    other = copy.copy(point)
    other.current = point.current * share
    return other


def pulsed(case, point):
    """Every pulse, less averaged, both with the carrier at a whole number of pulses a cycle."""
    here = pulse_resolved.moved_carrier(case, point.f)
    return np.array(pulse_resolved.pulse_solve(here, point)["highest"]) - highest(solve(here, point))


def moving_case(case, point):
    """Rise of the case and sink within the cycle, added to the junction's.

    The case as a plate of copper over the joint, heated by both switches of the module; the sink as its
    capacity alone.  The network of a data sheet was measured with the case held, so this comes on top."""
    solved, n = solve(case, point), case.grid
    power = sum(sum(p for p in losses.values()) for losses in solved["losses"])
    if case.module.switches == 2:
        power = power + np.roll(power, n // 2)
    plate = BASE_PLATE * case.module.width * case.module.length * COPPER
    omega = 2j * np.pi * point.f * np.arange(1, n // 2 + 1)
    joint = case.joint.module
    z = joint / (1 + omega * joint * plate) + 1 / (omega * case.drive.sink_capacity)
    harmonics = np.fft.rfft(power)
    harmonics[0], harmonics[1:] = 0.0, harmonics[1:] * z
    moved = np.fft.irfft(harmonics, n)
    return np.array([float(np.max(t + moved)) for t in solved["tvj"]])


class Straight(reference.Steffen):
    """Straight lines between a curve's points."""

    def __call__(self, at):
        at = np.asarray(at, float)
        k = np.clip(np.searchsorted(self.x, at, side="right") - 1, 0, len(self.h) - 1)
        return self.y[k] + self.s[k] * (at - self.x[k])


def straight_lines(case, point):
    with changed("Steffen", Straight):
        return highest(solve(Case(case.drive, case.module_ini, case.grid), point))


class AtTheMean(ChipLoad):
    def losses(self, t):
        return super().losses(np.full_like(t, float(np.mean(t))))


def mean_temperature(case, point):
    with changed("ChipLoad", AtTheMean):
        return highest(solve(case, point))


class More(ChipLoad):
    def losses(self, t):
        return {name: (1 + ADDED_LOSS) * p for name, p in super().losses(t).items()}


def more_loss(case, point):
    with changed("ChipLoad", More):
        return highest(solve(case, point))


def read_off_wrong(case, point):
    """Every voltage and energy of the data sheet's curves read 2 % too low."""
    ini = {section: {key: scaled(key, text) for key, text in keys.items()}
           for section, keys in case.module_ini.items()}
    return highest(solve(Case(case.drive, ini, case.grid), point))


def scaled(key, text):
    if key.split("@")[0].strip() not in ("vce_sat", "vf", "e_on", "e_off", "e_rr"):
        return text
    numbers, _ = quantity(text)
    return " ".join("%.9g" % (x * 1.02) for x in numbers) + {"v": " V", "e": " J"}[key[0]]


# ------------------------------------------------------------------------------------------- table

def rows(case, frequencies):
    """(what, what is assumed, K of IGBT and diode at each frequency)"""
    points = [Point(case.drive, f) for f in frequencies]
    base = [highest(solve(case, p)) for p in points]
    seconds = quantity(case.dead_time)[0][0] if case.dead_time else 3e-6

    def cost(what, assumed, function, *more, absolute=True):
        changes = [function(case, p, *more) - (b if absolute else 0.0) for p, b in zip(points, base)]
        return what, assumed, [float(x) for change in changes for x in change]

    return [
        cost("dead time", "%.1f us, and a controller that does not make up for it" % (seconds * 1e6),
             dead_time, seconds),
        cost("ripple of the phase current", "a triangle of +-%.0f %% of the peak, all through the cycle"
             % (100 * RIPPLE), rippled),
        cost("unequal sharing", "two modules in parallel, %.0f %% more in one, %.0f %% less in the other"
             % (100 * UNEQUAL, 100 * UNEQUAL), unequal),
        cost("averaging over the switching period", "every pulse instead; carrier moved to the next multiple "
             "of %d output frequencies" % pulse_resolved.PER_CYCLE, pulsed, absolute=False),
        cost("constant case and sink temperature", "base plate of %.0f mm of copper, the sink's own capacity"
             % (1e3 * BASE_PLATE), moving_case),
        cost("monotone cubic between a curve's points", "straight lines instead", straight_lines),
        cost("losses at the instantaneous junction temperature", "at its mean instead", mean_temperature),
        cost("curves as they were read", "every voltage and energy 2 % higher", read_off_wrong),
        cost("typical losses", "every loss %.0f %% higher" % (100 * ADDED_LOSS), more_loss),
    ]


def example():
    files = [os.path.join(EXAMPLES, name) for name in ("drive.ini", "module-good.ini")]
    return load(*files)


def load(drive, module):
    case = load_case(drive, module)
    case.dead_time = reference.read(drive)["drive"].get("dead_time")
    return case


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("files", nargs="*")
    parser.add_argument("--hz", type=float, nargs="*")
    args = parser.parse_args()
    case = load(*args.files) if args.files else example()
    frequencies = args.hz or case.drive.frequencies
    heads = ["%s %g Hz" % (chip, f) for f in frequencies for chip in COLUMNS]
    print("%-54s %s" % ("change of the highest junction temperature, K", " ".join("%11s" % h for h in heads)))
    for what, assumed, kelvins in rows(case, frequencies):
        print("%-54s %s\n  (%s)" % (what, " ".join("%11.3f" % k for k in kelvins), assumed))


if __name__ == "__main__":
    main()

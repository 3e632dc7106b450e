# SPDX-License-Identifier: GPL-3.0-or-later
"""One point of the example drive worked as on paper, and the way from there to the program's result.

    worked_example.py [--hz F]

On paper: curves as straight lines V0 + r i at one temperature, switching energies at the half wave's mean
current in proportion to the bus, closed forms for sine PWM, temperatures as a chain of means.  The ladder
then takes back one simplification after another in the second calculation; its last step is the whole
method.
"""
import argparse
import copy
import math

import numpy as np

from inifile import Section, quantity
from reference import Case, Point, solve
from sensitivity import AtTheMean, changed, example

T_PAPER = 125.0        # degC   the row of the data sheet that is used
LINE = (50.0, 100.0)   # A      the two points through which V0 + r i is drawn


class Paper:
    """Every number of the calculation by hand, in the order in which it is written down."""

    def __init__(self, case, f):
        d, mod = case.drive, case.module
        point = Point(d, f)
        self.i, self.m, self.c = math.sqrt(2) * point.current, point.m, point.pf
        self.mean_current = 2 / math.pi * self.i
        self.v0, self.r = zip(*(self.line(case.module_ini, *names) for names in (("igbt", "vce_sat"), ("diode", "vf"))))
        self.conduction = [self.closed_form(k, sign) for k, sign in ((0, 1), (1, -1))]
        self.volts = d.v_dc / Section(case.module_ini, "igbt.switching").value("test_voltage")
        self.energy = [self.at_mean_current(case.module_ini, *names) for names in (
            ("igbt.switching", "e_on"), ("igbt.switching", "e_off"), ("diode.recovery", "e_rr"))]
        self.switching = [0.5 * d.f_sw * self.volts * e for e in (self.energy[0] + self.energy[1], self.energy[2])]
        self.watts = [a + b for a, b in zip(self.conduction, self.switching)]
        self.lead = mod.lead * self.i ** 2 / 4
        self.module = mod.switches * (sum(self.watts) + self.lead) + d.same_case
        self.sink = d.ambient + d.rth_sa_typed * (mod.count * self.module + d.other)
        self.joint = case.joint.module
        self.case = self.sink + self.joint * self.module
        self.junction = [self.case + chip.rth * p for chip, p in zip((mod.igbt, mod.diode), self.watts)]

    @staticmethod
    def line(ini, kind, name):
        section = Section(ini, kind + ".conduction")
        (a, b), (v_a, v_b) = LINE, np.interp(LINE, section.list("current"), section.rows(name)[T_PAPER])
        r = (v_b - v_a) / (b - a)
        return v_a - r * a, r

    def closed_form(self, k, sign):
        i, mc = self.i, sign * self.m * self.c
        return self.v0[k] * i * (1 / (2 * math.pi) + mc / 8) + self.r[k] * i * i * (1 / 8 + mc / (3 * math.pi))

    def at_mean_current(self, ini, section, name):
        s = Section(ini, section)
        return float(np.interp(self.mean_current, s.list("current"), s.rows(name)[T_PAPER]))


def paper_rows(papers):
    """(quantity, how, [value at each frequency], unit, decimals)"""
    table = (
        ("peak of the phase current", "sqrt 2 I", lambda p: p.i, "A", 2),
        ("modulation index", "2 sqrt 2 V_1 / (sqrt 3 V_dc)", lambda p: p.m, "", 4),
        ("power factor", "from the file", lambda p: p.c, "", 2),
        ("IGBT threshold V0", "line through 50 A and 100 A at 125 degC", lambda p: p.v0[0], "V", 3),
        ("IGBT slope r", "the same line", lambda p: 1e3 * p.r[0], "mohm", 2),
        ("diode threshold V0", "line through 50 A and 100 A at 125 degC", lambda p: p.v0[1], "V", 3),
        ("diode slope r", "the same line", lambda p: 1e3 * p.r[1], "mohm", 2),
        ("IGBT conduction", "V0 I (1/2pi + m c/8) + r I^2 (1/8 + m c/3pi)", lambda p: p.conduction[0], "W", 2),
        ("diode conduction", "the same with - m c", lambda p: p.conduction[1], "W", 2),
        ("mean current of the half wave", "2 I / pi", lambda p: p.mean_current, "A", 2),
        ("E_on there, 125 degC", "straight line between the points", lambda p: 1e3 * p.energy[0], "mJ", 3),
        ("E_off there", "the same", lambda p: 1e3 * p.energy[1], "mJ", 3),
        ("E_rr there", "the same", lambda p: 1e3 * p.energy[2], "mJ", 3),
        ("bus over test voltage", "V_dc / V_test", lambda p: p.volts, "", 3),
        ("IGBT switching", "f_sw/2 (E_on + E_off) V_dc/V_test", lambda p: p.switching[0], "W", 2),
        ("diode recovery", "f_sw/2 E_rr V_dc/V_test", lambda p: p.switching[1], "W", 2),
        ("IGBT, all", "sum", lambda p: p.watts[0], "W", 2),
        ("diode, all", "sum", lambda p: p.watts[1], "W", 2),
        ("leads, a switch", "R_lead I^2 / 4", lambda p: p.lead, "W", 2),
        ("module", "2 (IGBT + diode + leads)", lambda p: p.module, "W", 1),
        ("sink", "T_a + R_sa (3 modules + others)", lambda p: p.sink, "degC", 2),
        ("joint", "R_th(c-s) k_ref / k", lambda p: p.joint, "K/W", 4),
        ("case", "sink + joint times module", lambda p: p.case, "degC", 2),
        ("IGBT junction, mean", "case + R_th(j-c) times IGBT", lambda p: p.junction[0], "degC", 2),
        ("diode junction, mean", "case + R_th(j-c) times diode", lambda p: p.junction[1], "degC", 2),
    )
    for what, how, value, unit, decimals in table:
        yield what, how, [value(p) for p in papers], unit, decimals


# ------------------------------------------------------------------------------------------ ladder

def one_temperature(ini):
    """The module as at T_PAPER alone, energies in proportion to the bus."""
    out = {}
    for section, keys in ini.items():
        out[section] = {key: text for key, text in keys.items()
                        if "@" not in key or abs(quantity(key.split("@")[1])[0][0] - T_PAPER) < 1e-9}
        if section in ("igbt.switching", "diode.recovery"):
            out[section].update(temperature_coefficient="0 1/K", voltage_exponent="1")
    return out


def own_exponents(ini, original):
    out = copy.deepcopy(ini)
    for section in ("igbt.switching", "diode.recovery"):
        del out[section]["voltage_exponent"]
        if "voltage_exponent" in original[section]:
            out[section]["voltage_exponent"] = original[section]["voltage_exponent"]
    return out


def result(solved, which):
    return [solved["total"][0], solved["total"][1], solved["sink"], solved["case"][0]] + [
        float(which(t)) for t in solved["tvj"]]


def ladder(case, f):
    """(step, [W IGBT, W diode, degC sink, case, IGBT, diode])"""
    paper, drive, ini = Paper(case, f), copy.copy(case.drive), case.module_ini
    yield "on paper", paper.watts + [paper.sink, paper.case] + paper.junction
    drive.altitude, drive.scheme = 0.0, "sine"
    point = Point(case.drive, f)          # keeps the modulation index, which sine PWM alone would not reach
    sine, here = copy.copy(point), one_temperature(ini)
    sine.scheme = "sine"

    def step(module_ini, at, which=np.mean):
        return result(solve(Case(drive, module_ini, case.grid), at), which)

    yield "the curves themselves, at every instant's current", step(here, sine)
    yield "space-vector modulation, not sine", step(here, point)
    here = own_exponents(here, ini)
    yield "energies over the bus by 1.35 and 0.6, not in proportion", step(here, point)
    with changed("ChipLoad", AtTheMean):
        yield "losses at each chip's own mean temperature", step(ini, point)
    yield "losses at each chip's temperature of the moment", step(ini, point)
    drive.altitude = case.drive.altitude
    yield "thinner air at 200 m", step(ini, point)
    yield "highest junction, not the mean", step(ini, point, np.max)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--hz", type=float, nargs="*")
    args = parser.parse_args()
    case = example()
    frequencies = args.hz or case.drive.frequencies
    for what, how, values, unit, decimals in paper_rows([Paper(case, f) for f in frequencies]):
        print("%-32s %-48s %s %s" % (what, how, " ".join("%10.*f" % (decimals, v) for v in values), unit))
    for f in frequencies:
        print("\n%g Hz %51s %9s %9s %9s %9s %9s" % (f, "IGBT W", "diode W", "sink", "case", "IGBT", "diode"))
        for what, values in ladder(case, f):
            print("%-54s %s" % (what, " ".join("%9.2f" % v for v in values)))


if __name__ == "__main__":
    main()

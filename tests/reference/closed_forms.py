# SPDX-License-Identifier: GPL-3.0-or-later
"""The second calculation itself against closed forms: a linear device without temperature dependence.

    closed_forms.py

v = V0 + r i and E = e i make every mean an elementary integral.  The forms below are derived from
i = I cos(x) over the half wave |x| < pi/2, theta = x + phi: mean of cos is 1/pi, of cos^2 1/4, of
cos(x) cos(x + phi) cos(phi)/4, of cos^2(x) cos(x + phi) 2 cos(phi)/(3 pi), of cos^2(x) cos 3(x + phi)
2 cos(3 phi)/(15 pi).
The clamped factor 1 - cos(phi)/2, |phi| <= 60 degrees, is the half wave's mean of cos less its part
in the held span.  A half-sine loss through Foster terms is checked by the sum of its Fourier series
(mean 1/pi, first harmonic 1/2, even ones 2/(pi (1 - n^2)) with alternating sign).  Exits 1 on a miss.
"""
import math
import sys

import numpy as np

import reference
from reference import Case, Chip, Drive, Point, foster, solve

RELATIVE = 1e-6   # of the grid: (2 pi / 36000)^2 at the kinks is 3e-8
V0, R, E_ON, E_OFF, E_RR = 0.9, 0.010, 60e-6, 50e-6, 40e-6   # V, ohm, J/A


def text(numbers, unit):
    return " ".join("%.12g" % x for x in numbers) + " " + unit


def case(scheme, m, power_factor):
    """A drive of 100 A peak with modulation index m on 600 V."""
    current, f_sw = 100 / math.sqrt(2), 5000
    drive = {"drive": {"line_voltage": "400 V", "dc_bus_voltage": "600 V", "output_current": text([current], "A"),
                       "output_voltage": text([m * 600 * math.sqrt(3) / (2 * math.sqrt(2))], "V"),
                       "base_frequency": "50 Hz", "switching_frequency": text([f_sw], "Hz"), "modulation": scheme},
             "load": {"power_factor": text([power_factor], "").strip()},
             "cooling": {"ambient": "40 degC", "rth_sa": "0.02 K/W"}, "test": {"frequencies": "50 Hz"}}
    i = [0, 200]
    line = {"current": text(i, "A")}
    volts = text([V0 + R * x for x in i], "V")
    module = {"module": {"part": "L", "circuit": "six-pack", "tvj_op_max": "150 degC"},
              "igbt.conduction": dict(line, **{"vce_sat @ 25 degC": volts, "vce_sat @ 125 degC": volts}),
              "diode.conduction": dict(line, **{"vf @ 25 degC": volts, "vf @ 125 degC": volts}),
              "igbt.switching": dict(line, test_voltage="600 V"), "diode.recovery": dict(line, test_voltage="600 V"),
              "igbt.thermal": {"rth_jc": "0.1 K/W"}, "diode.thermal": {"rth_jc": "0.1 K/W"},
              "mounting": {"rth_cs": "0.01 K/W"}}
    for section, key, e in (("igbt.switching", "e_on", E_ON), ("igbt.switching", "e_off", E_OFF),
                            ("diode.recovery", "e_rr", E_RR)):
        for t in (25, 125):
            module[section]["%s @ %d degC" % (key, t)] = text([e * x for x in i], "J")
    return Case(Drive(drive, None), module)


def expected(scheme, m, phi):
    """(IGBT conduction, diode conduction, IGBT switching, diode recovery) in W at 100 A, 5 kHz."""
    i, c = 100.0, math.cos(phi)
    third = m / 6 * math.cos(3 * phi) * 2 / (15 * math.pi) / 2 if scheme == "third-harmonic" else 0.0
    # Half of M times the harmonic's mean over the cycle; the fundamental's parts are c/8 and c/(3 pi).
    square = m * c / (3 * math.pi) - third
    first = m * c / 8
    switching = 5000 * i / math.pi * ((1 - c / 2) if scheme == "clamped" else 1)
    return (V0 * i * (1 / (2 * math.pi) + first) + R * i * i * (1 / 8 + square),
            V0 * i * (1 / (2 * math.pi) - first) + R * i * i * (1 / 8 - square),
            switching * (E_ON + E_OFF), switching * E_RR)


def losses():
    """(name, computed, closed form) of each mean loss, W"""
    for scheme, m, pf in (("sine", 0.8, 0.85), ("sine", 1.0, -0.6), ("third-harmonic", 1.1, 0.7),
                          ("third-harmonic", 0.5, -0.9), ("clamped", 0.9, 0.8), ("clamped", 1.1, 0.55)):
        c = case(scheme, m, pf)
        point = Point(c.drive, 50.0)
        got = solve(c, point)
        igbt, diode = ({k: float(np.mean(v)) for k, v in x.items()} for x in got["losses"])
        want = expected(scheme, m, point.phi)
        label = "%s m=%g pf=%g " % (scheme, m, pf)
        if scheme != "clamped":
            yield label + "igbt conduction", igbt["conduction"], want[0]
            yield label + "diode conduction", diode["conduction"], want[1]
        yield label + "igbt switching", igbt["e_on"] + igbt["e_off"], want[2]
        yield label + "diode recovery", diode["e_rr"], want[3]


def half_sine():
    """100 W half sine through four Foster terms against its Fourier series at the pulse's middle and peak."""
    chip = Chip.__new__(Chip)
    chip.r, chip.tau = np.array([0.02, 0.085, 0.155, 0.07]), np.array([0.0012, 0.014, 0.055, 0.19])
    n = reference.GRID
    theta = (np.arange(n) + 0.5) * 2 * math.pi / n
    p = np.maximum(100 * np.cos(theta), 0.0)
    order = np.arange(2, 400000, 2)
    weight = np.r_[1 / math.pi, 0.5, 2 / math.pi * (-1.0) ** (order // 2 + 1) / (order ** 2 - 1)]
    order = np.r_[0, 1, order]
    for f in (1.0, 10.0, 60.0):
        got = np.fft.irfft(np.fft.rfft(p) * foster(chip, f, n), n)
        z = sum(r / (1 + 2j * math.pi * f * order * tau) for r, tau in zip(chip.r, chip.tau))
        k = int(np.argmax(got))
        for j in (0, k, n // 2):
            series = 100 * float(np.sum(np.real(weight * z * np.exp(1j * order * theta[j]))))
            yield "half sine %g Hz at %.1f degrees, K" % (f, math.degrees(theta[j])), float(got[j]), series


def rows():
    yield from losses()
    yield from half_sine()


def missed(got, want):
    return abs(got - want) > RELATIVE * abs(want)


def main():
    misses = 0
    print("%-46s %14s %14s" % ("", "computed", "closed form"))
    for name, got, want in rows():
        misses += missed(got, want)
        print("%-46s %14.8f %14.8f%s" % (name, got, want, "  MISS" if missed(got, want) else ""))
    sys.exit(1 if misses else 0)


if __name__ == "__main__":
    main()

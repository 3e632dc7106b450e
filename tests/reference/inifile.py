# SPDX-License-Identifier: GPL-3.0-or-later
"""A lenient reader of drive and module files, written apart from the program's own.

It trusts its files: no bounds, no spelling help.  Values come out in SI, absolute temperatures in
degC, because the reference computes in degC throughout.
"""
import re

# unit -> factor to SI.  Temperatures stand apart because they have an offset.
FACTOR = {
    "": 1.0, "%": 0.01,
    "A": 1.0, "mA": 1e-3, "kA": 1e3,
    "V": 1.0, "mV": 1e-3, "kV": 1e3,
    "W": 1.0, "mW": 1e-3, "kW": 1e3, "MW": 1e6,
    "Hz": 1.0, "hz": 1.0, "kHz": 1e3, "khz": 1e3, "MHz": 1e6,
    "s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9, "min": 60.0, "h": 3600.0,
    "d": 86400.0, "wk": 604800.0,
    "ohm": 1.0, "Ohm": 1.0, "mohm": 1e-3, "mOhm": 1e-3, "uohm": 1e-6, "kohm": 1e3,
    "H": 1.0, "mH": 1e-3, "uH": 1e-6, "nH": 1e-9,
    "F": 1.0, "mF": 1e-3, "uF": 1e-6, "nF": 1e-9,
    "nC": 1e-9, "uC": 1e-6,
    "J": 1.0, "mJ": 1e-3, "uJ": 1e-6,
    "K/W": 1.0, "degC/W": 1.0, "K/kW": 1e-3, "mK/W": 1e-3,
    "W/(m.K)": 1.0, "W/mK": 1.0, "W/m/K": 1.0,
    "m": 1.0, "cm": 1e-2, "mm": 1e-3, "um": 1e-6, "mil": 25.4e-6, "in": 25.4e-3,
    "cm2": 1e-4, "mm2": 1e-6, "m2": 1.0,
    "N.m": 1.0, "Nm": 1.0, "lbf.in": 0.112984829, "in-lb": 0.112984829,
    "Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "psi": 6894.757293,
    "J/K": 1.0, "kJ/K": 1e3,
    "1/K": 1.0, "%/K": 0.01,
    "kg/m3": 1.0, "g/cm3": 1e3,
}
NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")


def fold(unit):
    """The spellings that mean the same, folded to ASCII."""
    for a, b in (("\u00b5", "u"), ("\u03bc", "u"), ("\u03a9", "ohm"), ("\u2126", "ohm"), ("\u00b0", "deg"),
                 ("\u00b7", ".")):
        unit = unit.replace(a, b)
    return unit


def quantity(text):
    """'10 20 50 A' -> ([10, 20, 50], 'A') with SI numbers; temperatures in degC."""
    rest, numbers = text.strip(), []
    while True:
        found = NUMBER.match(rest)
        if not found or rest.startswith("1/K"):
            break
        numbers.append(float(found.group()))
        rest = rest[found.end():].lstrip()
        if rest.startswith(","):
            rest = rest[1:].lstrip()
    unit = fold(rest)
    if not numbers:
        raise ValueError("no number in %r" % text)
    if unit in ("degC", "C"):
        return numbers, "degC"
    if unit == "degF":
        return [(x - 32.0) / 1.8 for x in numbers], "degC"
    if unit == "K":
        return numbers, "K"
    if unit not in FACTOR:
        raise ValueError("unknown unit in %r" % text)
    return [x * FACTOR[unit] for x in numbers], unit


def strip_comment(line):
    """Takes off a comment: ; or # at the start or after a blank, outside quotes."""
    quoted = False
    for n, c in enumerate(line):
        if c == '"':
            quoted = not quoted
        if c in ";#" and not quoted and (n == 0 or line[n - 1] in " \t"):
            return line[:n]
    return line


def read(path):
    """-> {section: {key: text}}"""
    out, section = {}, None
    with open(path, encoding="utf-8-sig") as f:
        for line in f:
            line = strip_comment(line.rstrip("\r\n")).strip()
            if not line:
                continue
            if line.startswith("["):
                section = out.setdefault(line[1:line.index("]")].strip(), {})
                continue
            key, value = line.split("=", 1)
            section[" ".join(key.split())] = value.strip().strip('"')
    return out


class Section:
    """One section with typed getters; a missing section is an empty one."""

    def __init__(self, ini, name):
        self.d = ini.get(name, {})

    def has(self, key):
        return key in self.d

    def word(self, key, default=""):
        return self.d.get(key, default)

    def value(self, key, default=None):
        """One SI number (a temperature in degC), or the default."""
        if key not in self.d:
            return default
        return quantity(self.d[key])[0][0]

    def temperature(self, key, default=None):
        """An absolute temperature in degC; K is absolute here."""
        if key not in self.d:
            return default
        return self._celsius(self.d[key])

    @staticmethod
    def _celsius(text):
        numbers, unit = quantity(text)
        return numbers[0] - 273.15 if unit == "K" else numbers[0]

    def list(self, key):
        return quantity(self.d[key])[0] if key in self.d else []

    def rows(self, key, celsius=True):
        """{at: [SI numbers]} of every 'key @ at' row, sorted by at."""
        found = {}
        for name, text in self.d.items():
            head, at_sign, at = name.partition("@")
            if at_sign and head.strip() == key:
                place = self._celsius(at) if celsius else quantity(at)[0][0]
                found[place] = quantity(text)[0]
        return dict(sorted(found.items()))

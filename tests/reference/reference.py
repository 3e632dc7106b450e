# SPDX-License-Identifier: GPL-3.0-or-later
"""Second, independent calculation of one drive with one module.

    reference.py DRIVE MODULE [--joint FILE] [--grid N]

Losses on a dense uniform grid over the whole output cycle (nodes at interval midpoints), the
junction's answer to them in the frequency domain (each harmonic of the loss through the Foster
network at that harmonic), losses at the instantaneous temperature, plain fixed-point iteration
until the error is below 1e-9 K.  Prints JSON with the keys of `check --format json`.  Inside: SI,
temperatures in degC.
"""
import argparse
import json
import math
import os
import sys

import numpy as np

from inifile import Section, read

GRID = 36000           # intervals of a cycle; a multiple of 12 puts the clamped scheme's edges on interval ends
T_RUNAWAY = 400.0      # degC  no equilibrium beyond
TOLERANCE = 1e-9       # K     error left by the iteration
MAX_ITERATIONS = 20000
K_AIR = 0.026          # W/(m.K)
HERE = os.path.dirname(os.path.abspath(__file__))
COMPOUNDS = os.path.join(HERE, "..", "..", "tables", "compounds.ini")


class NoEquilibrium(Exception):
    """A junction passes 400 degC."""


# ------------------------------------------------------------------------------------- curves

class Steffen:
    """Steffen's monotone cubic (M. Steffen, Astron. Astrophys. 239, 443, 1990) from its definition:
    at an inner point the slope of the parabola through three points, limited to twice the smaller of
    the two secants, zero where they differ in sign; end slopes are the end secants.  Outside: the end
    secants go on."""

    def __init__(self, x, y):
        self.x, self.y = np.asarray(x, float), np.asarray(y, float)
        h, s = np.diff(self.x), np.diff(self.y) / np.diff(self.x)
        slope = np.empty(len(self.x))
        slope[0], slope[-1] = s[0], s[-1]
        for i in range(1, len(self.x) - 1):
            p = (s[i - 1] * h[i] + s[i] * h[i - 1]) / (h[i - 1] + h[i])
            if s[i - 1] * s[i] <= 0:
                slope[i] = 0.0
            else:
                slope[i] = math.copysign(min(abs(p), 2 * abs(s[i - 1]), 2 * abs(s[i])), p)
        self.h, self.s, self.slope = h, s, slope

    def __call__(self, at):
        at = np.asarray(at, float)
        k = np.clip(np.searchsorted(self.x, at, side="right") - 1, 0, len(self.h) - 1)
        u = (at - self.x[k]) / self.h[k]
        # Hermite basis on the unit interval
        inside = (self.y[k] * (1 + 2 * u) * (1 - u) ** 2 + self.slope[k] * self.h[k] * u * (1 - u) ** 2
                  + self.y[k + 1] * u * u * (3 - 2 * u) - self.slope[k + 1] * self.h[k] * u * u * (1 - u))
        below = self.y[0] + self.s[0] * (at - self.x[0])
        beyond = self.y[-1] + self.s[-1] * (at - self.x[-1])
        return np.where(at < self.x[0], below, np.where(at > self.x[-1], beyond, inside))


class Voltage:
    """On-state voltage over current, one curve a table temperature."""

    def __init__(self, current, rows, lead):
        self.t = np.array(list(rows))
        self.curves = [Steffen(current, np.asarray(v) - lead * np.asarray(current)) for v in rows.values()]

    def tables(self, i):
        return np.array([np.maximum(c(i), 0.0) for c in self.curves])


class Energy:
    """Switching energy over current, one curve a table temperature, or a single point."""

    def __init__(self, current, rows, exponent, coefficient):
        self.t, self.coefficient = np.array(list(rows)), coefficient
        self.single = len(current) == 1
        self.current, self.exponent = np.asarray(current, float), exponent
        self.rows = [np.asarray(v, float) for v in rows.values()]
        if not self.single:
            x = self.current if self.current[0] == 0 else np.r_[0.0, self.current]
            self.curves = [Steffen(x, v if self.current[0] == 0 else np.r_[0.0, v]) for v in self.rows]

    def tables(self, i):
        if self.single:
            return np.array([v[0] * (i / self.current[0]) ** self.exponent for v in self.rows])
        return np.array([c(i) for c in self.curves])


def over_temperature(t_table, tables, t, coefficient=None):
    """Linear between the two nearest tables and beyond the outermost; one table: 1 + k (T - T_table)."""
    if len(t_table) == 1:
        return tables[0] if coefficient is None else tables[0] * (1 + coefficient * (t - t_table[0]))
    k = np.clip(np.searchsorted(t_table, t) - 1, 0, len(t_table) - 2)
    w = (t - t_table[k]) / (t_table[k + 1] - t_table[k])
    column = np.arange(tables.shape[1])
    return (1 - w) * tables[k, column] + w * tables[k + 1, column]


# -------------------------------------------------------------------------------------- parts

class Chip:
    """One kind of chip: conduction, energies already scaled to bus and gate resistors, Foster terms."""

    def __init__(self, ini, kind, drive, lead):
        igbt = kind == "igbt"
        cond = Section(ini, kind + ".conduction")
        sw = Section(ini, "igbt.switching" if igbt else "diode.recovery")
        th = Section(ini, kind + ".thermal")
        self.voltage = Voltage(cond.list("current"), cond.rows("vce_sat" if igbt else "vf"), lead)
        k_i = sw.value("current_exponent", 1.0 if igbt else 0.6)
        k_t = sw.value("temperature_coefficient", 0.003 if igbt else 0.006)
        k_v = sw.value("voltage_exponent", 1.35 if igbt else 0.6)
        self.bus_factor = (drive.v_dc / sw.value("test_voltage")) ** k_v
        self.energies = {}
        for name in (("e_on", "e_off") if igbt else ("e_rr",)):
            energy = Energy(sw.list("current"), sw.rows(name), k_i, k_t)
            self.energies[name] = (energy, self.bus_factor * gate_factor(name, ini, sw, drive))
        self.rth = th.value("rth_jc")
        self.r = np.array(th.list("foster_r") or [self.rth])
        self.tau = np.array(th.list("foster_tau") or [th.value("tau_jc", 0.05 if igbt else 0.04)])
        self.rth_cs = th.value("rth_cs")
        self.reference = reference_layer(th)


def gate_factor(name, ini, sw, drive):
    """E_rg(R used) / E_rg(R of the test), 1 where it cannot be told."""
    igbt = Section(ini, "igbt.switching")
    test = igbt.value("test_rg_off" if name == "e_off" else "test_rg_on", igbt.value("test_rg"))
    used = drive.rg_off if name == "e_off" else drive.rg_on
    if used is None or test is None or not sw.has(name + "_rg"):
        return 1.0
    curve = Steffen(sw.list("rg"), sw.list(name + "_rg"))
    return float(curve(used) / curve(test))


def reference_layer(section):
    """k_ref / t_ref of a printed R_th(c-s), or None."""
    k, t = section.value("rth_cs_conductivity"), section.value("rth_cs_thickness")
    return k / t if k and t else None


class Drive:
    def __init__(self, ini, joint_ini):
        s = Section(ini, "drive")
        self.name = s.word("name")
        self.line_voltage = s.value("line_voltage")
        phases = s.value("line_phases", 3)
        self.current, self.v_out = s.value("output_current"), s.value("output_voltage")
        self.base, self.f_sw = s.value("base_frequency"), s.value("switching_frequency")
        self.scheme = s.word("modulation", "space-vector")
        line = self.line_voltage * (3 * math.sqrt(2) / math.pi if phases == 3 else math.sqrt(2))
        self.v_dc = s.value("dc_bus_voltage", line)
        self.parallel = int(s.value("parallel", 1))
        self.overload_current, self.overload_time = s.value("overload_current"), s.value("overload_time")
        s = Section(ini, "load")
        rows = {f: v[0] for f, v in s.rows("power_factor", celsius=False).items()}
        if s.has("power_factor"):
            rows.setdefault(self.base, s.value("power_factor"))
        self.pf_f, self.pf = zip(*sorted(rows.items()))
        self.fan = s.word("torque", "constant") == "fan"
        self.no_load = s.value("no_load_current", 0.0)
        s = Section(ini, "cooling")
        self.ambient = s.temperature("ambient")
        self.rth_sa_typed = s.value("rth_sa")
        self.sink_capacity = s.value("sink_capacity")
        self.other, self.same_case = s.value("other_heat", 0.0), s.value("same_case_heat", 0.0)
        self.altitude, self.air = s.value("altitude", 0.0), s.word("air", "forced")
        s = Section(ini, "gate")
        self.rg_on, self.rg_off = s.value("rg_on"), s.value("rg_off")
        s = Section(joint_ini if joint_ini is not None else ini, "joint")
        self.k = self.t = None
        if s.has("compound"):
            row = Section(read(COMPOUNDS), s.word("compound"))
            self.k, self.t = row.value("conductivity"), row.value("thickness")
        self.k, self.t = s.value("conductivity", self.k), s.value("thickness", self.t)
        self.coverage = s.value("coverage", 1.0)
        s = Section(ini, "test")
        self.frequencies = s.list("frequencies") or [30.0, 60.0]
        self.load = s.value("load", 1.0)
        self.duration = s.value("duration", 3600.0)
        self.required = s.value("required_margin", 15.0)

    def rth_sa(self):
        return self.rth_sa_typed * thin_air(self.altitude, self.air)

    def layer(self):
        """Conductance per area of the layer, W/(m2.K)."""
        return (self.coverage * self.k + (1 - self.coverage) * K_AIR) / self.t


def thin_air(h, air):
    """(rho_0 / rho(h))^n of the International Standard Atmosphere's troposphere (ISO 2533)."""
    t_0, lapse, g, r = 288.15, 0.0065, 9.80665, 287.05287
    ratio = (1 - lapse * h / t_0) ** (g / (r * lapse) - 1)
    return ratio ** -(0.5 if air == "natural" else 0.8)


class Module:
    def __init__(self, ini, drive):
        s = Section(ini, "module")
        self.part = s.word("part")
        self.switches = {"single": 1, "half-bridge": 2, "six-pack": 6}[s.word("circuit")]
        self.tvj_op_max = s.temperature("tvj_op_max")
        self.lead = s.value("lead_resistance", 0.0)
        taken_off = self.lead if s.word("curves", "chip") == "terminal" else 0.0
        self.igbt = Chip(ini, "igbt", drive, taken_off)
        self.diode = Chip(ini, "diode", drive, taken_off)
        s = Section(ini, "mounting")
        self.width, self.length = s.value("base_width"), s.value("base_length")
        self.rth_cs, self.reference = s.value("rth_cs"), reference_layer(s)
        self.count = 6 * drive.parallel // self.switches
        if 6 * drive.parallel % self.switches:
            raise ValueError("modules do not come out whole")


class Joint:
    """R per module, or per switch for each kind of chip."""

    def __init__(self, drive, module):
        self.module = self.igbt = self.diode = None
        self.layer_used = True
        if module.rth_cs is not None:
            self.module = self.printed(module.rth_cs, module.reference, drive)
        elif module.igbt.rth_cs is not None and module.diode.rth_cs is not None:
            self.igbt, self.diode = (self.printed(c.rth_cs, c.reference or module.reference, drive)
                                     for c in (module.igbt, module.diode))
        else:
            self.module = 1 / (drive.layer() * module.width * module.length)

    def printed(self, r, reference, drive):
        if reference is None:
            self.layer_used = False
            return r
        return r * reference / drive.layer()


class Case:
    """One drive with one module; build anew after changing anything in the drive."""

    def __init__(self, drive, module_ini, grid=GRID):
        self.drive, self.module_ini, self.grid = drive, module_ini, grid
        self.rebuild()

    def rebuild(self):
        self.module = Module(self.module_ini, self.drive)
        self.joint = Joint(self.drive, self.module)

    def case_temperatures(self, sink, p_igbt, p_diode, p_module):
        """Of the case under IGBT and diode."""
        if self.joint.module is not None:
            return (sink + self.joint.module * p_module,) * 2
        return sink + self.joint.igbt * p_igbt, sink + self.joint.diode * p_diode


# ---------------------------------------------------------------------------- operating point

class Point:
    """What the drive asks of a module at one output frequency."""

    def __init__(self, drive, f, drive_current=None):
        self.f = f
        v_1 = drive.v_out * min(f / drive.base, 1.0)
        self.m_requested = 2 * math.sqrt(2) * v_1 / (math.sqrt(3) * drive.v_dc)
        self.m = min(self.m_requested, 1.0 if drive.scheme == "sine" else 2 / math.sqrt(3))
        if drive_current is None:
            drive_current = drive.load * drive.current
            if drive.fan:
                drive_current = max(drive_current * min(f / drive.base, 1.0) ** 2, drive.no_load)
        self.drive_current = drive_current
        self.current = drive_current / drive.parallel
        self.pf = float(np.interp(f, drive.pf_f, drive.pf))
        self.phi = math.acos(self.pf)
        self.scheme = drive.scheme


def leg(scheme, m, theta):
    """Duty of the upper switch and whether the leg switches, over the cycle."""
    u = np.array([m * np.cos(theta - 2 * math.pi * k / 3) for k in range(3)])
    switching = np.ones_like(theta)
    if scheme == "sine":
        reference = u[0]
    elif scheme == "third-harmonic":
        reference = u[0] - m / 6 * np.cos(3 * theta)
    elif scheme == "space-vector":
        reference = u[0] - 0.5 * (u.max(axis=0) + u.min(axis=0))
    else:
        k = np.argmax(np.abs(u), axis=0)
        u_k = u[k, np.arange(len(theta))]
        reference = u[0] + np.sign(u_k) - u_k
        switching = np.where(k == 0, 0.0, 1.0)
    return 0.5 * (1 + reference), switching


class ChipLoad:
    """The losses of one kind of chip over the cycle, at any junction temperature."""

    def __init__(self, chip, current, duty, switching, f_sw):
        self.on = current > 0
        i, self.n = current[self.on], len(current)
        self.i_duty = duty[self.on] * i
        self.v_t, self.v = chip.voltage.t, chip.voltage.tables(i)
        self.energies = {name: (e.t, factor * f_sw * switching[self.on] * e.tables(i), e.coefficient)
                         for name, (e, factor) in chip.energies.items()}
        self.rms2 = float(np.sum(self.i_duty * i)) / self.n

    def losses(self, t):
        """{mechanism: W over the whole cycle} at junction temperature t (array over the cycle)."""
        t = t[self.on]
        out = {"conduction": self.i_duty * over_temperature(self.v_t, self.v, t)}
        for name, (e_t, e, k) in self.energies.items():
            out[name] = over_temperature(e_t, e, t, k)
        return {name: self.whole(p) for name, p in out.items()}

    def whole(self, part):
        full = np.zeros(self.n)
        full[self.on] = part
        return full


def foster(chip, f, n):
    """The Foster network at the harmonics 0 .. n/2 of f, for losses that are constant over each of the n
    intervals and a temperature told at their middles: the network's exact answer to such steps, so that
    a jump in the loss (clamped scheme, slow output) does not ring."""
    step = np.exp(-2j * math.pi * np.arange(n // 2 + 1) / n)   # one interval's delay at each harmonic
    out = 0.0
    for r, tau in zip(chip.r, chip.tau):
        half = math.exp(-1 / (2 * f * n * tau))
        whole = half * half
        out = out + r * (-math.expm1(-1 / (2 * f * n * tau)) - half * step * math.expm1(-1 / (f * n * tau)) /
                         (1 - whole * step))
    # At the mean 1 - whole cancels: it is the sum of r exactly.
    out[0] = np.sum(chip.r)
    return out


def solve(case, point, sink=None):
    """The periodic steady state.  sink: a held sink temperature, or None for its own equilibrium."""
    d, mod, n = case.drive, case.module, case.grid
    theta = (np.arange(n) + 0.5) * 2 * math.pi / n
    duty, switching = leg(point.scheme, point.m, theta)
    i = math.sqrt(2) * point.current * np.cos(theta - point.phi)
    chips = (mod.igbt, mod.diode)
    loads = (ChipLoad(mod.igbt, i, duty, switching, d.f_sw), ChipLoad(mod.diode, -i, duty, switching, d.f_sw))
    impedance = [foster(c, point.f, n) for c in chips]
    lead = mod.lead * (loads[0].rms2 + loads[1].rms2)
    out = {}

    def step(t):
        losses = [load.losses(t_chip) for load, t_chip in zip(loads, t)]
        p = [sum(x.values()) for x in losses]
        mean = [float(np.mean(x)) for x in p]
        p_module = mod.switches * (mean[0] + mean[1] + lead) + d.same_case
        heat = mod.count * p_module + d.other
        t_sink = d.ambient + d.rth_sa() * heat if sink is None else sink
        t_case = case.case_temperatures(t_sink, mean[0], mean[1], p_module)
        rise = [np.fft.irfft(np.fft.rfft(x) * z, n) for x, z in zip(p, impedance)]
        out.update(losses=losses, total=mean, lead=lead, module=p_module, heat=heat, sink=t_sink, case=t_case)
        return np.array([c + r for c, r in zip(t_case, rise)])

    start = np.full((2, n), d.ambient if sink is None else sink)
    out["tvj"] = fixed_point(step, start)
    return out


def fixed_point(step, t):
    """t = step(t) until the error (not the step) is below TOLERANCE.  A jump to the limit of the
    slowest mode is tried now and then; it changes the way there, not the place."""
    previous = ratio_before = None
    for n in range(MAX_ITERATIONS):
        new = step(t)
        if not np.all(np.isfinite(new)) or np.max(new) > T_RUNAWAY:
            raise NoEquilibrium
        change = new - t
        size = float(np.max(np.abs(change)))
        if previous is not None:
            ratio = float(np.vdot(change, previous) / max(np.vdot(previous, previous), 1e-300))
            if size < 1e-12 or (abs(ratio) < 1 and size * max(abs(ratio), 0.1) / (1 - abs(ratio)) < TOLERANCE):
                return new
            settled = ratio_before is not None and abs(ratio - ratio_before) < 1e-3
            if settled and 0.3 < ratio < 0.999 and size < 1.0:
                jump = new + change * ratio / (1 - ratio)
                if np.max(jump) < T_RUNAWAY:
                    t, previous, ratio_before = jump, None, None
                    continue
            ratio_before = ratio
        t, previous = new, change
    raise RuntimeError("the iteration did not settle")


# ------------------------------------------------------------------------------ zero-speed hold

def chip_at(chip, i, t, f_sw):
    """Loss of one chip that carries i half of each switching period."""
    at = np.array([i])
    t = np.array([t])
    p = 0.5 * i * over_temperature(chip.voltage.t, chip.voltage.tables(at), t)
    for e, factor in chip.energies.values():
        p = p + f_sw * factor * over_temperature(e.t, e.tables(at), t, e.coefficient)
    return float(p[0])


def hold(case, held=None):
    """Hot leg at the current's peak, the other two at half of it; temperatures of all settled, over the sink's own
    equilibrium or a held sink."""
    d, mod = case.drive, case.module
    peak = math.sqrt(2) * d.load * d.current / d.parallel
    current, legs = (peak, peak / 2), (1, 2)
    lead = [mod.lead * i * i for i in current]
    r_sum = (float(np.sum(mod.igbt.r)), float(np.sum(mod.diode.r)))
    out = {}

    def step(t):
        p = [[chip_at(c, i, t[k][j], d.f_sw) for j, c in enumerate((mod.igbt, mod.diode))]
             for k, i in enumerate(current)]
        leg_heat = [p[k][0] + p[k][1] + lead[k] for k in range(2)]
        three = sum(n * h for n, h in zip(legs, leg_heat))
        heat = d.parallel * three + mod.count * d.same_case + d.other
        sink = d.ambient + d.rth_sa() * heat if held is None else held
        new = np.zeros((2, 2))
        for k in range(2):
            for j in range(2):
                if case.joint.module is None:
                    r = (case.joint.igbt, case.joint.diode)[j]
                    t_case = sink + r * p[k][j]
                else:
                    own = {1: p[k][j] + lead[k] / 2, 2: leg_heat[k], 6: three}[mod.switches]
                    t_case = sink + case.joint.module * (own + d.same_case)
                new[k][j] = t_case + r_sum[j] * p[k][j]
        out.update(sink=sink, power=p[0])
        return new

    out["tvj"] = fixed_point(step, np.full((2, 2), d.ambient if held is None else held))[0]
    return out


# --------------------------------------------------------------------------------------- result

def chip_result(solved, k, limit, names):
    t = solved["tvj"][k]
    mean = {name: float(np.mean(p)) for name, p in solved["losses"][k].items()}
    out = {label: mean[name] for name, label in names}
    out.update(total_w=solved["total"][k], tvj_mean_c=float(np.mean(t)), tvj_min_c=float(np.min(t)),
               tvj_max_c=float(np.max(t)), margin_k=limit - float(np.max(t)))
    return out


IGBT_NAMES = (("conduction", "conduction_w"), ("e_on", "turn_on_w"), ("e_off", "turn_off_w"))
DIODE_NAMES = (("conduction", "conduction_w"), ("e_rr", "recovery_w"))
TEMPERATURES = ("total_w", "tvj_mean_c", "tvj_min_c", "tvj_max_c", "margin_k")
POINT_NAMES = ("lead_w", "module_w", "sink_heat_w", "case_igbt_c", "case_diode_c", "sink_c", "margin_k")


def runaway_point(head):
    empty = [{name: None for name in [label for _, label in names] + list(TEMPERATURES)}
             for names in (IGBT_NAMES, DIODE_NAMES)]
    return dict(head, runaway=True, igbt=empty[0], diode=empty[1], **{name: None for name in POINT_NAMES})


def cycle_result(case, s):
    """What solve() found, with the keys of a point."""
    limit = case.module.tvj_op_max
    igbt, diode = chip_result(s, 0, limit, IGBT_NAMES), chip_result(s, 1, limit, DIODE_NAMES)
    return dict(igbt=igbt, diode=diode, lead_w=s["lead"], module_w=s["module"], sink_heat_w=s["heat"],
                case_igbt_c=s["case"][0], case_diode_c=s["case"][1], sink_c=s["sink"],
                margin_k=min(igbt["margin_k"], diode["margin_k"]))


def point_result(case, f, hold_result):
    p = Point(case.drive, f)
    head = dict(output_hz=f, current_a=p.current, drive_current_a=p.drive_current, modulation_index=p.m,
                power_factor=p.pf, runaway=False)
    slow = f < 1.0
    try:
        if slow and hold_result is None:
            raise NoEquilibrium
        s = solve(case, p)
    except NoEquilibrium:
        return runaway_point(head)
    out = dict(head, **cycle_result(case, s))
    if slow:
        for k, name in enumerate(("igbt", "diode")):
            worse = max(out[name]["tvj_max_c"], float(hold_result["tvj"][k]))
            out[name].update(tvj_max_c=worse, margin_k=case.module.tvj_op_max - worse)
    out["margin_k"] = min(out["igbt"]["margin_k"], out["diode"]["margin_k"])
    return out


def check(case):
    d, mod = case.drive, case.module
    try:
        h = hold(case)
    except NoEquilibrium:
        h = None
    points = [point_result(case, f, h) for f in d.frequencies]
    margins = [p["margin_k"] for p in points]
    out = {"drive": {"name": d.name, "dc_bus_v": d.v_dc}, "module": {"part": mod.part, "count": mod.count}}
    out["joint"] = {"rth_k_per_w": case.joint.module,
                    "thickness_um": None if d.t is None else d.t * 1e6,
                    "drop_k": [{"output_hz": p["output_hz"],
                                "value": None if p["runaway"] else
                                max(p["case_igbt_c"], p["case_diode_c"]) - p["sink_c"]} for p in points]}
    out["points"] = points
    out["margin_k"] = None if None in margins else min(margins)
    if h is None:
        out["hold"] = {"igbt_tvj_c": None, "diode_tvj_c": None, "margin_k": None}
    else:
        out["hold"] = {"igbt_tvj_c": float(h["tvj"][0]), "diode_tvj_c": float(h["tvj"][1]),
                       "margin_k": mod.tvj_op_max - float(np.max(h["tvj"]))}
    return out


def load_case(drive_file, module_file, joint_file=None, grid=GRID):
    drive = Drive(read(drive_file), read(joint_file) if joint_file else None)
    return Case(drive, read(module_file), grid)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("drive")
    parser.add_argument("module")
    parser.add_argument("--joint")
    parser.add_argument("--grid", type=int, default=GRID)
    args = parser.parse_args()
    result = check(load_case(args.drive, args.module, args.joint, args.grid))
    json.dump(result, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()

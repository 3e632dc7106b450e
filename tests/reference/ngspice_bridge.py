# SPDX-License-Identifier: GPL-3.0-or-later
"""A line rectifier with its bus capacitor and a constant-power load, marched in time by ngspice.

    ngspice_bridge.py LINE_VOLTAGE LINE_FREQUENCY PULSES CAPACITANCE POWER

PULSES 6: three phases on six diodes; 2: one line-to-line voltage on four.  Prints mean, lowest and
highest bus voltage of the last line cycle.
"""
import math
import subprocess
import sys
import tempfile

STEPS = 8000       # a line cycle
SETTLING = 6       # line cycles before the one that is read
DIODE = ".model ideal d(is=1e-6 n=0.02 rs=1e-5)"   # some millivolts at the current of a drive


def netlist(v_line, f_line, pulses, c, p):
    peak = math.sqrt(2) * v_line
    lines = ["* rectifier", DIODE]
    if pulses == 6:
        for k in range(3):
            lines.append("vs%d p%d 0 sin(0 %.12g %g 0 0 %g)" % (k, k, peak / math.sqrt(3), f_line, -120 * k))
        legs = range(3)
    else:
        lines += ["vs0 p0 0 sin(0 %.12g %g 0 0 90)" % (peak / 2, f_line), "vs1 p1 0 sin(0 %.12g %g 0 0 270)" % (peak / 2, f_line)]
        legs = range(2)
    for k in legs:
        lines += ["du%d p%d plus ideal" % (k, k), "dl%d minus p%d ideal" % (k, k)]
    lines += ["c1 plus minus %.12g ic=%.12g" % (c, peak), "rg minus 0 1e7",
              "bl plus minus i = %.12g/max(V(plus,minus),1)" % p]
    step, end = 1 / f_line / STEPS, (SETTLING + 1) / f_line
    lines += [".control", "set numdgt=12", "tran %.12g %.12g 0 %.12g uic" % (step, end, step),
              "let bus = v(plus) - v(minus)"]
    window = "from=%.12g to=%.12g" % (SETTLING / f_line, end)
    for kind in ("avg", "min", "max"):
        lines.append("meas tran v%s %s bus %s" % (kind, kind, window))
    lines += ["print vavg vmin vmax", ".endc", ".end"]
    return "\n".join(lines) + "\n"


def main():
    v, f, pulses, c, p = (float(x) for x in sys.argv[1:])
    with tempfile.NamedTemporaryFile("w", suffix=".cir") as file:
        file.write(netlist(v, f, int(pulses), c, p))
        file.flush()
        run = subprocess.run(["ngspice", "-b", file.name], capture_output=True, text=True, check=False)
    found = {}
    for line in run.stdout.splitlines():
        name, _, rest = line.partition("=")
        if name.strip() in ("vavg", "vmin", "vmax") and rest.split():
            found[name.strip()] = float(rest.split()[0])
    if len(found) < 3:
        sys.exit("ngspice said:\n" + run.stdout + run.stderr)
    print(found["vavg"], found["vmin"], found["vmax"])


main()

# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs of the program under test, and its results as Python values."""
import json
import os
import re
import subprocess
import tempfile


def check(program, drive, module, joint=None, command="check"):
    """What `check --format json` prints, or another command."""
    command = [program, command, "--format", "json", drive, module]
    if joint:
        command += ["--joint", joint]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120)
    if done.returncode not in (0, 1):
        raise RuntimeError("exit status %d: %s" % (done.returncode, done.stderr.strip()))
    return json.loads(done.stdout)


def point(program, files, f, f_sw=None):
    """Its point at f Hz of files (drive, module, joint or None); f_sw: another switching frequency, Hz."""
    drive, module, joint = files
    with open(drive, encoding="utf-8") as file:
        text = file.read()
    text = re.sub(r"(?m)^frequencies\b.*\n", "", text)
    text = re.sub(r"(?m)^\[test\].*$", "[test]\nfrequencies = %.17g Hz" % f, text)
    if "[test]" not in text:
        text += "\n[test]\nfrequencies = %.17g Hz\n" % f
    if f_sw is not None:
        text = re.sub(r"(?m)^switching_frequency\b.*$", "switching_frequency = %.17g Hz" % f_sw, text)
    with tempfile.TemporaryDirectory() as folder:
        changed = os.path.join(folder, "drive.ini")
        with open(changed, "w", encoding="utf-8") as file:
            file.write(text)
        return check(program, changed, module, joint)["points"][0]

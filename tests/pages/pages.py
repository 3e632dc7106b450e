# SPDX-License-Identifier: GPL-3.0-or-later
"""The pages that are tested and pictured: each with the same result as JSON beside it."""

import json
import pathlib
import subprocess
from dataclasses import dataclass

SWEEP = ["--over", "ambient", "--from", "20 degC", "--to", "60 degC", "--steps", "9"]

# name: command, its files among the examples, options (a name that begins with @ is a file there)
EXAMPLES = {
    "check": ("check", ["drive.ini", "module-good.ini"], []),
    "check-complete": ("check", ["drive-complete.ini", "module-good.ini"],
                       ["--original", "@module-original.ini"]),
    "check-marginal": ("check", ["drive.ini", "module-marginal.ini"],
                       ["--original", "@module-original.ini"]),
    "check-low-frequency": ("check", ["drive.ini", "module-low-frequency.ini"],
                            ["--original", "@module-original.ini"]),
    "check-fast": ("check", ["drive-complete.ini", "module-fast.ini"],
                   ["--joint", "@joint-thick.ini"]),
    "compare": ("compare", ["drive.ini", "."], []),
    "joint": ("joint", ["drive.ini", "module-good.ini"], []),
    "sweep": ("sweep", ["drive.ini", "module-marginal.ini"], SWEEP),
    "loadrun": ("loadrun", ["drive-complete.ini", "module-good.ini"], []),
    "loadrun-log": ("loadrun", ["drive-complete.ini", "module-good.ini"],
                    ["--log", "@log-thick-layer.csv"]),
}


@dataclass
class Page:
    name: str
    command: str
    html: pathlib.Path
    data: dict  # the JSON of the same command


def run(program, arguments):
    """Standard output; the exit status may say that the answer is no."""
    done = subprocess.run([str(program), *map(str, arguments)], capture_output=True, check=False)
    if done.returncode > 1:
        raise RuntimeError(f"{arguments}: {done.stderr.decode()}")
    return done.stdout


def page_make(program, folder, name, arguments):
    html = folder / f"{name}.html"
    html.write_bytes(run(program, [*arguments, "--format", "html"]))
    return Page(name, arguments[0], html, json.loads(run(program, [*arguments, "--format", "json"])))


def arguments_of(examples, name):
    command, files, options = EXAMPLES[name]
    placed = [examples / o[1:] if o.startswith("@") else o for o in options]
    return [command, *(examples / f for f in files), *placed]


def examples_make(program, examples, folder):
    """All pages of the examples, by name."""
    folder.mkdir(parents=True, exist_ok=True)
    return {name: page_make(program, folder, name, arguments_of(examples, name))
            for name in EXAMPLES}

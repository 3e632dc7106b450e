# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds what the program writes against docs/schema/, in both directions.

    validate.py files SCHEMAS DOCUMENT FILE...       some files against one schema
    validate.py runs  SCHEMAS PROGRAM EXAMPLES TESTS whole runs: every output follows its schema, and
                                                     every key, null and word of the schemas is seen

A fault says which object of tables/swapmargin/json.def it belongs to, and what to add there.
"""

import csv
import glob
import json
import os
import re
import subprocess
import sys
import tempfile

import jsonschema


def schema(folder, name):
    with open(os.path.join(folder, name + ".json"), encoding="utf-8") as file:
        document = json.load(file)
    jsonschema.Draft202012Validator.check_schema(document)
    return document


def fault_text(error):
    """One line: where, what, and which row of json.def decides it."""
    place = "$" + "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in error.absolute_path)
    title = error.schema.get("title") if isinstance(error.schema, dict) else None
    if error.validator == "additionalProperties":
        new = sorted(set(error.instance) - set(error.schema["properties"]))
        rows = ", ".join(f'KEY("{key}", ...)' for key in new)
        return f'{place}: no row in json.def; add {rows} below OBJECT("{title}") and run make docs'
    if error.validator == "required":
        gone = sorted(set(error.schema["required"]) - set(error.instance))
        return f'{place}: {", ".join(gone)} missing; a KEY of OBJECT("{title}") in json.def'
    return f"{place}: {json.dumps(error.instance)[:80]} is not {json.dumps(error.schema)[:160]}"


def faults(document, value):
    validator = jsonschema.Draft202012Validator(document)
    found = []
    for error in validator.iter_errors(value):
        for inner in error.context or [error]:
            if error.context and inner.validator == "type" and inner.schema == {"type": "null"}:
                continue  # the other half of "an object or null"
            found.append(fault_text(inner))
    return found


def words_of(part):
    """A list of words counts as one, wherever it is used."""
    return "/".join(word for word in part["enum"] if word is not None)


class Seen:
    """Which parts of the schemas real outputs have shown."""

    def __init__(self):
        self.parts = set()

    def walk(self, document, part, value, name):
        if "$ref" in part:
            name = part["$ref"].rsplit("/", 1)[1]
            part = document["$defs"][name]
        if "anyOf" in part:
            part = part["anyOf"][1 if value is None else 0]
            return self.walk(document, part, value, name)
        if "enum" in part and value is not None:
            self.parts.add((words_of(part), "word", value))
        elif value is None:
            self.parts.add((name, "type", "null"))
        elif isinstance(value, dict):
            self.parts.add((name, "type", "object"))
            for key, inner in value.items():
                form = part["properties"][key]
                self.walk(document, form, inner, f"{form['x-of']}.{key}")
        elif isinstance(value, list):
            self.parts.add((name, "type", "array"))
            for inner in value:
                self.walk(document, part["items"], inner, name + "[]")
        else:
            self.parts.add((name, "type", "string" if isinstance(value, str) else
                            "boolean" if isinstance(value, bool) else "number"))

    def promised(self, part, name):
        """Every part that a schema has, in the same form."""
        if "$ref" in part:
            return
        for inner in part.get("anyOf", []):
            yield from self.promised(inner, name)
        for word in part.get("enum", []):
            yield (name, "type", "null") if word is None else (words_of(part), "word", word)
        types = part.get("type", [])
        for kind in [types] if isinstance(types, str) else types:
            yield (name, "type", "number" if kind == "integer" else kind)
        for key, inner in part.get("properties", {}).items():
            yield from self.promised(inner, f"{inner['x-of']}.{key}")
        if "items" in part:
            yield from self.promised(part["items"], name + "[]")


def variant(folder, name, source, changes):
    """A file with other values; None takes the key away."""
    with open(source, encoding="utf-8") as file:
        text = file.read()
    for key, value in changes.items():
        text, n = re.subn(rf"(?m)^{key} = .*$", "" if value is None else f"{key} = {value}", text)
        assert n == 1, (source, key)
    path = os.path.join(folder, name)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    return path


def drives_and_modules(examples, tests, folder):
    """The examples, the cases of the second calculation, and what neither of them shows."""
    drive, good = f"{examples}/drive.ini", f"{examples}/module-good.ini"
    pairs = [(drive, module) for module in sorted(glob.glob(f"{examples}/module-*.ini"))]
    pairs += [(f"{examples}/drive-complete.ini", good), (drive, f"{tests}/slips/module.ini")]
    for case in sorted(glob.glob(f"{tests}/reference/cases/*-drive.ini")):
        pairs.append((case, case.replace("-drive.ini", "-module.ini")))
    # nothing that the range of load currents can heat; bare metal told
    surface = "ground-aluminium-nickel-plated-copper"
    pairs.append((variant(folder, "idle.ini", drive, {
        "output_current": "1 A", "overload_current": None, "overload_time": None,
        "screw_torque": f"4 N.m\nsurface = {surface}"}), good))
    # an overload without equilibrium, while the rated load has one
    pairs.append((variant(folder, "over.ini", drive, {
        "overload_current": "400 %", "sink_capacity": None}), good))
    # no equilibrium at all; too hot even over a sink at ambient
    pairs.append((variant(folder, "hot.ini", drive, {
        "output_current": "100 A", "load": "300 %"}), good))
    variant(folder, "complete.ini", f"{examples}/drive-complete.ini", {})
    return pairs


def log_variant(folder, name, source, change):
    """A log whose rows, dictionaries by column, went through a function; a row it empties is left out."""
    with open(source, encoding="utf-8", newline="") as file:
        rows = [change(n, row) for n, row in enumerate(csv.DictReader(file))]
    rows = [row for row in rows if row]
    path = os.path.join(folder, name)
    with open(path, "w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path


def logs(examples, folder):
    """The example logs, and what none of them shows."""
    good = f"{examples}/log-good.csv"
    for path in sorted(glob.glob(f"{examples}/log-*.csv")):
        yield [path]
    yield [good, "--ntc-as-case"]

    def made(name, change):
        return [log_variant(folder, name, good, change)]

    def case(times):
        def change(n, row):
            over = float(row["case_c"]) - float(row["sink_c"])
            row["case_c"] = f"{float(row['sink_c']) + times(n) * over:.2f}"
            return row
        return change

    yield made("bus.csv", lambda n, row: {k: row[k] for k in ("time_min", "output_hz", "bus_v")})
    yield made("low.csv", case(lambda n: 0.5))                      # joint low
    yield made("rising.csv", case(lambda n: 1 + n / 60 if n > 9 else 1))   # and rising
    yield made("warm.csv", lambda n, row: n > 9 and row)            # no row without load
    yield made("half.csv", lambda n, row: n > 9 and (row if n < 70 else {   # 2 to 1 of heat
        **case(lambda n: 0.32)(n, row), **{k: "30" for k in ("iu_a", "iv_a", "iw_a")}}))
    yield made("no-bus.csv", lambda n, row: {**row, "bus_v": ""})
    yield made("gap.csv", lambda n, row: {**row, "case_c": "" if n == 20 else row["case_c"],
                                          "sink_c": "90" if n == 50 else row["sink_c"],
                                          "remark": ""})


def runs(examples, tests, folder):
    """Command lines of the program, each with its schema."""
    json_form, pairs = ["--format", "json"], drives_and_modules(examples, tests, folder)
    drive, good = pairs[0][0], f"{examples}/module-good.ini"
    original = ["--original", f"{examples}/module-original.ini"]
    for pair in pairs:
        for command in ("check", "joint", "loadrun"):
            yield command, [command, *pair, *json_form]
        with open(pair[0], encoding="utf-8") as file:
            if "\n[joint]" in file.read():  # the original's joint needs a layer
                yield "check", ["check", *pair, *original, *json_form]
    for log in logs(examples, folder):
        yield "loadrun", ["loadrun", drive, good, *json_form, "--log", *log]
    yield "check", ["check", drive, good, "--joint", f"{examples}/joint-thick.ini",
                    "--tables", f"{tests}/../tables", *json_form]
    everything = [pair[1] for pair in pairs] + [f"{tests}/bad/twice-key.ini"]
    for name, form in (("compare", "json"), ("compare-line", "jsonl")):
        for pair in [(drive, *everything), *pairs]:
            yield name, ["compare", *pair, "--format", form]
    yield "compare", ["compare", "--drives", folder, *everything, *json_form]
    for over, low, high in (("output_frequency", "1 Hz", "90 Hz"), ("load", "20 %", "600 %"),
                            ("ambient", "20 degC", "80 degC"), ("joint_thickness", "20 um", "2 mm"),
                            ("switching_frequency", "1 kHz", "200 kHz")):
        spacing = ["--spacing", "even" if over == "ambient" else "log"]
        yield "sweep", ["sweep", drive, good, "--over", over, "--from", low, "--to", high,
                        "--steps", "7", *spacing, *json_form]
    # rows too far apart to see where the margin passes
    yield "sweep", ["sweep", drive, good, "--over", "load", "--from", "20 %", "--to", "600 %",
                    "--steps", "3", *json_form]
    for pair in (pairs[1], pairs[-1]):
        for what in ("margin_k", "points[0].igbt.tvj_max_c", "limits[0].value", "hold.margin_k",
                     "checks[0].value", "checks[12].value", "joint.rth_k_per_w",
                     "overload[0].allowed_s", "drive.ambient_c"):
            yield "explain", ["explain", *pair, what, *json_form]
    yield "explain-list", ["explain", *pairs[0], *json_form]


def output(program, words):
    done = subprocess.run([program, *words], capture_output=True, text=True, check=False)
    if done.returncode > 1:
        return None, done.stderr.strip()
    lines = done.stdout.splitlines() if "jsonl" in words else [done.stdout]
    return [json.loads(line) for line in lines], ""


def check_runs(schemas, program, examples, tests):
    names = sorted(path[len(schemas) + 1:-5] for path in glob.glob(f"{schemas}/*.json"))
    documents = {name: schema(schemas, name) for name in names}
    seen, bad, count = Seen(), [], 0
    with tempfile.TemporaryDirectory() as folder:
        for name, words in runs(examples, tests, folder):
            values, problem = output(program, words)
            line = " ".join(words)
            if values is None:
                bad.append(f"{line}: {problem}")
                continue
            for value in values:
                count += 1
                found = faults(documents[name], value)
                bad += [f"{line}: {text}" for text in found]
                if not found:
                    seen.walk(documents[name], documents[name], value, name)
    promised = {part for document in documents.values()
                for name, form in document["$defs"].items() for part in seen.promised(form, name)}
    for name, what, word in sorted(promised - seen.parts, key=str):
        bad.append(f"json.def: {name}: no run shows the {what} {json.dumps(word)}")
    print("\n".join(dict.fromkeys(bad)), end="\n" if bad else "")
    print(f"{count} documents, {len(promised)} parts of the schemas", file=sys.stderr)
    return 1 if bad else 0


def check_files(schemas, name, files):
    document = schema(schemas, name)
    bad = []
    for path in files:
        with open(path, encoding="utf-8") as file:
            bad += [f"{path}: {text}" for text in faults(document, json.load(file))]
    print("\n".join(dict.fromkeys(bad)))
    return 1 if bad else 0


if __name__ == "__main__":
    if sys.argv[1] == "files":
        sys.exit(check_files(sys.argv[2], sys.argv[3], sys.argv[4:]))
    sys.exit(check_runs(*sys.argv[2:6]))

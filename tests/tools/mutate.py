# SPDX-License-Identifier: GPL-3.0-or-later
"""Breaks the engine in one place at a time and asks whether a test goes red.

    mutate.py --count 300 --seed 1 --build BUILD --compile 'cc ...' --link 'cc ...'
              --libraries '...' --objects 'a.o ...' --library lib.a
              --program-objects 'a.o ...' --program swapmargin --suites mutation_suites.txt

A mutant is one source file with one change inside a function.  Only that object is compiled anew,
and the test program linked from it and from all others.  Run are, until one test fails: the suite of
the file's name, those that the table names beside it, all others that are quick, and at the end,
for those that survived, the slow ones in the order of the table, with the program built of the
mutant too.  A run out of time is a failed one.  What does not compile, or compiles to the same code
as the original, does not count.

--again FILE tries those alone that an earlier run printed as survivors, from the same sources;
--whole begins with the slow suites; --sanitized is for a build whose sanitizers want address space.

The same seed draws the same mutants from the same sources.
"""

import argparse
import collections
import concurrent.futures
import os
import random
import re
import resource
import shlex
import signal
import subprocess
import sys
import threading
import time

FOLDERS = ("device", "load", "thermal", "solve", "assess")
MEMORY = 4 << 30  # bytes a mutant's tests may take: an endless list must not take the machine's
CPU_SECONDS = 8  # of a processor for one quick test, however busy the machine: the slowest takes two
SLOW_CPU_SECONDS = 100  # for a slow one, or one process that it starts
TEST_SECONDS = 120  # of the clock for one test
RUN_SECONDS = 600  # of the clock for one stage
SANITIZED = False  # a build that is slower and wants address space
SUITES_AT_ONCE = 20
LEAST = 3  # mutants of each file before the others are drawn by its size

Place = collections.namedtuple("Place", "file kind start end text")


# ------------------------------------------------------------------ what may be changed


def blanked(source):
    """The source with comments, texts and preprocessor lines as blanks; same length, same lines."""
    pattern = (r'/\*.*?\*/|//[^\n]*|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])*\''
               r'|^[ \t]*#(?:\\\n|[^\n])*')
    return re.sub(pattern, lambda m: re.sub(r"[^\n]", " ", m.group()), source, flags=re.S | re.M)


def bodies(code):
    """(start, end, head) of each function: a brace alone at a line's start opens it and closes it."""
    for match in re.finditer(r"^\{\n.*?^\}$", code, flags=re.S | re.M):
        head = code[:match.start()].rstrip("\n").rsplit("\n\n", 1)[-1]
        yield match.start(), match.end(), " ".join(head.split())


SWAPS = (
    ("arithmetic", r"(?<=\s)(?:[-+*/]=?)(?=\s)",
     {"+": "-", "-": "+", "*": "/", "/": "*", "+=": "-=", "-=": "+=", "*=": "/=", "/=": "*="}),
    ("comparison", r"(?<=\s)(?:<=|>=|==|!=|<|>)(?=\s)",
     {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "=="}),
    ("logic", r"&&|\|\|", {"&&": "||", "||": "&&"}),
    ("extreme", r"\b(?:larger|smaller|fmax|fmin)(?=\()",
     {"larger": "smaller", "smaller": "larger", "fmax": "fmin", "fmin": "fmax"}),
    ("constant", r"\b(?:true|false)\b", {"true": "false", "false": "true"}),
)
NUMBER = r"(?<![\w.])(?:\d+\.\d*(?:e[-+]?\d+)?|\d+)(?![\w.])"


def number_changed(text):
    """0 -> 1, 1 -> 2, any other -> its negative."""
    value = float(text)
    if value in (0.0, 1.0):
        return ("1" if value == 0.0 else "2") + (".0" if "." in text else "")
    return "(-" + text + ")"


def places_constant(code, start, end, names):
    for match in re.finditer(NUMBER, code[start:end]):
        yield match.start() + start, match.end() + start, number_changed(match.group())
    if names:
        pattern = r"\b(?:" + "|".join(sorted(names)) + r")\b"
        for match in re.finditer(pattern, code[start:end]):
            yield match.start() + start, match.end() + start, "(-" + match.group() + ")"


def statement_end(code, at):
    """Just after the semicolon that ends the statement at `at`, brackets left alone."""
    depth = 0
    for i in range(at, len(code)):
        if code[i] in "({[":
            depth += 1
        elif code[i] in ")}]":
            depth -= 1
        elif code[i] == ";" and depth == 0:
            return i + 1
    return len(code)


def places_deleted(code, start, end):
    """Assignments and calls that stand as a statement; a declaration has two names in a row."""
    pattern = r"^[ \t]+(?=[*(]*[a-z_]\w*(?:\[[^\n]*?\]|->\w+|\.\w+|\))*(?:\s[-+*/|&]?=\s|\+\+|--|\())"
    for match in re.finditer(pattern, code[start:end], flags=re.M):
        at = start + match.end()
        if re.match(r"(?:if|for|while|switch|return|sizeof|else)\b", code[at:]):
            continue
        previous = code[start:at].rstrip()[-1:]
        if previous not in "{};)" and not code[start:at].rstrip().endswith("else"):
            continue  # the second line of a longer one
        yield at, statement_end(code, at), ";"


def other_value(head, value):
    """Another value of a function's type than the returned one, as C; None: none is simple."""
    kind = re.sub(r"\b(?:static|inline|const)\b", "", head).split("(")[0]
    words = kind.split()
    if "*" in kind:
        return "NULL"
    if "bool" in words:
        return "!(" + value + ")"
    if words[0] == "struct":
        return "(struct " + words[1] + "){ 0 }"
    zero = value in ("0", "0.0")
    if "double" in words:
        return "1.0" if zero else "0.0"
    return "1" if zero else "0"


def places_returned(code, start, end, head):
    for match in re.finditer(r"\breturn\s+", code[start:end]):
        at = start + match.end()
        stop = statement_end(code, at) - 1
        value = other_value(head, code[at:stop].strip())
        if value:
            yield at, stop, value


def with_lines(text, old):
    """The change with as many line ends as it takes away, so that later lines keep their number."""
    return text + "\n" * (old.count("\n") - text.count("\n"))


def places_of(file, source):
    code = blanked(source)
    names = set(re.findall(r"^#define ([A-Z]\w*) +[-(]?[\d.]", source, flags=re.M))
    found = []
    for start, end, head in bodies(code):
        for kind, pattern, swap in SWAPS:
            found += [(kind, m.start() + start, m.end() + start, swap[m.group()])
                      for m in re.finditer(pattern, code[start:end])]
        found += [("constant",) + place for place in places_constant(code, start, end, names)]
        found += [("deleted",) + place for place in places_deleted(code, start, end)]
        found += [("returned",) + place for place in places_returned(code, start, end, head)]
    return [Place(file, kind, a, b, with_lines(text, source[a:b])) for kind, a, b, text in found]


def drawn(places, count, rng):
    """LEAST of each file, then by the size of each; in a file one operator after the other."""
    files = {}
    for place in places:
        files.setdefault(place.file, {}).setdefault(place.kind, []).append(place)
    order, waiting = [], []
    for file in sorted(files):
        kinds = [rng.sample(files[file][kind], len(files[file][kind]))
                 for kind in rng.sample(sorted(files[file]), len(files[file]))]
        mixed = [kind[i] for i in range(max(map(len, kinds))) for kind in kinds if i < len(kind)]
        order += mixed[:LEAST]
        # the k-th of n comes at a random time in the k-th n-th
        waiting += [((k + rng.random()) / len(mixed), place)
                    for k, place in enumerate(mixed[LEAST:])]
    order = rng.sample(order, len(order)) + [place for _, place in sorted(waiting)]
    return order[:count]


# ------------------------------------------------------------------ how a mutant is tried


def run(command, seconds, cpu=CPU_SECONDS):
    """Its exit status; 'timeout' when it had to be ended, with all that it started."""
    def limits():
        if SANITIZED:
            resource.setrlimit(resource.RLIMIT_CPU, (10 * cpu, 10 * cpu))
        else:
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu))

    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
                             start_new_session=True, preexec_fn=limits)
    try:
        words = child.communicate(timeout=seconds)[1]
        return child.returncode, words.decode("utf-8", "replace")
    except subprocess.TimeoutExpired:
        os.killpg(child.pid, signal.SIGKILL)
        child.communicate()
        return "timeout", ""


class Bench:
    """The folder of one worker, and what is needed to build there."""

    def __init__(self, options, number, suites):
        self.options = options
        self.folder = os.path.join(options.build, "mutant-%d" % number)
        self.table, self.slow, slow_tests, self.all = suites
        self.quick_names = "!(" + "|".join(slow_tests) + ")"
        self.slow_names = "@(" + "|".join(slow_tests) + ")"
        self.originals = {}
        os.makedirs(self.folder, exist_ok=True)

    def object(self, file, source):
        path = os.path.join(self.folder, os.path.basename(file))
        with open(path, "w", encoding="utf-8") as out:
            out.write(source)
        made = path[:-1] + "o"
        defines = ["-I" + os.path.dirname(file)]
        code, _ = run(shlex.split(self.options.compile) + defines + ["-w", "-c", "-o", made, path], 120)
        return made if code == 0 else None

    def linked(self, name, made, objects, flags=""):
        path = os.path.join(self.folder, name)
        command = (shlex.split(self.options.link + " " + flags)
                   + ["-o", path] + objects.split() + [made]
                   + [self.options.library] + shlex.split(self.options.libraries))
        code, words = run(command, 300)
        if code != 0:
            sys.exit("the mutant compiles but does not link:\n" + words)
        return path

    def tests(self, program, suites, names, cpu=CPU_SECONDS):
        """Some suites after the other: the runner ends itself over a pattern that is too long."""
        for first in range(0, len(suites), SUITES_AT_ONCE):
            outcome = self.some_tests(program, suites[first:first + SUITES_AT_ONCE], names, cpu)
            if outcome:
                return outcome
        return None

    def some_tests(self, program, suites, names, cpu):
        code, words = run([program, "--filter", "@(" + "|".join(suites) + ")/" + names, "-j1",
                           "--fail-fast", "--timeout", str(TEST_SECONDS)], RUN_SECONDS, cpu)
        if code == 0:
            return None
        if code != "timeout" and "Tested: " not in words:
            sys.exit("the runner failed: " + words)
        late = code == "timeout" or "imed out" in words or "CPU time limit" in words
        return "timeout" if late else "killed"

    def judged(self, place, source):
        """What the quick tests say: 'same', 'invalid', 'killed', 'timeout' or
        'survived'."""
        if place.file not in self.originals:
            with open(self.object(place.file, source), "rb") as file:
                self.originals[place.file] = file.read()
        made = self.object(place.file, source[:place.start] + place.text + source[place.end:])
        if made is None:
            return "invalid"
        with open(made, "rb") as file:
            if file.read() == self.originals[place.file]:
                return "same"
        program = self.linked("tests", made, self.options.objects, self.options.link_tests)
        own = [name for name in self.all if name == os.path.basename(place.file)[:-2]]
        near = [name for name in self.table.get(place.file[len("src/"):], []) if name not in own]
        rest = [name for name in self.all if name not in own + near + self.slow]
        for suites in own, near, rest:
            outcome = self.tests(program, suites, self.quick_names)
            if outcome:
                return outcome
        return "survived"

    def judged_whole(self, place, source):
        """What the others say.  They know one place where the program stands: one mutant at a
        time."""
        made = self.object(place.file, source[:place.start] + place.text + source[place.end:])
        tests = self.linked("tests", made, self.options.objects, self.options.link_tests)
        mutant = self.linked("program", made, self.options.program_objects)
        original = self.options.program
        os.replace(original, original + ".kept")
        os.replace(mutant, original)
        try:
            stages = [(self.all, self.slow_names)] + [([one], "*") for one in self.slow]
            for suites, names in stages:
                outcome = self.tests(tests, suites, names, SLOW_CPU_SECONDS)
                if outcome:
                    return outcome
            return "survived"
        finally:
            os.replace(original + ".kept", original)


def sound(options, suites):
    """Ends the run unless all tests pass with nothing changed: else every mutant would be killed."""
    bench = Bench(options, 0, suites)
    stages = [] if options.whole else [([n for n in suites[3] if n not in suites[1]],
                                        bench.quick_names, CPU_SECONDS)]
    if not options.quick:
        stages += [([name], "*", SLOW_CPU_SECONDS) for name in suites[1]]
    for names, tests, cpu in stages:
        if bench.tests(options.tests, names, tests, cpu):
            sys.exit("red without any change: " + " ".join(names))


def suites_read(path, program):
    """Suites near each file, slow suites, slow tests of the others, all suites there are."""
    table = {}
    with open(path, encoding="utf-8") as file:
        for line in file:
            words = line.split("#")[0].split()
            if words:
                table[words[0].rstrip(":")] = words[1:]
    slow, slow_tests = table.pop("slow"), table.pop("slow-tests")
    listed = subprocess.run([program, "--list"], capture_output=True, text=True, check=True).stdout
    names = re.findall(r"^(\w+): \d+ tests?", re.sub(r"\x1b\[[\d;]*m", "", listed), flags=re.M)
    unknown = {name for row in [slow, *table.values()] for name in row} - set(names)
    if unknown:
        sys.exit("no such suite: " + " ".join(sorted(unknown)))
    return table, slow, slow_tests, names


def told(place, source):
    line = source.count("\n", 0, place.start) + 1
    old = " ".join(source[place.start:place.end].split())
    text = source.split("\n")[line - 1].strip()
    return "%s:%d: %s: `%s` becomes `%s` in `%s`" % (
        place.file, line, place.kind, old, " ".join(place.text.split()), text)


def summary(results, seconds):
    def of(chosen, outcome):
        return sum(1 for _, o in chosen if o == outcome)

    print("\n%-10s %7s %8s %8s %9s %7s %9s" % ("folder", "mutants", "killed", "timeout",
                                               "survived", "killed", "not counted"))
    for folder in FOLDERS + ("all",):
        rows = [r for r in results if folder == "all" or r[0].file.startswith("src/%s/" % folder)]
        killed, late, lives = (of(rows, o) for o in ("killed", "timeout", "survived"))
        counted = killed + late + lives
        print("%-10s %7d %8d %8d %9d %6.1f%% %9d" % (
            folder, counted, killed, late, lives,
            100.0 * (killed + late) / counted if counted else 100.0, len(rows) - counted))
    print("%d s; not counted: %d do not compile, %d are the same code" % (
        seconds, of(results, "invalid"), of(results, "same")))


def arguments():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    for name in ("build", "compile", "link", "libraries", "objects", "library", "program-objects",
                 "program", "tests", "suites"):
        parser.add_argument("--" + name, required=True)
    parser.add_argument("--link-tests", default="", help="options of the test program's link")
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--again", help="what an earlier run printed: tries its survivors alone")
    parser.add_argument("--only", default="", help="files whose path holds this")
    parser.add_argument("--quick", action="store_true", help="no whole runs of the program")
    parser.add_argument("--whole", action="store_true", help="whole runs of the program alone")
    parser.add_argument("--sanitized", action="store_true", help="more time, and address space without limit")
    parser.add_argument("--list", action="store_true", help="tells the mutants, tries none")
    return parser.parse_args()


def main():
    global SANITIZED
    options = arguments()
    SANITIZED = options.sanitized
    files = sorted(os.path.join("src", folder, name) for folder in FOLDERS
                   for name in os.listdir(os.path.join("src", folder)) if name.endswith(".c"))
    sources = {}
    for path in files:
        with open(path, encoding="utf-8") as file:
            sources[path] = file.read()
    places = [p for path in files if options.only in path for p in places_of(path, sources[path])]
    chosen = drawn(places, options.count, random.Random(options.seed))
    if options.again:
        with open(options.again, encoding="utf-8") as file:
            lived = {line[9:].strip() for line in file if line.startswith("survived")}
        chosen = [p for p in chosen if told(p, sources[p.file]) in lived]
    print("%d of %d places in %d files, seed %d" % (len(chosen), len(places), len(files),
                                                   options.seed), flush=True)
    if options.list:
        print("\n".join(told(place, sources[place.file]) for place in chosen))
        return 0
    suites = suites_read(options.suites, options.tests)
    sound(options, suites)
    local, numbers, started = threading.local(), iter(range(options.jobs)), time.monotonic()

    def tried(place):
        if not hasattr(local, "bench"):
            local.bench = Bench(options, next(numbers), suites)
        if options.whole:
            return place, "survived"
        outcome = local.bench.judged(place, sources[place.file])
        print("%-9s%s" % (outcome, told(place, sources[place.file])), flush=True)
        return place, outcome

    with concurrent.futures.ThreadPoolExecutor(options.jobs) as pool:
        results = list(pool.map(tried, chosen))
    if not options.quick:
        print("\nwhole runs of the program with those that survived:", flush=True)
        bench = Bench(options, 0, suites)
        for i, (place, outcome) in enumerate(results):
            if outcome == "survived":
                outcome = bench.judged_whole(place, sources[place.file])
                print("%-9s%s" % (outcome, told(place, sources[place.file])), flush=True)
                results[i] = (place, outcome)
    summary(results, time.monotonic() - started)
    return 0


if __name__ == "__main__":
    sys.exit(main())

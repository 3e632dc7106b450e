# SPDX-License-Identifier: GPL-3.0-or-later
#
# One Makefile, not recursive over folders.  `make help` lists the targets.
#
#   make                      the program and the library, in build/
#   make BUILD=/some/where    another build folder
#   make CC=clang CFLAGS=-O1  another compiler, other optimisation
#   make V=1                  show the commands

BUILD  ?= build
PREFIX ?= /usr/local
CFLAGS ?= -O2
PYTHON ?= /usr/bin/python3
JOBS   ?= $(shell nproc 2>/dev/null || echo 1)

VERSION := 0.1.0

ifneq ($(V),1)
.SILENT:
endif
.SUFFIXES:
.DELETE_ON_ERROR:
MAKEFLAGS += --no-builtin-rules --no-print-directory

# ------------------------------------------------------------------ packages
# Debian 12 names, in this one place.  `setup` installs only those that are missing.
PACKAGES_BUILD := gcc libc6-dev libgsl-dev libiniparser-dev libjansson-dev libmd-dev
PACKAGES_TEST  := bash libcriterion-dev jq mandoc python3 python3-jsonschema python3-numpy python3-scipy ngspice
# Pages in a browser; the fonts are those that the style sheet names, so that pages break alike.
PACKAGES_PAGES := python3 chromium chromium-driver fonts-liberation tidy libxml2-utils poppler-utils
PACKAGES_CHECK := g++ pkg-config clang libomp-14-dev libclang-rt-14-dev clang-tidy clang-format cppcheck valgrind lcov git zsh fish
PACKAGES_DEB   := debhelper lintian debootstrap jq

# --------------------------------------------------------------------- flags
# -std=c11               the language we write; no extensions
# -fno-common            two definitions of one variable are an error, not a merge
# -ffp-contract=off      no silent fused multiply-add: the same digits from every compiler
STANDARD := -std=c11 -fno-common -ffp-contract=off

# -Wall -Wextra -Wpedantic     what the language forbids or nearly forbids
# -Wshadow                     an inner name must not hide an outer one
# -Wconversion -Wsign-conversion -Wdouble-promotion   no number changes its kind unseen
# -Wstrict-prototypes -Wmissing-prototypes -Wold-style-definition   each function is declared once
# -Wwrite-strings -Wcast-qual  const stays const
# -Wpointer-arith -Wvla        no arithmetic on void *, no arrays of unknown size on the stack
# -Wundef                      a misspelt macro in #if is not 0
# -Wformat=2                   formats are checked against their arguments
# -Wnull-dereference           paths that lead to a null pointer
# -Wswitch-enum -Wimplicit-fallthrough   each switch treats each value of its enum, on purpose
# -Wfloat-equal                doubles are compared with a tolerance
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion -Wdouble-promotion \
            -Wstrict-prototypes -Wmissing-prototypes -Wold-style-definition -Wwrite-strings \
            -Wcast-qual -Wpointer-arith -Wundef -Wvla -Wformat=2 -Wnull-dereference \
            -Wswitch-enum -Wimplicit-fallthrough -Wfloat-equal
# gcc only: copied conditions and branches, && where & was meant
ifeq ($(findstring clang,$(CC)),)
WARNINGS += -Wlogical-op -Wduplicated-cond -Wduplicated-branches
endif
# In tests only: Criterion's macros compare doubles and fill one-bit fields.
WARNINGS_TEST := $(filter-out -Wfloat-equal -Wconversion,$(WARNINGS))
# WERROR=1 (make strict, make lint): any warning stops the build; never so for a user's build.
ifeq ($(WERROR),1)
STANDARD += -Werror
endif

# Hardening, each flag where the compiler has it, and none in a sanitizer's build, which does the
# same and more:
# -fstack-protector-strong     a canary behind every array on the stack
# -fstack-clash-protection     the stack grows page by page, so that the guard page is met
# -fcf-protection              marks where a jump may land (x86)
# _FORTIFY_SOURCE=3            the C library checks sizes that the compiler knows; wants -O1 or more
# -fPIC, -pie                  code at a random address; -fno-semantic-interposition: a call within
#                              the library stays one, nobody may put another function in its place
# relro, now                   tables of addresses are made read-only before the program starts
ifeq ($(findstring -fsanitize,$(CFLAGS)),)
HARDENING := $(shell for flag in -fstack-protector-strong -fstack-clash-protection -fcf-protection; do \
    $(CC) -Werror $$flag -S -x c -o /dev/null /dev/null 2>/dev/null && echo $$flag; done)
ifneq ($(filter -O -O1 -O2 -O3 -Os,$(CFLAGS)),)
HARDENING += -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=3
endif
LINK_HARDENING := -Wl,-z,relro,-z,now
endif
STANDARD += -fPIC -fno-semantic-interposition

INCLUDES := -Isrc -Iinclude -Itables -I$(BUILD)/gen
# -MMD -MP: the compiler writes which headers each object needs
DEPEND   := -MMD -MP
# GSL for curves and roots, iniparser for INI syntax, jansson for JSON, libmd for fingerprints,
# libm for the rest
LDLIBS   := -lgsl -lgslcblas -liniparser -ljansson -lmd -lm
# The program compares many candidates at once (OpenMP); the library itself starts no thread.
THREADS  := -fopenmp
COMPILE   = $(CC) $(STANDARD) $(WARNINGS) $(INCLUDES) $(DEFINES) $(CPPFLAGS) $(CFLAGS) $(HARDENING) \
            $(DEPEND)
LINK      = $(CC) $(CFLAGS) $(HARDENING) $(LINK_HARDENING) $(LDFLAGS)

# --------------------------------------------------------------------- files
SOURCES      := $(wildcard src/*.c src/*/*.c)
SOURCES_CMD  := $(filter src/cmd/%,$(SOURCES))
SOURCES_LIB  := $(filter-out src/cmd/%,$(SOURCES))
SOURCES_FUZZ := $(filter-out %/entry.c,$(wildcard tests/fuzz/*.c))
SOURCES_TEST := $(wildcard tests/*.c tests/support/*.c) $(SOURCES_FUZZ)
SOURCES_SPEED := $(wildcard tests/bench/speed*.c)
TABLES       := tables/compounds.ini tables/surfaces.ini
EMBEDDED     := $(TABLES) src/report/page.css src/report/page.js

OBJECTS_LIB  := $(SOURCES_LIB:%.c=$(BUILD)/obj/%.o) $(BUILD)/obj/gen/embedded.o
OBJECTS_CMD  := $(SOURCES_CMD:%.c=$(BUILD)/obj/%.o)
OBJECTS_TEST := $(SOURCES_TEST:%.c=$(BUILD)/obj/%.o)
OBJECTS_SPEED := $(SOURCES_SPEED:%.c=$(BUILD)/obj/%.o)
BENCHES      := $(BUILD)/bench/speed $(BUILD)/bench/compare_shares

SHELL_DOCS := $(BUILD)/doc/swapmargin.1 $(BUILD)/doc/swapmargin.bash $(BUILD)/doc/swapmargin.zsh \
              $(BUILD)/doc/swapmargin.fish

PROGRAM := $(BUILD)/swapmargin
LIBRARY := $(BUILD)/libswapmargin.a
TESTS   := $(BUILD)/tests/all

# POSIX is used at the two ends only: reading files and writing them.
$(BUILD)/obj/src/input/%.o $(BUILD)/obj/src/cmd/%.o: DEFINES := -D_POSIX_C_SOURCE=200809L
$(BUILD)/obj/src/base/version.o: DEFINES := -DSM_VERSION='"$(VERSION)"'
$(BUILD)/obj/src/cmd/%.o: DEFINES += -DSM_VERSION='"$(VERSION)"'
# The one place that works on several processors at once.
$(BUILD)/obj/src/cmd/compare_run.o: STANDARD += -fopenmp
# Tests find the program and the data through these, whatever folder they run in.
$(BUILD)/obj/tests/%.o: WARNINGS := $(WARNINGS_TEST)
$(BUILD)/obj/tests/%.o: DEFINES := -Itests -D_POSIX_C_SOURCE=200809L -DSM_VERSION='"$(VERSION)"' \
    -DSM_PROGRAM='"$(abspath $(PROGRAM))"' -DSM_EXAMPLES='"$(abspath examples)"' \
    -DSM_TESTS_DIR='"$(abspath tests)"' -DSM_TABLES_DIR='"$(abspath tables)"' \
    -DSM_DOCS_DIR='"$(abspath docs)"' -DSM_PYTHON='"$(PYTHON)"'

# --------------------------------------------------------------------- build
.PHONY: all
all: $(PROGRAM) $(LIBRARY) ## the program and the library (the default)

$(PROGRAM): $(OBJECTS_CMD) $(LIBRARY)
	mkdir -p $(@D)
	$(LINK) -pie $(THREADS) -o $@ $(OBJECTS_CMD) $(LIBRARY) $(LDLIBS)

$(LIBRARY): $(OBJECTS_LIB)
	mkdir -p $(@D)
	rm -f $@
	$(AR) rcs $@ $(OBJECTS_LIB)

# Programs that show how the library is used: nothing but its public headers.
EXAMPLES_C := $(patsubst examples/%.c,$(BUILD)/examples/%,$(wildcard examples/*.c))
$(BUILD)/examples/%: examples/%.c $(LIBRARY) Makefile
	mkdir -p $(@D)
	$(LINK) $(STANDARD) $(WARNINGS) -Iinclude -Itables $(CPPFLAGS) $(DEPEND) -MF $@.d -o $@ \
	    $< $(LIBRARY) $(LDLIBS)

$(BUILD)/obj/%.o: %.c Makefile
	mkdir -p $(@D)
	$(COMPILE) -c -o $@ $<

# The tables and what every page holds, compiled in, so that the program runs from anywhere.
$(BUILD)/gen/embedded.c: $(EMBEDDED) tables/embed.sh
	mkdir -p $(@D)
	sh tables/embed.sh $(EMBEDDED) > $@

$(BUILD)/obj/gen/embedded.o: $(BUILD)/gen/embedded.c Makefile
	mkdir -p $(@D)
	$(COMPILE) -c -o $@ $<

# --------------------------------------------------------------------- tests
# All tests are one program: everything but main(), and Criterion, which brings its own.
# Calls that tests/support/scarce.c stands before: what takes memory, and what gives it back.
scarce_of = $(addprefix gsl_,$(addsuffix _$(1),interp eigen_symmv root_fsolver vector matrix \
            multifit_robust multifit_nlinear))
SCARCE := $(foreach name,malloc calloc realloc free arena_bytes arena_doubles \
            $(call scarce_of,alloc) $(call scarce_of,free),-Xlinker --wrap=$(name))

.PHONY: test-program
test-program: $(TESTS) $(EXAMPLES_C) $(SHELL_DOCS) $(BUILD)/schema_doc

$(TESTS): $(OBJECTS_TEST) $(filter-out %/main.o,$(OBJECTS_CMD)) $(LIBRARY) $(PROGRAM)
	mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) $(SCARCE) -o $@ $(OBJECTS_TEST) $(filter-out %/main.o,$(OBJECTS_CMD)) \
	    $(LIBRARY) -lcriterion $(THREADS) $(LDLIBS)

-include $(EXAMPLES_C:=.d) $(OBJECTS_LIB:.o=.d) $(OBJECTS_CMD:.o=.d) $(OBJECTS_TEST:.o=.d) $(OBJECTS_SPEED:.o=.d) $(BENCHES:=.d) \
    $(BUILD)/keys_doc.d $(BUILD)/obj/tests/tools/schema_*.d $(BUILD)/shell_doc.d $(BUILD)/published_rows.d

# ------------------------------------------------------------------- targets
EXAMPLE_DRIVE  := examples/drive.ini
EXAMPLE_MODULE := examples/module-good.ini

.PHONY: setup demo test run-tests
setup: ## installs the Debian packages that are missing, and nothing else
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST)

demo: ## set-up, build, and the main job on the example: prints the sheet
	sh tests/tools/setup.sh $(PACKAGES_BUILD)
	$(MAKE) -j$(JOBS) all
	$(PROGRAM) check $(EXAMPLE_DRIVE) $(EXAMPLE_MODULE)

test: ## set-up, build and all tests; closes on the runner's summary line
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST)
	$(MAKE) -j$(JOBS) test-program
	$(MAKE) run-tests

# The runner ends with 0 when it found no test at all: that must not pass for success.  Each word of
# TESTFLAGS is passed on as it stands, so that a filter may have brackets.
run-tests:
	test -n "$$($(TESTS) --list)" || { echo 'no tests found' >&2; exit 1; }
	$(TESTS) $(foreach flag,$(TESTFLAGS),'$(flag)')

# The pages from end to end; `make test` needs no browser.
.PHONY: pages screenshots
pages: ## pages in a browser without a window, held against JSON, validators and printed sheets
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_PAGES)
	$(MAKE) -j$(JOBS) all
	rm -rf $(BUILD)/pages
	$(PYTHON) -B tests/pages/test_pages.py $(PROGRAM) examples $(BUILD)/pages $(PAGESFLAGS)

screenshots: ## every page at 375, 768 and 1280 px and as PDF, in BUILD/screenshots, for a person to view
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_PAGES)
	$(MAKE) -j$(JOBS) all
	rm -rf $(BUILD)/screenshots
	$(PYTHON) -B tests/pages/shots.py $(PROGRAM) examples $(BUILD)/screenshots

# --------------------------------------------------- memory and arithmetic
# address,undefined              out-of-bounds, use after free, leaks, undefined arithmetic
# -fno-sanitize-recover=all      a finding ends the program, so that a test fails
# -fno-omit-frame-pointer -g     readable traces
# abort_on_error, log_path       the runner lets a test pass that only leaks: any log file is a failure
SANITIZE_FLAGS := -O1 -g -fsanitize=address,undefined -fno-sanitize-recover=all \
                  -fno-omit-frame-pointer

.PHONY: sanitize threads valgrind
sanitize: ## all tests and examples under address and undefined-behaviour checks, gcc and clang
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST) $(PACKAGES_CHECK)
	set -e; for cc in gcc clang; do \
	    echo "sanitize: $$cc"; \
	    $(MAKE) -j$(JOBS) BUILD=$(BUILD)/sanitize-$$cc CC=$$cc CFLAGS='$(SANITIZE_FLAGS)' \
	        all test-program net-program; \
	    $(MAKE) BUILD=$(BUILD)/sanitize-$$cc CC=$$cc run-sanitize; \
	done

# The net is proven first: tests/net/ holds programs with one fault each, and each must be caught.
NETS := $(patsubst tests/net/%.c,$(BUILD)/net/%,$(wildcard tests/net/*.c))

.PHONY: net-program run-sanitize
net-program: $(NETS)
$(BUILD)/net/%: tests/net/%.c Makefile
	mkdir -p $(@D)
	$(CC) $(STANDARD) $(CFLAGS) -o $@ $< -lcriterion

run-sanitize:
	sh tests/tools/sanitize.sh $(BUILD)/log '$(TESTS)' '$(PROGRAM)' $(NETS)

# -fsanitize=thread   a place that two threads touch without order; the reports go to a log file, and
#                     any is a failure
threads: ## a comparison's work under plain threads and the thread sanitizer
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST) $(PACKAGES_CHECK)
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/threads CFLAGS='-O1 -g -fsanitize=thread' $(BUILD)/threads/compare_threads
	TSAN_OPTIONS=exitcode=66 $(BUILD)/threads/compare_threads $(EXAMPLE_DRIVE) \
	    $(wildcard examples/module-*.ini) $(wildcard tests/bad/*.ini)

$(BUILD)/compare_threads: tests/threads/compare_threads.c $(filter-out %/main.o,$(OBJECTS_CMD)) $(LIBRARY)
	mkdir -p $(@D)
	$(COMPILE) -D_POSIX_C_SOURCE=200809L -MF $@.d -o $@ $^ $(LDFLAGS) $(THREADS) -pthread $(LDLIBS)

# What no file can bring about: memory that runs out, calls that fail, a program that is killed.  The
# injector is loaded before the C library and lets one call go wrong; the trials are proven first,
# on a program that takes no care.
FAULTS := $(BUILD)/faults/faults $(BUILD)/faults/inject.so $(BUILD)/faults/careless
SOURCES_FAULTS := $(filter-out %/inject.c %/careless.c,$(wildcard tests/faults/*.c))

.PHONY: faults
faults: $(PROGRAM) $(FAULTS) ## every allocation, read and write fails once; kills while writing; files without end
	sh tests/tools/faults.sh $(BUILD)/faults $(PROGRAM) examples tables $(JOBS) $(FAULTSFLAGS)

# Without counters of coverage: the injector must not be found in what it watches.
COMPILE_FAULTS = $(CC) $(STANDARD) $(filter-out -Wredundant-decls,$(WARNINGS_TEST)) -Itests \
    $(filter-out --coverage,$(CFLAGS)) $(DEPEND) -MF $@.d
$(BUILD)/faults/faults: $(SOURCES_FAULTS) Makefile
	mkdir -p $(@D)
	$(COMPILE_FAULTS) -D_POSIX_C_SOURCE=200809L -o $@ $(SOURCES_FAULTS)

$(BUILD)/faults/inject.so: tests/faults/inject.c Makefile
	mkdir -p $(@D)
	$(COMPILE_FAULTS) -shared -o $@ $< -ldl

$(BUILD)/faults/careless: tests/faults/careless.c Makefile
	mkdir -p $(@D)
	$(COMPILE_FAULTS) -D_POSIX_C_SOURCE=200809L -o $@ $<

valgrind: ## the program on the examples, and all tests, under valgrind (slow)
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST) $(PACKAGES_CHECK)
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/valgrind CFLAGS='-O1 -g' all test-program net-program
	$(MAKE) BUILD=$(BUILD)/valgrind run-valgrind

.PHONY: run-valgrind
run-valgrind:
	sh tests/tools/valgrind.sh $(BUILD)/log '$(TESTS)' '$(PROGRAM)' $(NETS)

# -------------------------------------------------------------------- fuzzing
# A coverage-guided fuzzer writes the input; the targets and what they promise: tests/fuzz/.
# fuzzer-no-link   counters for the fuzzer in every object; its main() only in the targets
FUZZ_TARGETS := quantity options log joint tables drive module engine loadrun
FUZZ_FLAGS   := -O2 -g -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all \
                -fno-omit-frame-pointer
# Comparisons are watched where bytes are read, not in what only computes, writes or checks: they
# would take nine tenths of the time.
FUZZ_LOOPS   := device load thermal solve sweep loadrun assess explain joint report base
FUZZ_PLAIN   := -fno-sanitize-coverage=trace-cmp
SECONDS      ?= 60
FUZZFLAGS    ?=
OBJECTS_FUZZ := $(SOURCES_FUZZ:%.c=$(BUILD)/obj/%.o)

.PHONY: fuzz fuzz-programs
fuzz: ## SECONDS=60 of fuzzing for each target, with the sanitizers
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST) $(PACKAGES_CHECK)
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/fuzz CC=clang CFLAGS='$(FUZZ_FLAGS)' fuzz-programs
	FUZZFLAGS='$(FUZZFLAGS)' sh tests/tools/fuzz.sh $(SECONDS) $(JOBS) $(BUILD)/fuzz \
	    $(FUZZ_TARGETS:%=$(BUILD)/fuzz/target/%)

ifneq ($(findstring fuzzer-no-link,$(CFLAGS)),)
$(foreach layer,$(FUZZ_LOOPS),$(BUILD)/obj/src/$(layer)/%.o): DEFINES += $(FUZZ_PLAIN)
$(BUILD)/obj/src/cmd/suggest.o $(BUILD)/obj/tests/fuzz/%.o: DEFINES += $(FUZZ_PLAIN)
endif

fuzz-programs: $(FUZZ_TARGETS:%=$(BUILD)/target/%)
$(BUILD)/target/%: tests/fuzz/entry.c $(OBJECTS_FUZZ) $(filter-out %/main.o,$(OBJECTS_CMD)) $(LIBRARY)
	mkdir -p $(@D)
	$(COMPILE) -Itests -DFUZZ_TARGET=fuzz_$* -fsanitize=fuzzer -MF $@.d -o $@ $< $(OBJECTS_FUZZ) \
	    $(filter-out %/main.o,$(OBJECTS_CMD)) $(LIBRARY) $(LDFLAGS) $(THREADS) $(LDLIBS)

# --------------------------------------------------------------------- lint
.PHONY: strict lint check-tidy check-cppcheck check-shells check-analyzer check-layers check-headers check-size check-spdx \
        check-words check-format format
strict: ## everything compiled with all warnings as errors, for CC
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/strict-$(notdir $(CC)) WERROR=1 all test-program benches

lint: ## strict with gcc and clang, clang-tidy, cppcheck, gcc -fanalyzer and the house's own checks
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST) $(PACKAGES_CHECK)
	$(MAKE) strict CC=gcc
	$(MAKE) strict CC=clang
	$(MAKE) check-layers check-headers check-size check-spdx check-words check-format
	$(MAKE) -j$(JOBS) check-tidy
	$(MAKE) check-cppcheck
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/strict-gcc check-analyzer check-shells

check-layers: ## a layer includes only what it may; the engine has no stdio
	sh tests/tools/check-layers.sh src

HEADERS_PUBLIC  := $(wildcard include/swapmargin/*.h)
HEADERS_PRIVATE := $(wildcard src/*/*.h)

check-headers: ## each header compiles alone: the public ones as C11 and C++17
	alone() { printf '#include "%s"\nextern int header_alone;\n' "$${1#*/}"; }; \
	set -e; for h in $(HEADERS_PUBLIC) $(HEADERS_PRIVATE); do \
	    alone $$h | gcc $(STANDARD) $(WARNINGS) -Werror $(INCLUDES) -fsyntax-only -x c -; \
	done; \
	for h in $(HEADERS_PUBLIC); do \
	    alone $$h | clang $(STANDARD) -Wall -Wextra -Wpedantic -Werror $(INCLUDES) -fsyntax-only -x c -; \
	    alone $$h | g++ -std=c++17 -Wall -Wextra -Wpedantic -Werror $(INCLUDES) -fsyntax-only -x c++ -; \
	done

check-size: ## functions, files, parameters and lines within the house's limits
	sh tests/tools/check-size.sh $(wildcard include/swapmargin/*.h src/*.[ch] src/*/*.[ch] \
	    tests/*.[ch] tests/*/*.[ch] tests/tools/*.c examples/*.c)

check-spdx: ## each source names its licence
	sh tests/tools/check-spdx.sh

check-words: ## no paths of one machine, no package hosts, nothing left open, no banned calls
	sh tests/tools/check-words.sh

FORMATTED := $(HEADERS_PUBLIC) $(wildcard examples/*.c) $(wildcard src/*.[ch] src/*/*.[ch] tests/*.[ch] tests/*/*.[ch] tests/tools/*.c)

check-format: ## the layout is what clang-format makes of it
	clang-format --dry-run --Werror $(FORMATTED)

format: ## lets clang-format lay out all C sources
	clang-format -i $(FORMATTED)

check-shells: $(SHELL_DOCS) $(PROGRAM) ## the completions in bash, zsh and fish themselves
	sh tests/tools/check-shells.sh $(BUILD)/doc $(PROGRAM)

TIDY := $(SOURCES:%=tidy-%)
.PHONY: $(TIDY)
check-tidy: $(TIDY) ## clang-tidy with the checks of .clang-tidy
$(TIDY): tidy-%:
	clang-tidy --quiet --warnings-as-errors='*' $* -- -std=c11 $(INCLUDES) \
	    -D_POSIX_C_SOURCE=200809L -DSM_VERSION='"$(VERSION)"' 2>/dev/null

# missingIncludeSystem: cppcheck need not see the system's headers.
# memleak: it does not follow ownership into a compound literal; the sanitizers watch for leaks.
check-cppcheck: ## cppcheck on the sources
	cppcheck --quiet --error-exitcode=1 --std=c11 --inline-suppr -j $(JOBS) \
	    --enable=warning,performance,portability --suppress=missingIncludeSystem --suppress=memleak \
	    $(INCLUDES) -DSM_VERSION='""' src

# -O1: the analyser follows values into functions that are inlined.  Its finding about a list that
# grows in a function of the same file (a leak where the pointer goes into a struct) is not true
# with gcc 12: such lists are made and grow in src/base/grow.c.
ANALYZED := $(SOURCES:%.c=$(BUILD)/analyzer/%.o)
check-analyzer: $(ANALYZED) ## paths through the sources by gcc -fanalyzer
$(ANALYZED): $(BUILD)/analyzer/%.o: %.c $(BUILD)/obj/%.o
	mkdir -p $(@D)
	gcc $(STANDARD) $(INCLUDES) -D_POSIX_C_SOURCE=200809L -DSM_VERSION='"$(VERSION)"' \
	    -O1 -fanalyzer -Werror -c -o $@ $<

# The fused build is what another processor might make of the same sums.
.PHONY: check-same
check-same: ## the same bytes from both compilers, any optimisation, any number of threads
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST) $(PACKAGES_CHECK)
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/gcc CC=gcc all
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/clang CC=clang all
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/plain CC=gcc CFLAGS=-O0 all
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/fused CC=gcc CFLAGS='-O2 -mfma -ffp-contract=fast' all
	sh tests/tools/check-same.sh $(BUILD)/same $(PYTHON) $(BUILD)/gcc/swapmargin \
	    $(BUILD)/fused/swapmargin $(BUILD)/clang/swapmargin $(BUILD)/plain/swapmargin

# ------------------------------------------------------ coverage and speed
.PHONY: coverage bench bench-compare benches
# The thresholds are a little below what is reached: tests/coverage.md.
COVERAGE_RC       := --rc lcov_branch_coverage=1
COVERAGE_LINES    := 98.9
COVERAGE_BRANCHES := 94.5
coverage: ## lines and branches that tests and trials of faults reach; a fault when fewer than before
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST) $(PACKAGES_CHECK)
	rm -rf $(BUILD)/coverage
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/coverage CC=gcc CFLAGS='-O0 -g --coverage' all test-program
	$(MAKE) BUILD=$(BUILD)/coverage CC=gcc run-tests
	$(MAKE) BUILD=$(BUILD)/coverage CC=gcc CFLAGS='-O0 -g --coverage' faults
	lcov --quiet $(COVERAGE_RC) --capture --no-external --base-directory . \
	    --directory $(BUILD)/coverage/obj/src --output-file $(BUILD)/coverage/all.info
	lcov $(COVERAGE_RC) --list $(BUILD)/coverage/all.info
	sh tests/tools/coverage.sh $(BUILD)/coverage/all.info $(COVERAGE_LINES) $(COVERAGE_BRANCHES)

# -O1 is compiled quickest; the tests are the same.  N mutants, drawn by SEED; MUTATEFLAGS: --only
# src/solve, --quick (no slow tests, no whole runs), --again LOG (survivors of that run), --list.
N    ?= 300
SEED ?= 1
.PHONY: mutate run-mutate
mutate: ## N=300 SEED=1: breaks the engine in one place at a time; a test must go red
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST)
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/mutate CFLAGS=-O1 all test-program
	$(MAKE) BUILD=$(BUILD)/mutate CFLAGS=-O1 run-mutate

run-mutate:
	nice -n 10 $(PYTHON) -B tests/tools/mutate.py --count $(N) --seed $(SEED) --jobs $(JOBS) --build $(BUILD) \
	    --compile '$(CC) $(STANDARD) $(INCLUDES) $(CFLAGS)' --link '$(CC) $(CFLAGS) $(LDFLAGS)' --link-tests '$(SCARCE)' \
	    --libraries '-lcriterion $(THREADS) $(LDLIBS)' --library '$(LIBRARY)' --tests '$(TESTS)' \
	    --objects '$(OBJECTS_TEST) $(filter-out %/main.o,$(OBJECTS_CMD))' \
	    --program '$(PROGRAM)' --program-objects '$(OBJECTS_CMD)' \
	    --suites tests/tools/mutation_suites.txt $(MUTATEFLAGS)

benches: $(BENCHES)

$(BUILD)/bench/speed: $(OBJECTS_SPEED) $(LIBRARY)
	mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $(OBJECTS_SPEED) $(LIBRARY) $(LDLIBS)

$(BUILD)/bench/compare_shares: tests/bench/compare_shares.c $(filter-out %/main.o,$(OBJECTS_CMD)) $(LIBRARY) Makefile
	mkdir -p $(@D)
	$(COMPILE) -D_POSIX_C_SOURCE=200809L -MF $@.d -o $@ $< $(filter-out %/main.o,$(OBJECTS_CMD)) \
	    $(LIBRARY) $(LDFLAGS) $(THREADS) $(LDLIBS)

bench-compare: $(BUILD)/bench/compare_shares $(PROGRAM) ## 10,000 module files against one drive
	sh tests/bench/compare.sh $(PROGRAM) $(BUILD)/bench/compare_shares $(EXAMPLE_DRIVE) $(PYTHON)

EXAMPLE_MODULES := $(wildcard examples/module-*.ini)

# -g: so that the profiler can name the files; the code is the same.
bench: benches $(PROGRAM) ## speed and exactness of the library call beside plainer ways
	$(BUILD)/bench/speed $(PROGRAM) $(PYTHON) tests/bench/speed_numpy.py $(EXAMPLE_DRIVE) \
	    $(EXAMPLE_MODULES)
	$(MAKE) -j$(JOBS) BUILD=$(BUILD)/profile CFLAGS='$(CFLAGS) -g' benches
	sh tests/bench/callgrind.sh $(BUILD)/profile/bench/speed $(EXAMPLE_DRIVE) $(EXAMPLE_MODULE)

# --------------------------------------------------------------------- docs
.PHONY: docs
docs: $(BUILD)/keys_doc $(PROGRAM) ## writes docs/keys.md, docs/json.md, docs/schema and the sheet in README.md anew
	$< > $(BUILD)/keys.md
	cp $(BUILD)/keys.md docs/keys.md
	sh tests/tools/readme_sheet.sh $(PROGRAM) README.md
	$(MAKE) schemas FOLDER=docs

# The schemas of every JSON document, and their reference; a test compares them with docs/.
.PHONY: schemas
schemas: $(BUILD)/schema_doc
	mkdir -p $(FOLDER)/schema
	rm -f $(FOLDER)/schema/*.json
	set -e; for name in $$($< list); do $< $$name > $(FOLDER)/schema/$$name.json; done
	$< reference > $(FOLDER)/json.md

$(BUILD)/schema_doc: $(BUILD)/obj/tests/tools/schema_doc.o $(BUILD)/obj/tests/tools/schema_rows.o $(LIBRARY)
	$(LINK) -o $@ $^ $(LDLIBS)

$(BUILD)/keys_doc: tests/tools/keys_doc.c $(LIBRARY) Makefile
	$(COMPILE) -MF $@.d -o $@ $< $(LIBRARY) $(LDFLAGS) $(LDLIBS)

DOCS_TABLES := docs/validation.md docs/worked-example.md

.PHONY: validation
validation: $(PROGRAM) $(BUILD)/published_rows ## writes the tables of validation.md and worked-example.md anew
	$(PYTHON) -B tests/reference/document.py write --program $(abspath $(PROGRAM)) \
	    --rows $(abspath $(BUILD)/published_rows) $(DOCS_TABLES)

# The rows of tests/published/ need the test objects that compute them, and no test framework.
OBJECTS_ROWS := $(patsubst %.c,$(BUILD)/obj/%.o,$(wildcard tests/support/published*.c) \
    tests/support/fixture.c)

$(BUILD)/published_rows: tests/tools/published_rows.c $(OBJECTS_ROWS) $(LIBRARY) Makefile
	$(COMPILE) -Itests -MF $@.d -o $@ $< $(OBJECTS_ROWS) $(LIBRARY) $(LDFLAGS) $(LDLIBS)

# The manual page and the shells' completions, from the tables of commands and options.
$(BUILD)/shell_doc: tests/tools/shell_doc.c $(filter-out %/main.o,$(OBJECTS_CMD)) $(LIBRARY) Makefile
	$(COMPILE) -D_POSIX_C_SOURCE=200809L -MF $@.d -o $@ $< $(filter-out %/main.o,$(OBJECTS_CMD)) \
	    $(LIBRARY) $(LDFLAGS) $(THREADS) $(LDLIBS)

$(BUILD)/doc/swapmargin.1: $(BUILD)/shell_doc
	mkdir -p $(@D)
	$< man > $@
$(BUILD)/doc/swapmargin.%: $(BUILD)/shell_doc
	mkdir -p $(@D)
	$< $* > $@

# ------------------------------------------------------------------ install
# A user's library: the functions of the public headers and no other name.  The one in build/ that
# program and tests are linked from has all of them.
SHARED        := $(BUILD)/libswapmargin.so.$(VERSION)
STATIC        := $(BUILD)/public/libswapmargin.a
SONAME        := libswapmargin.so.0
EXPORTS       := $(BUILD)/gen/exports

$(EXPORTS).%: src/packaging/exports.sh $(HEADERS_PUBLIC) $(wildcard tables/swapmargin/*.def)
	mkdir -p $(@D)
	sh $< $* '$(CC) -std=c11 -Iinclude -Itables' $(HEADERS_PUBLIC) > $@

$(SHARED): $(OBJECTS_LIB) $(EXPORTS).map
	$(LINK) -shared -Wl,-soname,$(SONAME) -Wl,--version-script=$(EXPORTS).map -Wl,-z,defs \
	    -o $@ $(OBJECTS_LIB) $(LDLIBS)

$(STATIC): $(OBJECTS_LIB) $(EXPORTS).names
	mkdir -p $(@D)
	$(CC) -r -nostdlib -o $(@D)/swapmargin.o $(OBJECTS_LIB)
	objcopy --keep-global-symbols=$(EXPORTS).names $(@D)/swapmargin.o
	rm -f $@
	$(AR) rcs $@ $(@D)/swapmargin.o

# The tables of rows that the public headers include.
ROWS_PUBLIC = $(shell sed -n 's|^\#include "\(swapmargin/.*\.def\)"|tables/\1|p' $(HEADERS_PUBLIC))

# Under PREFIX; a system may want lib/<its triplet>.
LIBDIR ?= lib
rows = $(foreach file,$(3),'$(1)|$(2)|$(file)|$(or $(4),$(notdir $(file)))')
INSTALLED = \
    $(call rows,755,bin,$(PROGRAM)) \
    $(call rows,644,$(LIBDIR),$(STATIC) $(SHARED)) \
    $(call rows,link,$(LIBDIR),$(notdir $(SHARED)),$(SONAME)) \
    $(call rows,link,$(LIBDIR),$(SONAME),libswapmargin.so) \
    $(call rows,644,$(LIBDIR)/pkgconfig,$(BUILD)/swapmargin.pc) \
    $(call rows,644,include/swapmargin,$(HEADERS_PUBLIC) $(ROWS_PUBLIC)) \
    $(call rows,644,share/swapmargin/tables,$(TABLES)) \
    $(call rows,644,share/swapmargin/examples,$(wildcard examples/*.ini examples/*.c)) \
    $(call rows,644,share/man/man1,$(BUILD)/doc/swapmargin.1) \
    $(call rows,644,share/bash-completion/completions,$(BUILD)/doc/swapmargin.bash,swapmargin) \
    $(call rows,644,share/zsh/site-functions,$(BUILD)/doc/swapmargin.zsh,_swapmargin) \
    $(call rows,644,share/fish/vendor_completions.d,$(BUILD)/doc/swapmargin.fish) \
    $(call rows,644,share/doc/swapmargin,README.md LICENSE $(wildcard docs/*.md)) \
    $(call rows,644,share/doc/swapmargin/schema,$(wildcard docs/schema/*.json))

.PHONY: install uninstall check-install deb check-deb clean help FORCE
install: all $(STATIC) $(SHARED) $(BUILD)/swapmargin.pc $(SHELL_DOCS) ## program, library, headers, tables, docs under DESTDIR PREFIX
	sh src/packaging/install.sh install '$(DESTDIR)' '$(PREFIX)' $(INSTALLED)

# Written anew each time: PREFIX and LIBDIR may differ from the last.
$(BUILD)/swapmargin.pc: src/packaging/swapmargin.pc.in FORCE
	mkdir -p $(@D)
	sed -e 's|@PREFIX@|$(PREFIX)|' -e 's|@LIBDIR@|$(LIBDIR)|' -e 's|@VERSION@|$(VERSION)|' $< > $@

uninstall: ## takes away what install put there
	sh src/packaging/install.sh uninstall '$(DESTDIR)' '$(PREFIX)' $(INSTALLED)

check-install: ## installs into a folder, uses program and library from there, and uninstalls
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_TEST) $(PACKAGES_CHECK)
	$(MAKE) -j$(JOBS) all $(STATIC) $(SHARED) $(SHELL_DOCS)
	sh tests/tools/check-hardening.sh '$(CC)' $(PROGRAM) $(SHARED) $(BUILD)/obj/src/engine.o
	MAKE='$(MAKE)' CC='$(CC)' sh tests/tools/check-install.sh $(BUILD)/install \
	    $(SHARED) $(EXAMPLE_DRIVE) $(EXAMPLE_MODULE)

deb: ## Debian packages of program, library and development files, in build/deb
	sh tests/tools/setup.sh $(PACKAGES_BUILD) $(PACKAGES_DEB)
	sh src/packaging/make-deb.sh $(BUILD)/deb $(VERSION)

check-deb: $(PROGRAM) deb ## the packages by lintian, and in a bare system (as root, from apt's mirror)
	sh tests/tools/check-deb.sh $(BUILD)/deb $(PROGRAM)

clean: ## removes the build folder
	rm -rf $(BUILD)

help: ## this list
	awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "  make %-15s %s\n", $$1, $$2 }' Makefile

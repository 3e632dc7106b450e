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
PACKAGES_BUILD := gcc libc6-dev libgsl-dev libiniparser-dev libjansson-dev
PACKAGES_TEST  := libcriterion-dev python3 python3-numpy python3-scipy ngspice
PACKAGES_CHECK := g++ clang libclang-rt-14-dev clang-tidy clang-format cppcheck valgrind lcov git

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
# In tests only: Criterion's epsilon_eq() compares doubles inside its macro.
WARNINGS_TEST := $(filter-out -Wfloat-equal,$(WARNINGS))
# WERROR=1 (make strict, make lint): any warning stops the build; never so for a user's build.
ifeq ($(WERROR),1)
STANDARD += -Werror
endif

INCLUDES := -Isrc -Iinclude -Itables -I$(BUILD)/gen
# -MMD -MP: the compiler writes which headers each object needs
DEPEND   := -MMD -MP
# GSL for curves and roots, iniparser for INI syntax, jansson for JSON, libm for the rest
LDLIBS   := -lgsl -lgslcblas -liniparser -ljansson -lm
COMPILE   = $(CC) $(STANDARD) $(WARNINGS) $(INCLUDES) $(DEFINES) $(CPPFLAGS) $(CFLAGS) $(DEPEND)

# --------------------------------------------------------------------- files
SOURCES      := $(wildcard src/*.c src/*/*.c)
SOURCES_CMD  := $(filter src/cmd/%,$(SOURCES))
SOURCES_LIB  := $(filter-out src/cmd/%,$(SOURCES))
SOURCES_TEST := $(wildcard tests/*.c tests/support/*.c)
SOURCES_BENCH := $(wildcard tests/bench/*.c)
TABLES       := tables/compounds.ini tables/surfaces.ini

OBJECTS_LIB  := $(SOURCES_LIB:%.c=$(BUILD)/obj/%.o) $(BUILD)/obj/gen/embedded.o
OBJECTS_CMD  := $(SOURCES_CMD:%.c=$(BUILD)/obj/%.o)
OBJECTS_TEST := $(SOURCES_TEST:%.c=$(BUILD)/obj/%.o)
BENCHES      := $(SOURCES_BENCH:tests/bench/%.c=$(BUILD)/bench/%)

PROGRAM := $(BUILD)/swapmargin
LIBRARY := $(BUILD)/libswapmargin.a
TESTS   := $(BUILD)/tests/all

# POSIX is used at the two ends only: reading files and writing them.
$(BUILD)/obj/src/input/%.o $(BUILD)/obj/src/cmd/%.o: DEFINES := -D_POSIX_C_SOURCE=200809L
$(BUILD)/obj/src/cmd/%.o: DEFINES += -DSM_VERSION='"$(VERSION)"'
# Tests find the program and the data through these, whatever folder they run in.
$(BUILD)/obj/tests/%.o: WARNINGS := $(WARNINGS_TEST)
$(BUILD)/obj/tests/%.o: DEFINES := -D_POSIX_C_SOURCE=200809L -DSM_VERSION='"$(VERSION)"' \
    -DSM_PROGRAM='"$(abspath $(PROGRAM))"' -DSM_EXAMPLES='"$(abspath examples)"' \
    -DSM_TESTS_DIR='"$(abspath tests)"' -DSM_TABLES_DIR='"$(abspath tables)"' \
    -DSM_DOCS_DIR='"$(abspath docs)"' -DSM_PYTHON='"$(PYTHON)"'

# --------------------------------------------------------------------- build
.PHONY: all
all: $(PROGRAM) $(LIBRARY) ## the program and the library (the default)

$(PROGRAM): $(OBJECTS_CMD) $(LIBRARY)
	mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $(OBJECTS_CMD) $(LIBRARY) $(LDLIBS)

$(LIBRARY): $(OBJECTS_LIB)
	mkdir -p $(@D)
	rm -f $@
	$(AR) rcs $@ $(OBJECTS_LIB)

$(BUILD)/obj/%.o: %.c Makefile
	mkdir -p $(@D)
	$(COMPILE) -c -o $@ $<

# The tables, compiled in, so that the program runs from anywhere.
$(BUILD)/gen/embedded.c: $(TABLES) tables/embed.sh
	mkdir -p $(@D)
	sh tables/embed.sh $(TABLES) > $@

$(BUILD)/obj/gen/embedded.o: $(BUILD)/gen/embedded.c Makefile
	mkdir -p $(@D)
	$(COMPILE) -c -o $@ $<

# --------------------------------------------------------------------- tests
# All tests are one program: everything but main(), and Criterion, which brings its own.
.PHONY: test-program
test-program: $(TESTS)

$(TESTS): $(OBJECTS_TEST) $(filter-out %/main.o,$(OBJECTS_CMD)) $(LIBRARY) $(PROGRAM)
	mkdir -p $(@D)
	$(CC) $(CFLAGS) $(LDFLAGS) -o $@ $(OBJECTS_TEST) $(filter-out %/main.o,$(OBJECTS_CMD)) \
	    $(LIBRARY) -lcriterion $(LDLIBS)

-include $(OBJECTS_LIB:.o=.d) $(OBJECTS_CMD:.o=.d) $(OBJECTS_TEST:.o=.d) $(BENCHES:=.d)

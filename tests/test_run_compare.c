/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of `compare`.  $S, $E, $T: tests/support/run.h. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define MAKE SM_PYTHON " -B " SM_TESTS_DIR "/tools/make_modules.py "

static struct run run;

static void open_run(void)
{
    run_open(&run);
}

static void close_run(void)
{
    run_close(&run);
}

TestSuite(run_compare, .init = open_run, .fini = close_run, .timeout = 120);

static void expect(const char *command, int code)
{
    run_line(&run, command);
    cr_assert_eq(run.code, code, "%s\nexit %d, expected %d\n%s", command, run.code, code, run.err);
}

/* A command that prints nothing when all is well. */
static void expect_silent(const char *command)
{
    run_line(&run, command);
    cr_assert(run.code == 0 && run.out[0] == '\0' && run.err[0] == '\0', "%s\n%s%s", command,
              run.out, run.err);
}

Test(run_compare, margins_are_those_of_check_to_the_last_digit)
{
    expect_silent(
        "$S compare $E/drive.ini $E/module-*.ini --format jsonl > $T/rows; test -s $T/rows; "
        "for m in $E/module-*.ini; do "
        "$S check $E/drive.ini $m --format json | "
        "jq -c '[.verdict, .margin_k, [.points[].margin_k], .reasons]' > $T/a; "
        "jq -c --arg f $m 'select(.file == $f) | "
        "[.verdict, .margin_k, [.margins[].margin_k], .reasons]' $T/rows > $T/b; "
        "cmp $T/a $T/b; done");
}

/* Frequencies that ten digits do not hold: 0.0333 kHz is no double of 33.3, 50/3 no decimal number.
 * Expected: the margin of the check, in the sheet to its one decimal. */
Test(run_compare, a_frequency_of_many_digits_keeps_its_margins)
{
    expect_silent(
        "for hz in '0.0333 0.06 kHz' '16.6666666666667 60 Hz'; do "
        "sed \"s/^frequencies.*/frequencies = $hz/\" $E/drive-complete.ini > $T/d.ini; "
        "$S check $T/d.ini $E/module-good.ini --format json | "
        "jq -r '.points[0].margin_k' > $T/expected; "
        "$S compare $T/d.ini $E/module-good.ini --format jsonl > $T/rows; "
        "for from in \"$T/d.ini $E/module-good.ini\" \"--merge $T/rows\"; do "
        "$S compare $from --format csv | " SM_PYTHON " -c 'import csv, sys; "
        "print(next(v for k, v in next(csv.DictReader(sys.stdin)).items() "
        "if k.startswith(\"margin_k_\")))' | cmp - $T/expected; "
        "for format in text html; do $S compare $from --format $format | "
        "grep -qwF \"$(printf %.1f $(cat $T/expected))\" || echo $from $format; done; done; done");
}

/* The example program is a caller of the library in its own right. */
Test(run_compare, a_loop_over_the_library_gives_the_same_order)
{
    expect_silent("\"$(dirname \"$S\")\"/examples/rank $E/drive.ini $E/module-*.ini | "
                  "awk '{ print $1, $NF }' > $T/a; "
                  "$S compare $E/drive.ini $E/module-*.ini --format jsonl | "
                  "jq -r '[.verdict, .file] | join(\" \")' > $T/b; cmp $T/a $T/b");
}

/* Leaks are looked for in the other tests: with threads that check may end a sound program. */
Test(run_compare, the_number_of_threads_changes_nothing)
{
    expect_silent(MAKE "$T/m 60 && export ASAN_OPTIONS=\"$ASAN_OPTIONS:detect_leaks=0\" && "
                       "for n in 1 2 7; do OMP_NUM_THREADS=$n "
                       "$S compare $E/drive.ini $T/m --format jsonl > $T/rows$n; done; "
                       "cmp $T/rows1 $T/rows2 && cmp $T/rows1 $T/rows7");
}

Test(run_compare, the_order_of_the_operands_changes_nothing)
{
    expect_silent("cp -r $E $T/m; cd $T/m; "
                  "$S compare drive.ini module-good.ini module-marginal.ini --format csv > $T/a; "
                  "$S compare drive.ini module-marginal.ini module-good.ini module-good.ini "
                  "--format csv > $T/b 2>/dev/null; cmp $T/a $T/b");
}

/* The path, a roundabout one, a link and the folder that it is in: one file. */
Test(run_compare, a_file_under_several_names_is_one_row_and_a_note)
{
    expect("mkdir $T/m; cp $E/module-good.ini $T/m/a.ini; ln -s a.ini $T/m/b.ini; cd $T; "
           "$S compare $E/drive.ini ./m/a.ini m/a.ini m --format jsonl | jq -r .file",
           0);
    cr_expect_str_eq(run.out, "./m/a.ini\n");
    cr_expect_str_eq(run.err, "m/a.ini: note: the same file as './m/a.ini', the first of 3 such "
                              "names; read once\n");
    expect("cd $T; $S compare $E/drive.ini m/a.ini m/a.ini --format jsonl | wc -l", 0);
    cr_expect_str_eq(run.out, "1\n");
    cr_expect_str_eq(run.err, "m/a.ini: note: named twice; read once\n");
    expect_silent("cd $T; cp m/a.ini m/c.ini; $S compare $E/drive.ini m/a.ini m/c.ini "
                  "--format jsonl | wc -l | grep -qx 2");
}

/* Two drive files under three names, not sorted by their places. */
Test(run_compare, a_drive_under_several_names_is_compared_for_once)
{
    expect("mkdir $T/d; cp $E/drive.ini $T/d/z.ini; cp $E/drive.ini $T/d/b.ini; "
           "ln -s z.ini $T/d/a.ini; cd $T; "
           "$S compare --drives d $E/module-good.ini --format jsonl | jq -r .drive_file",
           0);
    cr_expect_str_eq(run.out, "d/a.ini\nd/b.ini\n");
    cr_expect_str_eq(run.err, "d/z.ini: note: the same file as 'd/a.ini'; read once\n");
}

/* What sha256sum says of each file; a module compared for two drives stands on the page once. */
Test(run_compare, every_file_that_was_read_has_its_fingerprint_in_every_format)
{
    expect_silent(
        "mkdir $T/d; cp $E/drive.ini $T/d/a.ini; sed s/Harrow/Barrow/ $E/drive.ini > $T/d/b.ini; "
        "echo x > $T/broken.ini; cp -r $TABLES $T/t; cd $T; "
        "set -- $E/module-good.ini $E/module-fast.ini broken.ini --joint $E/joint-thick.ini "
        "--tables t; for f in text html json jsonl csv; do "
        "$S compare --drives d \"$@\" --format $f > out.$f; done; "
        "once() { sha256sum $2 | while read sum name; do test $(grep -o $sum out.$1 | wc -l) = $3 "
        "|| echo $1 $2; done; }; "
        "for f in d/a.ini d/b.ini $E/joint-thick.ini t/compounds.ini t/surfaces.ini; do "
        "once text $f 1; once html $f 1; once json $f 1; done; "
        "for f in $E/module-good.ini $E/module-fast.ini; do once html $f 1; once json $f 2; "
        "once jsonl $f 2; once csv $f 2; done; "
        "jq -r 'select(.verdict == \"unreadable\") | .sha256' out.jsonl | grep -vx null; "
        "$S compare --merge out.jsonl --format html > merged; mv merged out.html; "
        "once html $E/module-good.ini 1; once html d/a.ini 0");
}

/* Three offers of one part, two of them under the same file name; the other part needs no file. */
Test(run_compare, rows_of_the_same_part_show_so_much_of_the_file_as_tells_them_apart)
{
    static const char *const names[] = {
        "KT 150-12 HB (b/m.ini)",
        "KT 150-12 HB (c/m.ini)",
        "KT 150-12 HB (a/good.ini)",
    };
    expect("mkdir -p $T/m/a $T/m/b $T/m/c $T/d; cp $E/module-good.ini $T/m/a/good.ini; "
           "cp $E/module-good.ini $T/m/b/m.ini; cp $E/module-good.ini $T/m/c/m.ini; "
           "cp $E/module-fast.ini $T/m; cp $E/drive.ini $T/d/1.ini; cp $E/drive.ini $T/d/2.ini; "
           "$S compare $E/drive.ini $T/m > $T/text; $S compare $E/drive.ini $T/m --format html; "
           "$S compare --drives $T/d $T/m > $T/matrix; cat $T/matrix",
           0);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        char command[256];
        cr_expect_not_null(strstr(run.out, names[i]), "'%s' on the page or in the matrix",
                           names[i]);
        /* where the part wraps, its file stands in a line of its own */
        (void)snprintf(command, sizeof command, "grep -cF '%s' $T/text", strchr(names[i], '('));
        run_line(&run, command);
        cr_expect_str_eq(run.out, "2\n", "'%s' in both bands of the text", names[i]);
        run_line(&run, "cat $T/matrix");
    }
    run_line(&run, "grep -c 'module-fast.ini' $T/text");
    cr_expect_str_eq(run.out, "0\n");
    expect("$S compare $E/drive.ini $E/module-good.ini $E/module-fast.ini | grep -c '[.]ini)'", 1);
}

Test(run_compare, a_broken_file_is_a_row_and_stops_nothing)
{
    expect(
        "mkdir $T/m; cp $E/module-good.ini $T/m; echo '[module' > $T/m/broken.ini; "
        "$S compare $E/drive.ini $T/m $T/nowhere.ini --format json > $T/out; code=$?; "
        "jq -r '.candidates[] | [.rank, .verdict, .margin_k == null, .reasons[0]] | @tsv' $T/out; "
        "exit $code",
        0);
    cr_expect(strstr(run.out, "2\tunreadable\ttrue\t") && strstr(run.out, "broken.ini:1: "), "%s",
              run.out);
    cr_expect(strstr(run.out, "3\tunreadable\ttrue\t") && strstr(run.out, "No such file"), "%s",
              run.out);
}

/* A shard may get nothing to do; a folder that holds nothing is a slip of whoever named it. */
Test(run_compare, a_shard_without_a_module_is_no_crash_and_exit_1)
{
    expect("$S compare $E/drive.ini $E --shard 99/99 --format json | jq -e '.candidates == []'", 0);
    expect("$S compare $E/drive.ini $E --shard 99/99", 1);
    expect("$S compare $E/drive.ini $E --shard 99/99 --format jsonl | wc -c | grep -qx 0", 0);
    expect("$S compare $E/drive.ini $E --shard 99/99 --format csv | wc -l | grep -qx 1", 0);
}

Test(run_compare, a_folder_without_a_module_is_refused_by_its_name)
{
    expect("mkdir -p $T/empty/in; touch $T/empty/in/readme.txt; cd $T; "
           "$S compare $E/drive.ini $E/module-good.ini empty --output sheet; code=$?; "
           "test ! -e sheet && exit $code",
           2);
    cr_expect_str_eq(run.err, "empty: holds no file that ends in .ini; expected one at least\n");
    expect("cd $T; $S compare --drives empty empty/in $E/module-good.ini empty/", 2);
    cr_expect_str_eq(run.err, /* each of them */
                     "empty: holds no file that ends in .ini; expected one at least\n"
                     "empty/in: holds no file that ends in .ini; expected one at least\n"
                     "empty/: holds no file that ends in .ini; expected one at least\n");
}

Test(run_compare, the_exit_status_tells_whether_anything_can_be_used)
{
    expect("$S compare $E/drive.ini $E/module-good.ini", 0);
    expect("$S compare $E/drive.ini $E/module-low-frequency.ini", 1);
    expect("$S compare $E/drive.ini $E/module-low-frequency.ini $E/module-marginal.ini", 0);
    expect("$S compare --strict $E/drive.ini $E/module-marginal.ini", 1);
    expect("$S compare $E/drive.ini", 2);
    expect("$S compare $T/nowhere.ini $E/module-good.ini", 2);
}

Test(run_compare, csv_has_the_columns_of_the_json_lines)
{
    expect_silent(
        "$S compare $E/drive.ini $E/module-*.ini --format csv > $T/c; "
        "$S compare $E/drive.ini $E/module-*.ini --format jsonl > $T/j; " SM_PYTHON
        " - $T/c $T/j <<'EOF'\n"
        "import csv, json, sys\n"
        "rows = list(csv.DictReader(open(sys.argv[1], newline='', encoding='utf-8')))\n"
        "lines = [json.loads(x) for x in open(sys.argv[2], encoding='utf-8')]\n"
        "assert len(rows) == len(lines) > 3\n"
        "for row, line in zip(rows, lines):\n"
        "    for m in line.pop('margins'):\n"
        "        line['margin_k_%ghz' % m['output_hz']] = m['margin_k']\n"
        "    line['reasons'] = '; '.join(line['reasons'])\n"
        "    assert set(row) == set(line), set(row) ^ set(line)\n"
        "    for key, value in line.items():\n"
        "        got = row[key]\n"
        "        same = got == '' if value is None else got == value if isinstance(value, str) "
        "else float(got) == value\n"
        "        assert same, (key, got, value)\n"
        "EOF\n");
}

Test(run_compare, shards_merged_equal_the_whole)
{
    expect_silent(MAKE
                  "$T/m 40 && echo bad > $T/m/bad.ini && for f in jsonl csv; do "
                  "$S compare $E/drive.ini $T/m --format $f > $T/whole.$f; done; "
                  "for k in 1 2 3; do $S compare --shard $k/3 $E/drive.ini $T/m --format jsonl "
                  "> $T/part$k; done; cat $T/part? | wc -l | grep -qx 41 || echo lost; "
                  "for f in jsonl csv; do "
                  "$S compare --merge $T/part3 $T/part1 $T/part2 --format $f > $T/merged.$f; "
                  "cmp $T/whole.$f $T/merged.$f; done");
}

Test(run_compare, merging_tells_the_line_that_is_no_row)
{
    expect("$S compare $E/drive.ini $E/module-good.ini --format jsonl > $T/rows; "
           "echo '{\"rank\":1}' >> $T/rows; $S compare --merge $T/rows",
           2);
    cr_expect(strstr(run.err, "rows:2: is no row of a comparison"), "%s", run.err);
    expect("$S compare --merge $T/none", 2);
    expect("$S compare --merge --shard 1/2 $T/rows", 2);
}

Test(run_compare, top_and_only_leave_rows_out_and_ranks_as_they_are)
{
    expect("$S compare $E/drive.ini $E/module-*.ini --only reject --top 1 --format jsonl | "
           "jq -r '[.rank > 1, .verdict] | @tsv'",
           0);
    cr_expect_str_eq(run.out, "true\treject\n");
    expect("$S compare $E/drive.ini $E/module-*.ini --top 0", 2);
    expect("$S compare $E/drive.ini $E/module-*.ini --only rejected", 2);
    cr_expect(strstr(run.err, "did you mean 'reject'"), "%s", run.err);
    expect("$S compare $E/drive.ini $E/module-*.ini --shard 3/2", 2);
    expect("$S compare $E/drive.ini $E/module-*.ini --sort name", 2);
}

Test(run_compare, sorting_orders_by_the_number_with_absent_ones_last)
{
    expect("$S compare $E/drive.ini $E/module-*.ini --sort price --format jsonl | jq -s "
           "'[.[].price] as $p | ($p | map(select(. != null))) as $q | "
           "($p[:($q | length)] == ($q | sort)) and ($q | length) > 2'",
           0);
    cr_expect_str_eq(run.out, "true\n");
}

Test(run_compare, several_drives_get_their_best_module_and_a_stocking_list)
{
    expect("mkdir $T/d; cp $E/drive.ini $T/d/a.ini; "
           "sed 's/^output_current.*/output_current = 40 A/' $E/drive.ini > $T/d/b.ini; "
           "$S compare --drives $T/d $E/module-*.ini --format json > $T/out; "
           "jq -r '(.drives | length), ([.drives[].part] | unique | length), "
           ".stocking_list[0].covers, (.candidates | length)' $T/out; "
           "$S compare --drives $T/d $E/module-*.ini | grep -c 'Modules against drives'",
           0);
    cr_expect(strncmp(run.out, "2\n1\n2\n", 6) == 0, "%s", run.out);
    expect("mkdir $T/none; $S compare --drives $T/none $E/module-good.ini", 2);
}

/* Each drive's rows are those of a comparison of its own. */
Test(run_compare, several_drives_are_each_compared_as_alone)
{
    expect_silent("mkdir $T/d; cp $E/drive.ini $T/d/a.ini; "
                  "sed 's/^output_current.*/output_current = 40 A/' $E/drive.ini > $T/d/b.ini; "
                  "$S compare --drives $T/d $E/module-*.ini --format jsonl > $T/all; "
                  "for d in a b; do $S compare $T/d/$d.ini $E/module-*.ini --format jsonl; done "
                  "> $T/each; cmp $T/all $T/each");
}

Test(run_compare, folders_are_searched_to_the_bottom_and_hidden_names_passed_over)
{
    expect("mkdir -p $T/m/a/b $T/m/.git; cp $E/module-good.ini $T/m/a/b/x.INI; "
           "cp $E/module-good.ini $T/m/.git/y.ini; cp $E/module-good.ini $T/m/.z.ini; "
           "cp $E/module-good.ini $T/m/readme.txt; ln -s .. $T/m/a/up; "
           "$S compare $E/drive.ini $T/m --format jsonl | jq -r .file | sed 's|.*/m/||'",
           0);
    cr_expect_str_eq(run.out, "a/b/x.INI\n");
}

/* Only what was named on the line was looked at: a file found in a folder was written over. */
Test(run_compare, no_file_that_was_read_is_written_over)
{
    expect("cp -r $E $T/m; mkdir $T/d; cp $E/drive.ini $T/d; cp -r $TABLES $T/t; cd $T; "
           "cp -r . $T.kept; "
           "for place in m/module-good.ini d/drive.ini t/compounds.ini t/surfaces.ini; do "
           "$S compare --drives d m --tables t --format csv --output $place; "
           "test $? = 2 || exit 1; done; "
           "for f in m d t; do diff -r $f $T.kept/$f || exit 1; done; rm -rf $T.kept",
           0);
    cr_expect(strstr(run.err, "m/module-good.ini: cannot be written: it is one of the files read"),
              "%s", run.err);
    expect_silent("cd $T; $S compare d/drive.ini m --format csv --output m/rows.csv; "
                  "test -s m/rows.csv");
}

/* A limit of 0 bytes for any file that is written: the program's own, in memory, cannot be.  That
 * is no fault of a module file, which would be a row. */
Test(run_compare, what_the_system_refuses_the_program_is_no_row)
{
    expect(
        "(ulimit -f 0; $S compare $E/drive.ini $E/module-good.ini --format csv; echo \"exit $?\") "
        "2>&1 | cat",
        0);
    cr_expect(strstr(run.out, "cannot be handed to the INI reader: File too large") &&
                  strstr(run.out, "exit 3"),
              "%s", run.out);
}

/* Many names of one file: what is asked for is every row, each once, ranked without a gap. */
Test(run_compare, ten_thousand_candidates_are_ten_thousand_rows, .timeout = 600)
{
    expect_silent(SM_PYTHON " - $E/module-good.ini $T/m <<'EOF'\n"
                            "import os, shutil, sys\n"
                            "os.mkdir(sys.argv[2])\n"
                            "one = os.path.join(sys.argv[2], '00000.ini')\n"
                            "shutil.copy(sys.argv[1], one)\n"
                            "for i in range(1, 10000):\n"
                            "    os.link(one, os.path.join(sys.argv[2], '%05d.ini' % i))\n"
                            "EOF\n"
                            "$S compare $E/drive.ini $T/m --format csv | tail -n +2 | cut -d, -f1 "
                            "> $T/ranks; seq 10000 | cmp - $T/ranks");
}

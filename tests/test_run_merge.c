/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Whole runs of `compare --merge` and of comparisons whose rows differ in kind.  Expected: the rows
 * that went in, changed by jq, and the counts that follow from them.  $S, $E, $T:
 * tests/support/run.h. */
#include "support/run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static struct run run;

static void open_run(void)
{
    run_open(&run);
    run_line(&run, "$S compare $E/drive.ini $E/module-good.ini --format jsonl > $T/row");
    cr_assert_eq(run.code, 0, "%s", run.err);
}

static void close_run(void)
{
    run_close(&run);
}

TestSuite(run_merge, .init = open_run, .fini = close_run, .timeout = 120);

static void expect(const char *command, int code)
{
    run_line(&run, command);
    cr_assert_eq(run.code, code, "%s\nexit %d, expected %d\n%s", command, run.code, code, run.err);
}

static void expect_in(const char *text, const char *part)
{
    cr_expect(strstr(text, part), "no '%s' in\n%s", part, text);
}

/* What compare would never write, each made from a good row by one change. */
Test(run_merge, a_line_that_is_no_row_is_refused_whatever_is_wrong_with_it)
{
    static const char *const changes[] = {
        ".verdict = \"maybe\"",
        "del(.verdict)",
        ".margins = 5",
        ".margins = [range(17) | {output_hz: ., margin_k: 1}]",
        ".margins = [{}]",
        ".margins[0].output_hz = \"30\"",
        ".margins[0].margin_k = true",
        "del(.margins)",
        ".file = 1",
        ".reasons = \"x\"",
        "del(.reasons)",
        "[.]",
        "\"row\"",
    };
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        char command[256];
        (void)snprintf(command, sizeof command,
                       "jq -c '%s' $T/row > $T/bad; $S compare --merge $T/row $T/bad", changes[i]);
        expect(command, 2);
        expect_in(run.err, "bad:1: is no row of a comparison; expected what `compare --format "
                           "jsonl` writes");
        cr_expect_str_eq(run.out, "");
    }
    expect("cat $T/row $T/row > $T/two; echo '{\"file\":' >> $T/two; $S compare --merge $T/two", 2);
    expect_in(run.err, "two:3: is no row of a comparison");
}

/* Numbers that are none, or that no count can be, told with their key. */
Test(run_merge, a_number_that_is_none_is_refused_with_its_key)
{
    static const struct {
        const char *change, *told;
    } rows[] = {
        { ".conditions = -1",
          "conditions: '-1' cannot be used; expected a whole number from 0 to 1000000" },
        { ".conditions = 1e300", "conditions: '1e300' cannot be used; expected a whole number" },
        { ".conditions = 1000001",
          "conditions: '1000001' cannot be used; expected a whole number" },
        { ".conditions = 2.5", "conditions: '2.5' cannot be used; expected a whole number" },
        { "del(.conditions)", "conditions: missing; expected a whole number" },
        { ".margin_k = \"high\"",
          "margin_k: '\"high\"' cannot be used; expected a number or null" },
        { ".price = []", "price: '[]' cannot be used; expected a number or null" },
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char command[256];
        (void)snprintf(command, sizeof command,
                       "jq -c '%s' $T/row > $T/bad; $S compare --merge $T/bad", rows[i].change);
        expect(command, 2);
        expect_in(run.err, "bad:1: ");
        expect_in(run.err, rows[i].told);
        cr_expect_str_eq(run.out, "");
    }
    expect("jq -c '.conditions = 1000000' $T/row > $T/most; $S compare --merge $T/most", 0);
}

Test(run_merge, a_line_of_bytes_that_are_no_text_is_refused)
{
    static const char message[] = "has a NUL byte in it or is longer than 1 MiB";
    expect("head -c 2000000 /dev/zero | tr '\\0' x > $T/long; $S compare --merge $T/long", 2);
    expect_in(run.err, message);
    expect("printf '{}\\0\\n{}\\n' > $T/nul; $S compare --merge $T/nul", 2);
    expect_in(run.err, message);
    expect("$S compare --merge $T", 2);
    expect_in(run.err, "cannot be read: it is not an ordinary file");
    expect("$S compare --merge $T/none", 2);
    expect_in(run.err, "cannot be read: No such file or directory");
}

/* The same file twice, shards that overlap, and a row twice in one file. */
Test(run_merge, a_row_that_comes_twice_is_refused_with_both_its_places)
{
    expect("cp -r $E $T/m; cd $T; for k in 1 2; do "
           "$S compare m/drive.ini m/module-*.ini --shard $k/2 --format jsonl > p$k; done; "
           "$S compare --merge p1 p2 p1",
           2);
    cr_expect_str_eq(run.out, "");
    cr_expect_str_eq(run.err, "p1: is named twice; expected each file of rows once\n");
    expect("cd $T; tail -n 2 p2 >> p1; $S compare --merge p2 p1 --format jsonl", 2);
    cr_expect_str_eq(run.out, "");
    expect_in(run.err, "p1:4: the same row as p2:1, of 'm/module-");
    expect_in(run.err, ", the first of 2 such rows; expected shards that do not overlap\n");
    expect("cat $T/row $T/row > $T/two; $S compare --merge $T/two", 2);
    expect_in(run.err, "/two:2: the same row as ");
    expect_in(run.err, "/two:1, of '");
    /* the same module for another drive is another row */
    expect("jq -c '.drive_file = \"other.ini\"' $T/row > $T/b; $S compare --merge $T/row $T/b", 0);
}

/* Two drives' rows: a table each, under the drive's name or, without one, its file. */
Test(run_merge, rows_of_two_drives_are_two_tables)
{
    expect("jq -c '.drive = \"\" | .drive_file = \"other.ini\" | .file = \"z.ini\"' $T/row > $T/b; "
           "$S compare --merge $T/b $T/row",
           0);
    expect_in(run.out, "0 APPROVE, 2 CONDITIONAL, 0 REJECT");
    expect_in(run.out, "merged\n");
    expect_in(run.out, "For Harrow Lane roller table 4 ");
    expect_in(run.out, "For other.ini ");
    expect("$S compare --merge $T/b $T/row --format json | "
           "jq -c '[.candidates[] | [.drive_file, .rank]] | map(.[1])'",
           0);
    cr_expect_str_eq(run.out, "[1,1]\n"); /* each is the first of its drive */
}

/* 45 frequencies cannot stand side by side: as many as fit do, and nothing is written past them. */
Test(run_merge, more_test_frequencies_than_columns_are_cut_to_what_fits)
{
    expect("for k in 0 1 2; do jq -c --argjson k $k '.drive_file = \"\\($k)\" | .margins = "
           "[range(15) | {output_hz: (. * 3 + $k + 1), margin_k: (100 + . * 3 + $k)}]' $T/row; "
           "done > $T/rows; $S compare --merge $T/rows | grep -o '1[0-9][0-9][.]0' | sort -u | "
           "wc -l",
           0);
    cr_expect_str_eq(run.out, "32\n"); /* 40 columns, less 3 in front and 5 behind */
}

/* jsonl, csv and json of what is merged: the row itself, its rank anew. */
Test(run_merge, a_merged_row_is_the_row_that_went_in)
{
    expect("jq -c '.rank = 7' $T/row > $T/seven; $S compare --merge $T/seven --format jsonl | "
           "cmp - $T/row && $S compare --merge $T/seven --format json | "
           "jq -S '.candidates[0]' > $T/a; jq -S . $T/row | cmp - $T/a",
           0);
}

/* More digits than a row is written with: column and row still have the same frequency. */
Test(run_merge, a_frequency_of_too_many_digits_keeps_its_margin)
{
    expect("jq -c '.margins[0] = {output_hz: 33.33333333333333, margin_k: 12.5}' $T/row > $T/more; "
           "$S compare --merge $T/more --format csv | grep -o 'margin_k_33[^,]*\\|,12.5,'",
           0);
    cr_expect_str_eq(run.out, "margin_k_33.33333333hz\n,12.5,\n");
    expect("$S compare --merge $T/more | grep -q ' 12[.]5 '", 0);
}

/* ------------------------------------------------------ orders and counts */

Test(run_merge, file_order_goes_by_name_and_ranks_stay)
{
    expect("jq -c '.file = \"c\" | .price = 3 | .margin_k = 60' $T/row > $T/rows; "
           "jq -c '.file = \"a\" | .price = 1 | .margin_k = 40' $T/row >> $T/rows; "
           "jq -c '.file = \"b\" | .price = 2 | .margin_k = 50' $T/row >> $T/rows; "
           "jq -c '.file = \"0\" | .drive_file = \"2\"' $T/row >> $T/rows; "
           "for s in rank file price margin losses lead-time; do $S compare --merge $T/rows --sort "
           "$s --format jsonl | jq -rj '.file, .rank, \" \"'; echo; done",
           0);
    /* the other drive's row stays behind the first drive's; equal losses and times go by rank */
    cr_expect_str_eq(run.out, "c1 b2 a3 01 \n"
                              "a3 b2 c1 01 \n"
                              "a3 b2 c1 01 \n"
                              "c1 b2 a3 01 \n"
                              "c1 b2 a3 01 \n"
                              "c1 b2 a3 01 \n");
}

/* Equal in verdict, margin and price: the name decides, in whatever order the rows come. */
Test(run_merge, rows_alike_in_everything_are_ranked_by_file)
{
    expect("for f in b c a; do jq -c --arg f $f '.file = $f' $T/row; done > $T/rows; "
           "$S compare --merge $T/rows --format jsonl | jq -rj .file",
           0);
    cr_expect_str_eq(run.out, "abc");
}

Test(run_merge, a_count_that_is_none_is_told_with_what_was_typed)
{
    static const char *const tops[] = { "0", "x", "-1", "1x", "2.5", "99999999999999999999", "''" };
    static const char *const shards[] = { "1",  "/2",  "1/",  "1/2/3", "x/2",
                                          "1x", "0/2", "3/2", "1/0",   "1/2x" };
    char command[256];
    for (size_t i = 0; i < sizeof tops / sizeof tops[0]; i++) {
        (void)snprintf(command, sizeof command, "$S compare --merge $T/row --top %s", tops[i]);
        expect(command, 2);
        expect_in(run.err, "option '--top' ");
    }
    for (size_t i = 0; i < sizeof shards / sizeof shards[0]; i++) {
        (void)snprintf(command, sizeof command, "$S compare $E/drive.ini $E --shard %s", shards[i]);
        expect(command, 2);
        expect_in(run.err, "option '--shard' has '");
        expect_in(run.err, "'; expected K/N with K from 1 to N");
    }
}

/* A file that is none, one that runs away and one that can be used, in the same sheet. */
Test(run_merge, unreadable_rows_and_hidden_ones_are_counted)
{
    expect("echo nonsense > $T/broken.ini; "
           "$S compare $E/drive.ini $E/module-good.ini $T/broken.ini --top 1",
           0);
    expect_in(run.out, "0 APPROVE, 1 CONDITIONAL, 0 REJECT");
    expect_in(run.out, " 1 file cannot be read. 1 of 2 rows shown.");
    expect("$S compare $E/drive.ini $T/broken.ini > $T/o; code=$?; tr -s ' ' < $T/o; exit $code",
           1);
    expect_in(run.out, " unreadable - - - -\n broken.ini\n"); /* no margin, no cause, no watts */
    expect("sed 's/^rth_sa.*/rth_sa = 0.5 K\\/W/; s/^name.*//' $E/drive.ini > $T/hot.ini; "
           "$S compare $T/hot.ini $E/module-good.ini > $T/o; code=$?; tr -s ' ' < $T/o; exit $code",
           1);
    expect_in(run.out, "hot.ini\n"); /* a drive without a name is called by its file */
    expect_in(run.out, " reject - - runaway, 30 Hz -");
    expect("$S compare $T/hot.ini $E/module-good.ini --format json | "
           "jq -c '.candidates[0] | [.margin_k, .worst_hz, .worst_chip, .losses_w]'",
           0);
    cr_expect_str_eq(run.out, "[null,30,null,null]\n");
}

/* Two files that are none, against two drives: two files, in four rows. */
Test(run_merge, a_file_that_cannot_be_read_counts_once_for_all_drives)
{
    expect("mkdir $T/d $T/m; cp $E/drive.ini $T/d/a.ini; cp $E/drive.ini $T/d/b.ini; "
           "cp $E/module-good.ini $T/m; echo x > $T/m/one.ini; echo x > $T/m/two.ini; "
           "$S compare --drives $T/d $T/m",
           0);
    expect_in(run.out, " 2 files cannot be read.");
    expect("$S compare --drives $T/d $T/m --format json | jq .counts.unreadable", 0);
    cr_expect_str_eq(run.out, "4\n"); /* rows, as its list has them */
    expect("$S compare --drives $T/d $T/m --format jsonl > $T/rows; "
           "$S compare --merge $T/rows",
           0);
    expect_in(run.out, " 2 files cannot be read.");
}

/* Two parts that cover the same drives, by price: 96 a piece goes before 118. */
Test(run_merge, the_stocking_list_takes_the_cheaper_of_two_that_cover_as_much)
{
    expect("mkdir $T/d $T/m; cp $E/drive.ini $T/d/a.ini; cp $E/drive.ini $T/d/b.ini; "
           "cp $E/module-good.ini $T/m/a.ini; "
           "sed 's/^price.*/price = 96/' $E/module-good.ini > $T/m/b.ini; "
           "sed '/^price/d' $E/module-good.ini > $T/m/0.ini; "
           "$S compare --drives $T/d $T/m --format json | "
           "jq -r '.stocking_list | length, .[0].covers, .[0].file' | sed 's|.*/||'",
           0);
    cr_expect_str_eq(run.out, "1\n2\nb.ini\n");
}

/* One module against three drives: fits the first, runs away in the second, and in the third its
 * joint is not described. */
Test(run_merge, the_matrix_tells_fitting_hot_and_unreadable_apart)
{
    expect("mkdir $T/d; cp $E/drive.ini $T/d/a.ini; "
           "sed 's/^rth_sa.*/rth_sa = 0.5 K\\/W/' $E/drive.ini > $T/d/b.ini; "
           "sed '/^.joint/,/^.test/{/^.test/!d;}' $E/drive.ini > $T/d/c.ini; "
           "$S compare --drives $T/d $E/module-good.ini | tr -s ' '",
           0);
    expect_in(run.out, "0 APPROVE, 1 CONDITIONAL, 1 REJECT 3 drives");
    expect_in(run.out, "none - - -");
    expect_in(run.out, " r hot ?\n");
    expect("$S compare --drives $T/d $E/module-good.ini --format html | "
           "sed -n '/id=\"matrix\"/,/table>/s/<[^>]*>/ /gp' | tr -s ' '",
           0);
    expect_in(run.out, " reject unreadable ");
    expect("rm $T/d/a.ini; $S compare --drives $T/d $E/module-good.ini", 1);
    expect_in(run.out, "No candidate can be used in any drive.");
}

/* A page has four columns for margins; of five frequencies it shows the smallest margin. */
Test(run_merge, a_page_of_many_frequencies_shows_the_smallest_margin)
{
    expect("sed 's/^frequencies.*/frequencies = 10 20 30 40 50 Hz/' $E/drive.ini > $T/five.ini; "
           "$S compare $T/five.ini $E/module-good.ini --format html > $T/page; "
           "$S compare $T/five.ini $E/module-good.ini --format json > $T/json; "
           "grep -c 'smallest' $T/page; grep -c 'margin at' $T/page; "
           "grep -cF \"data-v=\\\"$(jq -r '.candidates[0].margin_k' $T/json)\" $T/page",
           0);
    cr_expect(strncmp(run.out, "0\n", 2) != 0 && strstr(run.out, "\n0\n"), "%s", run.out);
}

/* Drives without a name are called by their file; without a module there is nothing to stock. */
Test(run_merge, drives_without_a_name_and_a_shard_without_a_module)
{
    expect("mkdir $T/d $T/m; for f in a b; do sed '/^name/d' $E/drive.ini > $T/d/$f.ini; done; "
           "touch $T/m/a $T/m/ini $T/m/.ini; cp $E/module-good.ini $T/m/m.ini; "
           "$S compare --drives $T/d $T/m --format json > $T/o; "
           "jq -r '(.drives[].drive), (.candidates[].file)' $T/o | sed 's|.*/||'",
           0);
    cr_expect_str_eq(run.out, "a.ini\nb.ini\nm.ini\nm.ini\n");
    expect(
        "$S compare --drives $T/d $T/m --shard 2/2 --format json > $T/o; "
        "code=$?; jq -c '[.candidates, .stocking_list, (.drives | map(.part))]' $T/o; exit $code",
        1);
    cr_expect_str_eq(run.out, "[[],[],[null,null]]\n");
}

/* With every key typed and confirmed nothing stands against the part, and no heading says so. */
Test(run_merge, an_approved_candidate_has_nothing_against_it)
{
    expect("$S compare $E/drive-complete.ini $E/module-good.ini", 0);
    expect_in(run.out, "1 APPROVE, 0 CONDITIONAL, 0 REJECT");
    cr_expect_null(strstr(run.out, "First against each"));
}

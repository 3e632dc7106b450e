/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Expected: the rule in compare_names.h, worked by hand. */
#include "report/compare_names.h"

#include <criterion/criterion.h>

enum { MODULES = 6 };

/* What each file is called, given with its part. */
static void expect_names(char *const (*rows)[3], size_t n)
{
    char *parts[MODULES], *files[MODULES];
    struct sheet sheet;
    sheet_init(&sheet);
    for (size_t i = 0; i < n; i++) {
        parts[i] = rows[i][0];
        files[i] = rows[i][1];
    }
    const struct comparison about = {
        .several = true, .modules = parts, .module_files = files, .n_modules = n
    };
    struct compare_names names = compare_names_make(&sheet, &about, NULL);
    for (size_t i = 0; i < n; i++)
        cr_expect_str_eq(compare_name_of(&names, parts[i], files[i]), rows[i][2], "%s", files[i]);
    cr_expect_str_eq(compare_name_of(&names, "other", "o.ini"), "other");
    cr_expect_str_eq(compare_name_of(&names, "", "o.ini"), "o.ini");
    compare_names_release(&names);
    sheet_release(&sheet);
}

Test(compare_names, a_part_that_one_file_has_is_its_name)
{
    static char a[] = "A", b[] = "B", none[] = "";
    static char a_file[] = "m/a.ini", b_file[] = "m/b.ini", x[] = "m/x.ini", y[] = "m/y.ini";
    static char *const rows[][3] = {
        { a, a_file, a }, { b, b_file, b }, { none, x, x }, { none, y, y }
    };
    expect_names(rows, 4);
}

Test(compare_names, of_files_with_the_same_part_the_end_of_the_path_is_told)
{
    static char a[] = "A", b[] = "B";
    static char one[] = "m/a.ini", two[] = "m/b.ini", one_name[] = "A (a.ini)",
                two_name[] = "A (b.ini)", deep[] = "x/1/m.ini", other[] = "y/1/m.ini",
                deep_name[] = "B (x/1/m.ini)", other_name[] = "B (y/1/m.ini)", top[] = "m.ini",
                top_name[] = "B (m.ini)";
    static char *const rows[][3] = { { a, one, one_name },
                                     { b, deep, deep_name },
                                     { a, two, two_name },
                                     { b, other, other_name },
                                     { b, top, top_name } };
    expect_names(rows, 5);
}

Test(compare_names, rows_of_one_file_for_several_drives_are_no_clash)
{
    static char part[] = "A", file[] = "a.ini";
    struct ranked rows[2] = { { .rank = 1 }, { .rank = 2 } };
    struct sheet sheet;
    sheet_init(&sheet);
    for (size_t i = 0; i < 2; i++) {
        rows[i].candidate.part = part;
        rows[i].candidate.file = file;
    }
    const struct comparison about = { .shown = 2 };
    struct compare_names names = compare_names_make(&sheet, &about, rows);
    cr_expect_eq(names.n, 1);
    cr_expect_str_eq(compare_name_of(&names, part, file), "A");
    compare_names_release(&names);
    sheet_release(&sheet);
}

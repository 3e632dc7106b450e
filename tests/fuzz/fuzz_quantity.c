/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * Any text as a value of any dimension. */
#include "fuzz/fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static char *text_of(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    FUZZ_CHECK(text != NULL);
    memcpy(text, data, size);
    text[size] = '\0';
    return text;
}

static bool same(double a, double b)
{
    return !(a < b) && !(a > b);
}

int fuzz_quantity(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    const enum sm_dimension dimension = (enum sm_dimension)(data[0] % SM_DIM_COUNT);
    char *text = text_of(data + 1, size - 1);
    struct sm_list list = { NULL, 0 };
    struct sm_faults faults;
    double one = 0.0;

    sm_faults_init(&faults);
    const enum sm_status many = sm_quantity_parse_list(text, dimension, NULL, &list, &faults);
    fuzz_check_faults(many, &faults);
    FUZZ_CHECK(faults.count <= 1 && (many == SM_OK) == (list.n > 0));
    for (size_t i = 0; i < list.n; i++)
        FUZZ_CHECK(isfinite(list.v[i]));
    sm_faults_release(&faults);

    /* a single value is a list of one, and nothing else is */
    const enum sm_status single = sm_quantity_parse(text, dimension, NULL, &one, NULL);
    FUZZ_CHECK((single == SM_OK) == (many == SM_OK && list.n == 1));
    FUZZ_CHECK(single != SM_OK || same(one, list.v[0]));
    free(list.v);
    free(text);
    return 0;
}

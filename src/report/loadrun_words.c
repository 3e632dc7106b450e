/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/report_loadrun.h"

static const char *const practice[] = {
#define PRACTICE(id, text) text,
#include "swapmargin/practice.def"
#undef PRACTICE
};

static const char *const unseen[] = {
#define UNSEEN(id, text) text,
#include "swapmargin/unseen.def"
#undef UNSEEN
};

size_t word_practice_count(void)
{
    return sizeof practice / sizeof practice[0];
}

const char *word_practice(size_t index)
{
    return practice[index];
}

size_t word_unseen_count(void)
{
    return sizeof unseen / sizeof unseen[0];
}

const char *word_unseen(size_t index)
{
    return unseen[index];
}

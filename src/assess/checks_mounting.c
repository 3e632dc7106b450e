/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * What is settled with the part in hand.  Where the original's file says something too, the two are
 * compared; words that differ may mean the same, so a difference asks a person and rejects
 * nothing. */
#include "assess/check_row.h"
#include "assess/checks.h"

#include "base/maths.h"

static struct sm_check by_hand(enum sm_note_id what)
{
    return (struct sm_check){ .result = SM_CHECK_NOT_CHECKED, .why = { .id = what } };
}

struct sm_check check_screw_torque(const struct fit *fit)
{
    const struct sm_optional *used = &fit->drive->joint.screw_torque;
    const struct sm_list *range = &fit->module->mounting.screw_torque; /* least, most */
    struct wanted wanted = { .n = 0 };
    want_drive(&wanted, SM_DRIVE_JOINT_SCREW_TORQUE, used->given);
    want_module(&wanted, SM_MODULE_SCREW_TORQUE, range->n == 2);
    if (wanted.n > 0)
        return check_missing(SM_CHECK_SCREW_TORQUE, &wanted);
    const double least = range->v[0], most = range->v[1];
    const bool loose = exceeds(least, used->value);
    struct sm_check check =
        loose || exceeds(used->value, most)
            ? check_told(SM_CHECK_FAIL, SM_NOTE_SCREW_TORQUE_FAIL, used->value,
                         loose ? least : most)
            : check_told(SM_CHECK_PASS, SM_NOTE_SCREW_TORQUE_PASS, used->value, most);
    check.why.value[0] = used->value;
    check.why.value[1] = least;
    check.why.value[2] = most;
    return check;
}

/* -------------------------------------------------- as the original's */

/* The first B value that both thermistors are told with; false when there is none. */
static bool common_b(const struct sm_thermistor *a, const struct sm_thermistor *b, double both[2])
{
    const struct sm_optional *of_a[] = { &a->b25_50, &a->b25_80, &a->b25_100 };
    const struct sm_optional *of_b[] = { &b->b25_50, &b->b25_80, &b->b25_100 };
    for (int i = 0; i < 3; i++)
        if (of_a[i]->given && of_b[i]->given) {
            both[0] = of_a[i]->value;
            both[1] = of_b[i]->value;
            return true;
        }
    return false;
}

struct sm_check check_thermistor(const struct fit *fit)
{
    const struct sm_thermistor *own = &fit->module->thermistor;
    double b[2] = { 0.0, 0.0 };
    if (!fit->original || !own->r25.given || !fit->original->thermistor.r25.given ||
        !common_b(own, &fit->original->thermistor, b))
        return by_hand(SM_NOTE_HAND_THERMISTOR);
    const double r = own->r25.value, r_original = fit->original->thermistor.r25.value;
    const bool same = same_number(r, r_original) && same_number(b[0], b[1]);
    return (struct sm_check){
        .result = same ? SM_CHECK_PASS : SM_CHECK_WARN,
        .why = { .id = same ? SM_NOTE_THERMISTOR_PASS : SM_NOTE_THERMISTOR_WARN,
                 .value = { r, b[0], r_original, b[1] } },
    };
}

static char small(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static const char *skip_blanks(const char *p)
{
    while (*p == ' ' || *p == '\t')
        p++;
    return p;
}

bool same_words(const char *a, const char *b)
{
    for (;;) {
        a = skip_blanks(a);
        b = skip_blanks(b);
        if (*a == '\0' || small(*a) != small(*b))
            return small(*a) == small(*b);
        a++;
        b++;
    }
}

static bool is_told(const char *words)
{
    return words && words[0] != '\0';
}

/* Notes of a row that compares words. */
struct word_notes {
    enum sm_note_id pass, warn, hand;
};

static struct sm_check compared(const char *words, const char *original, struct word_notes notes)
{
    if (!is_told(words) || !is_told(original))
        return by_hand(notes.hand);
    const bool same = same_words(words, original);
    return (struct sm_check){
        .result = same ? SM_CHECK_PASS : SM_CHECK_WARN,
        .why = { .id = same ? notes.pass : notes.warn, .text = words, .other = original }
    };
}

struct sm_check check_outline(const struct fit *fit)
{
    return compared(
        fit->module->outline, fit->original ? fit->original->outline : NULL,
        (struct word_notes){ SM_NOTE_OUTLINE_PASS, SM_NOTE_OUTLINE_WARN, SM_NOTE_HAND_OUTLINE });
}

struct sm_check check_pinout(const struct fit *fit)
{
    return compared(
        fit->module->pinout, fit->original ? fit->original->pinout : NULL,
        (struct word_notes){ SM_NOTE_PINOUT_PASS, SM_NOTE_PINOUT_WARN, SM_NOTE_HAND_PINOUT });
}

/* ----------------------------------------------------- the whole bridge */

struct sm_check check_set_of_three(const struct fit *fit)
{
    if (fit->result->module_count == 1)
        return (struct sm_check){ .result = SM_CHECK_PASS,
                                  .why = { .id = SM_NOTE_SET_OF_THREE_ONE } };
    struct sm_check check = by_hand(SM_NOTE_HAND_SET_OF_THREE);
    check.why.value[0] = fit->result->module_count;
    return check;
}

struct sm_check check_same_lot(const struct fit *fit)
{
    const int parallel = fit->drive->rating.parallel;
    if (parallel == 1)
        return (struct sm_check){ .result = SM_CHECK_PASS, .why = { .id = SM_NOTE_SAME_LOT_ONE } };
    struct sm_check check = by_hand(SM_NOTE_HAND_SAME_LOT);
    check.why.value[0] = parallel;
    return check;
}

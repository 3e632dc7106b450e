/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * sum := product (("+" | "-") product)*          product := sign (("*" | "/") sign)*
 * sign := "-" sign | power                       power := atom ("^" sign)?
 * atom := number | name | name "(" list ")" | name "[" sum "]" | "(" sum ")" | "[" list "]" */
#include "support/formula.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

struct reader {
    const char *text, *at;
};

static struct node *read_sum(struct reader *reader);

static char next(struct reader *reader)
{
    while (*reader->at == ' ')
        reader->at++;
    return *reader->at;
}

static void expect(struct reader *reader, char c)
{
    cr_assert_eq(next(reader), c, "'%c' expected at '%s' in '%s'", c, reader->at, reader->text);
    reader->at++;
}

static struct node *node_new(enum node_kind kind)
{
    struct node *node = calloc(1, sizeof *node);
    cr_assert_not_null(node);
    node->kind = kind;
    node->word = -1;
    return node;
}

static struct node *node_of_two(enum node_kind kind, struct node *a, struct node *b)
{
    struct node *node = node_new(kind);
    node->argument[0] = a;
    node->argument[1] = b;
    node->n_arguments = 2;
    return node;
}

static void read_list(struct reader *reader, struct node *node, char end)
{
    do {
        reader->at++;
        cr_assert_lt(node->n_arguments, NODE_ARGUMENTS);
        node->argument[node->n_arguments++] = read_sum(reader);
    } while (next(reader) == ',');
    expect(reader, end);
}

static struct node *read_name(struct reader *reader)
{
    struct node *node = node_new(NODE_NAME);
    size_t n = 0;
    while (isalnum((unsigned char)*reader->at) || *reader->at == '_') {
        cr_assert_lt(n + 1, NODE_NAME_SIZE);
        node->name[n++] = *reader->at++;
    }
    if (next(reader) == '(') {
        node->kind = NODE_CALL;
        read_list(reader, node, ')');
    } else if (next(reader) == '[') {
        node->kind = NODE_ROW;
        read_list(reader, node, ']');
        cr_assert_eq(node->n_arguments, 1);
    }
    return node;
}

static struct node *read_atom(struct reader *reader)
{
    const char c = next(reader);
    if (isalpha((unsigned char)c))
        return read_name(reader);
    if (c == '(') {
        reader->at++;
        struct node *inside = read_sum(reader);
        expect(reader, ')');
        return inside;
    }
    if (c == '[') {
        struct node *list = node_new(NODE_LIST);
        read_list(reader, list, ']');
        return list;
    }
    char *end = NULL;
    struct node *number = node_new(NODE_NUMBER);
    number->number = strtod(reader->at, &end);
    cr_assert(end > reader->at, "no number at '%s' in '%s'", reader->at, reader->text);
    reader->at = end;
    return number;
}

static struct node *read_sign(struct reader *reader)
{
    if (next(reader) == '-') {
        reader->at++;
        struct node *node = node_new(NODE_MINUS);
        node->argument[0] = read_sign(reader);
        node->n_arguments = 1;
        return node;
    }
    struct node *base = read_atom(reader);
    if (next(reader) != '^')
        return base;
    reader->at++;
    return node_of_two(NODE_POWER, base, read_sign(reader));
}

static struct node *read_product(struct reader *reader)
{
    struct node *node = read_sign(reader);
    while (next(reader) == '*' || next(reader) == '/') {
        const enum node_kind kind = *reader->at++ == '*' ? NODE_MULTIPLY : NODE_DIVIDE;
        node = node_of_two(kind, node, read_sign(reader));
    }
    return node;
}

static struct node *read_sum(struct reader *reader)
{
    struct node *node = read_product(reader);
    while (next(reader) == '+' || next(reader) == '-') {
        const enum node_kind kind = *reader->at++ == '+' ? NODE_ADD : NODE_SUBTRACT;
        node = node_of_two(kind, node, read_product(reader));
    }
    return node;
}

struct node *formula_parse(const char *text)
{
    struct reader reader = { text, text };
    struct node *node = read_sum(&reader);
    cr_assert_eq(next(&reader), '\0', "'%s' is left over of '%s'", reader.at, text);
    return node;
}

void formula_release(struct node *node)
{
    if (!node)
        return;
    for (size_t i = 0; i < node->n_arguments; i++)
        formula_release(node->argument[i]);
    free(node);
}

/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The JSON schemas and their reference, from json.def (`make docs`).
 *
 *   schema_doc list        the documents, one a line
 *   schema_doc DOCUMENT    its schema, JSON Schema draft 2020-12
 *   schema_doc reference   docs/json.md */
#include "schema_rows.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ----------------------------------------------------------------- schema */

static json_t *reference(const char *object)
{
    return json_pack("{s:s++}", "$ref", "#/$defs/", object, "");
}

/* A type, or null as well. */
static json_t *typed(const char *type, bool null)
{
    return null ? json_pack("{s:[s,s]}", "type", type, "null") : json_pack("{s:s}", "type", type);
}

static json_t *worded(const char *list, bool null)
{
    json_t *words = schema_words(list);
    if (null)
        json_array_append_new(words, json_null());
    return json_pack("{s:o}", "enum", words);
}

static json_t *listed(json_t *items, bool null)
{
    json_t *out = typed("array", null);
    json_object_set_new(out, "items", items);
    return out;
}

static json_t *value_schema(const struct row *key)
{
    const bool null = key->null[0] != '\0';
    switch (key->type) {
    case TYPE_NUMBER:
        return typed("number", null);
    case TYPE_INTEGER:
        return typed("integer", null);
    case TYPE_TEXT:
        return typed("string", null);
    case TYPE_FLAG:
        return typed("boolean", null);
    case TYPE_WORD:
        return worded(key->of, null);
    case TYPE_OBJECT:
        return null ? json_pack("{s:[o,o]}", "anyOf", reference(key->of), typed("null", false))
                    : reference(key->of);
    case TYPE_TEXT_OR_NUMBER:
        return json_pack("{s:[s,s,s]}", "type", "string", "number", "null");
    case TYPE_NUMBERS:
        return listed(typed("number", null), false);
    case TYPE_TEXTS:
        return listed(typed("string", null), false);
    case TYPE_WORDS:
        return listed(worded(key->of, null), false);
    case TYPE_OBJECTS:
        return listed(reference(key->of), null);
    case TYPE_NOTHING:
        return typed("null", false);
    case TYPE_TABLE:
        return listed(listed(typed("number", null), false), false);
    }
    return NULL;
}

static void key_schema(void *context, const struct row *object, const struct row *key)
{
    json_t *out = context, *value = value_schema(key);
    const struct said said = schema_said(object, key);
    const bool list = key->type == TYPE_NUMBERS || key->type == TYPE_WORDS;
    char text[512];
    (void)snprintf(text, sizeof text, "%s%s%s%s%s", said.meaning,
                   key->null[0] != '\0' && said.meaning[0] != '\0' ? "; " : "",
                   key->null[0] != '\0' ? "null: " : "", key->null,
                   list && key->null[0] != '\0' ? " (single elements)" : "");
    if (text[0] != '\0')
        json_object_set_new(value, "description", json_string(text));
    if (said.unit[0] != '\0')
        json_object_set_new(value, "x-unit", json_string(said.unit));
    json_object_set_new(value, "x-of", json_string(object->name));
    if (json_object_get(json_object_get(out, "properties"), key->name))
        schema_stop(object->name, key->name, "a key given twice");
    json_object_set_new(json_object_get(out, "properties"), key->name, value);
    json_array_append_new(json_object_get(out, "required"), json_string(key->name));
}

static json_t *object_schema(const struct row *object)
{
    json_t *out = json_pack("{s:s,s:s,s:s,s:b,s:[],s:{}}", "title", object->name, "description",
                            object->meaning, "type", "object", "additionalProperties", 0,
                            "required", "properties");
    schema_keys(object, key_schema, out);
    return out;
}

static void schema_print(const struct document *document)
{
    bool reached[SCHEMA_ROWS_MOST] = { false };
    json_t *defs = json_object();
    schema_reach(document, reached);
    for (size_t i = 0; i < schema_row_count; i++)
        if (reached[i])
            json_object_set_new(defs, schema_rows[i].name, object_schema(&schema_rows[i]));
    json_t *root = json_pack(
        "{s:s,s:s+,s:s++,s:s++,s:o}", "$schema", "https://json-schema.org/draft/2020-12/schema",
        "$id", "urn:swapmargin:schema:", document->file, "description", "swapmargin ",
        document->made_by, "", "$ref", "#/$defs/", document->object, "", "$defs", defs);
    (void)json_dumpf(root, stdout, JSON_INDENT(1));
    (void)putchar('\n');
    json_decref(root);
}

/* -------------------------------------------------------------- reference */

static void type_print(const struct row *key)
{
    static const char *const names[] = {
        [TYPE_NUMBER] = "number",
        [TYPE_INTEGER] = "whole number",
        [TYPE_TEXT] = "text",
        [TYPE_FLAG] = "true or false",
        [TYPE_WORD] = "word",
        [TYPE_OBJECT] = "object",
        [TYPE_TEXT_OR_NUMBER] = "text or number",
        [TYPE_NUMBERS] = "numbers",
        [TYPE_TEXTS] = "texts",
        [TYPE_WORDS] = "words",
        [TYPE_OBJECTS] = "objects",
        [TYPE_TABLE] = "rows of numbers",
        [TYPE_NOTHING] = "null",
    };
    const bool words = key->type == TYPE_WORD || key->type == TYPE_WORDS;
    if (key->of[0] == '\0')
        printf("%s", names[key->type]);
    else if (words)
        printf("%s [%s](#words)", names[key->type], key->of);
    else
        printf("%s [%s](#%s)", names[key->type], key->of, key->of);
}

static void key_print(void *context, const struct row *object, const struct row *key)
{
    const struct said said = schema_said(object, key);
    (void)context;
    printf("| %s | ", key->name);
    type_print(key);
    printf(" | %s | %s | %s |\n", said.unit, key->null, said.meaning);
}

static void object_print(const struct row *object)
{
    printf("\n### %s\n\n%s.\n\n| key | is | unit | null when | meaning |\n|---|---|---|---|---|\n",
           object->name, object->meaning);
    schema_keys(object, key_print, NULL);
}

/* Each list that some key names, once. */
static void words_print(void)
{
    printf("\n## Words\n\n");
    for (size_t i = 0; i < schema_row_count; i++) {
        bool seen = schema_rows[i].is_object ||
                    (schema_rows[i].type != TYPE_WORD && schema_rows[i].type != TYPE_WORDS);
        for (size_t k = 0; k < i && !seen; k++)
            seen = !schema_rows[k].is_object && schema_rows[k].type != TYPE_OBJECT &&
                   schema_rows[k].type != TYPE_OBJECTS &&
                   strcmp(schema_rows[k].of, schema_rows[i].of) == 0;
        if (seen)
            continue;
        json_t *words = schema_words(schema_rows[i].of);
        printf("- %s:", schema_rows[i].of);
        for (size_t k = 0; k < json_array_size(words); k++)
            printf("%s `%s`", k > 0 ? "," : "", json_string_value(json_array_get(words, k)));
        printf("\n");
        json_decref(words);
    }
}

static void reference_print(void)
{
    bool told[SCHEMA_ROWS_MOST] = { false };
    printf(
        "# JSON\n\n"
        "Written by `make docs` from `tables/swapmargin/json.def`; the schemas beside it in\n"
        "`schema/` (JSON Schema, draft 2020-12) say the same to a program. Every key is always\n"
        "there; what was not computed is `null`, and lists may be empty. Numbers are finite and\n"
        "have ten significant digits; temperatures are in degC. The end of a key tells its\n"
        "unit.\n");
    for (size_t d = 0; d < schema_document_count; d++) {
        bool reached[SCHEMA_ROWS_MOST] = { false };
        schema_reach(&schema_documents[d], reached);
        printf("\n## %s\n\n`swapmargin %s`; [schema](schema/%s.json)\n", schema_documents[d].file,
               schema_documents[d].made_by, schema_documents[d].file);
        object_print(schema_object(schema_documents[d].object));
        told[schema_object(schema_documents[d].object) - schema_rows] = true;
        for (size_t i = 0; i < schema_row_count; i++) {
            if (reached[i] && !told[i])
                object_print(&schema_rows[i]);
            told[i] = told[i] || reached[i];
        }
    }
    words_print();
}

int main(int argc, char **argv)
{
    const char *what = argc == 2 ? argv[1] : "";
    bool done = strcmp(what, "reference") == 0;
    if (done)
        reference_print();
    for (size_t i = 0; i < schema_document_count; i++) {
        if (strcmp(what, "list") == 0)
            printf("%s\n", schema_documents[i].file);
        else if (strcmp(what, schema_documents[i].file) == 0)
            schema_print(&schema_documents[i]);
        else
            continue;
        done = true;
    }
    return done && fflush(stdout) == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

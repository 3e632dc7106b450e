/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/ini_scan.h"

#include "base/utf8.h"
#include "input/ini_text.h"
#include "input/text_file.h"

#include <stdlib.h>
#include <string.h>

#define LINE_LIMIT 1000u   /* bytes */
#define NAME_LIMIT 200u    /* bytes of a section or key name; iniparser joins both in 1,024 */
#define ENTRY_LIMIT 2000u  /* keys of one file, far more than there are */
#define SECTION_LIMIT 500u /* sections of one file */
#define FAULT_LIMIT 500u   /* faults of the syntax told of one file */

/* What stands around a key in lines pasted from elsewhere. */
#define NO_NAME " \t:,;|\"'<>/*-+"

struct scan {
    struct ini_source *source;
    struct sm_text *normal;
    struct sm_faults *faults;
    size_t first_fault; /* faults in the list before this file */
    char *pool;         /* next free byte of the source's pool */
    size_t room_sections, room_entries;
    int line;
    bool in_section;
    bool orphan;    /* a key outside a section was told */
    bool readable;  /* its name can be handed to iniparser */
    bool broken;    /* this line has its fault already */
    bool no_memory; /* nothing was read from this line on */
    size_t section; /* index of the open one */
};

static struct sm_place scan_place(const struct scan *scan, const char *key)
{
    return (struct sm_place){
        .file = scan->source->file,
        .line = scan->line,
        .section = scan->in_section ? scan->source->sections[scan->section].shown : NULL,
        .key = key,
    };
}

/* One fault a line: the first says what to mend, the others would follow from it. */
static void scan_fault(struct scan *scan, const char *key, const char *text, const char *found,
                       const char *expected)
{
    if (scan->broken)
        return;
    scan->broken = true;
    const struct sm_place place = scan_place(scan, key);
    (void)sm_fault_add(scan->faults, SM_ERR_SYNTAX, &place, "'%s' %s; %s", ini_clip(text).text,
                       found, expected);
}

static void scan_fault_plain(struct scan *scan, enum sm_status status, const char *message)
{
    const struct sm_place place = { .file = scan->source->file, .line = scan->line };
    scan->broken = true;
    (void)sm_fault_add(scan->faults, status, &place, "%s", message);
}

static const char *pool_add(struct scan *scan, const char *text, bool folded)
{
    char *at = scan->pool;
    if (folded)
        ini_fold(text, at);
    else
        memcpy(at, text, strlen(text) + 1);
    scan->pool += strlen(at) + 1;
    return at;
}

static unsigned name_hash(const char *name)
{
    unsigned hash = 2166136261u; /* FNV-1a, 32 bits: offset basis and prime */
    for (; *name; name++)
        hash = (hash ^ (unsigned char)*name) * 16777619u;
    return hash;
}

/* Room for one more element; false when memory or the limit is used up (with its fault). */
static bool list_reserve(struct scan *scan, void **list, size_t count, size_t *room, size_t size)
{
    if (count < *room)
        return true;
    const size_t more = *room ? 2 * *room : 64;
    void *grown = realloc(*list, more * size);
    if (!grown) {
        scan_fault_plain(scan, SM_ERR_MEMORY, "out of memory");
        scan->no_memory = true;
        return false;
    }
    *list = grown;
    *room = more;
    return true;
}

static bool section_open(struct scan *scan, const char *name)
{
    struct ini_source *source = scan->source;
    const char *shown = pool_add(scan, name, false);
    const char *folded = pool_add(scan, name, true);
    for (size_t i = 0; i < source->n_sections; i++) {
        if (strcmp(source->sections[i].name, folded) != 0)
            continue;
        const struct sm_place place = { scan->source->file, scan->line, shown, NULL };
        scan->section = i;
        scan->in_section = true;
        if (!scan->broken)
            (void)sm_fault_add(scan->faults, SM_ERR_KEY, &place,
                               "section given twice, first in line %d; expected once",
                               source->sections[i].line);
        return true;
    }
    if (source->n_sections >= SECTION_LIMIT) {
        scan_fault_plain(scan, SM_ERR_SYNTAX, "too many sections; the rest was not read");
        return false;
    }
    void *list = source->sections;
    if (!list_reserve(scan, &list, source->n_sections, &scan->room_sections,
                      sizeof *source->sections))
        return false;
    source->sections = list;
    scan->section = source->n_sections++;
    scan->in_section = true;
    source->sections[scan->section] =
        (struct ini_section){ folded, shown, scan->line, scan->broken };
    return true;
}

/* text starts with '['. */
static bool scan_section(struct scan *scan, char *text)
{
    char *end = strchr(text, ']');
    char name[LINE_LIMIT + 1];
    const size_t n = end ? (size_t)(end - text - 1) : strcspn(text + 1, ";#=");
    memcpy(name, text + 1, n);
    name[n] = '\0';
    ini_trim_end(name);
    const char *start = ini_skip(name);

    scan->in_section = false;
    if (!end)
        scan_fault(scan, NULL, text, "has no closing bracket", "expected [section]");
    else if (*start == '\0')
        scan_fault(scan, NULL, text, "names no section", "expected [section]");
    else if (strpbrk(start, "[:") || strlen(start) > NAME_LIMIT)
        scan_fault(scan, NULL, text, "is not a section's name", "expected [section]");
    else if (*ini_skip(end + 1) != '\0' && !strchr(";#", *ini_skip(end + 1)))
        scan_fault(scan, NULL, text, "has text after the bracket",
                   "expected the section alone, or a comment after it");

    if (!section_open(scan, start))
        return false;
    scan->readable = *start && !strpbrk(start, "[]:") && strlen(start) <= NAME_LIMIT;
    if (scan->readable)
        sm_text_add(scan->normal, "[%s]\n", scan->source->sections[scan->section].name);
    return true;
}

/* The value of "key = <p>": cut, unquoted.  NULL with a fault when it is none; *quote is what to
 * quote it with for iniparser. */
static char *scan_value(struct scan *scan, const char *key, char *p, char *quote)
{
    *quote = '"';
    if (*p == '"' || *p == '\'') {
        char *end = strchr(p + 1, *p);
        *quote = *p;
        if (!end) {
            scan_fault(scan, key, p, "has no closing quote", "expected one at the end of the text");
            return NULL;
        }
        const char *rest = ini_skip(end + 1);
        if (*rest != '\0' && *rest != ';' && *rest != '#') {
            scan_fault(scan, key, p, "goes on after the closing quote",
                       "expected nothing more, or a comment");
            return NULL;
        }
        *end = '\0';
        return p + 1;
    }
    *ini_comment(p) = '\0';
    ini_trim_end(p);
    if (strchr(p, '"'))
        *quote = '\'';
    if (strchr(p, '"') && strchr(p, '\'')) {
        scan_fault(scan, key, p, "has both kinds of quotes in it", "expected one kind at most");
        return NULL;
    }
    return p;
}

static bool entry_add(struct scan *scan, const char *key, struct ini_entry **out)
{
    struct ini_source *source = scan->source;
    if (source->n_entries >= ENTRY_LIMIT) {
        scan_fault_plain(scan, SM_ERR_SYNTAX, "too many keys; the rest was not read");
        return false;
    }
    void *list = source->entries;
    if (!list_reserve(scan, &list, source->n_entries, &scan->room_entries, sizeof *source->entries))
        return false;
    source->entries = list;
    struct ini_entry *entry = &source->entries[source->n_entries++];
    *entry = (struct ini_entry){ .section = scan->section, .line = scan->line };
    entry->key = pool_add(scan, key, false);
    entry->name = pool_add(scan, key, true);
    entry->hash = name_hash(entry->name);
    *out = entry;
    return true;
}

static void entry_check_double(struct scan *scan, const struct ini_entry *entry)
{
    for (const struct ini_entry *e = scan->source->entries; e < entry; e++) {
        if (e->hash != entry->hash || e->section != entry->section ||
            strcmp(e->name, entry->name) != 0)
            continue;
        const struct sm_place place = scan_place(scan, entry->key);
        if (!scan->broken)
            (void)sm_fault_add(scan->faults, SM_ERR_KEY, &place,
                               "key given twice, first in line %d; expected once", e->line);
        scan->broken = true;
        return;
    }
}

/* The key of a line, cut out of it; *value is what follows "=", or NULL. */
static char *scan_key(struct scan *scan, char *text, char **value)
{
    char *equals = strchr(text, '=');
    char *comment = ini_comment(text);
    *value = NULL;
    if (!equals || comment < equals) {
        *comment = '\0';
        ini_trim_end(text);
        scan_fault(scan, NULL, text, "is not understood", "expected key = value");
        text += strspn(text, NO_NAME); /* most likely its key */
        text[strcspn(text, NO_NAME)] = '\0';
        return text;
    }
    *equals = '\0';
    char *after = equals + 1;
    *value = after + (ini_skip(after) - after);
    ini_trim_end(text);
    if (*text == '\0')
        scan_fault(scan, NULL, *value, "has no key before it", "expected key = value");
    else if (strchr(text, ':') || strlen(text) > NAME_LIMIT)
        scan_fault(scan, NULL, text, "is not a key's name", "expected key = value");
    return text;
}

static bool scan_entry(struct scan *scan, char *text)
{
    if (!scan->in_section) {
        if (!scan->orphan) /* says it for all: a file of another kind has only such lines */
            scan_fault(scan, NULL, text, "stands outside a section",
                       "expected a [section] before it");
        scan->orphan = true;
        return true;
    }
    char *value = NULL;
    char quote = '"';
    char *key = scan_key(scan, text, &value);
    if (*key == '\0')
        return true;
    struct ini_entry *entry = NULL;
    if (!entry_add(scan, key, &entry))
        return false;
    entry_check_double(scan, entry);
    const bool quoted = value && (*value == '"' || *value == '\'');
    value = value && !scan->broken ? scan_value(scan, entry->key, value, &quote) : NULL;
    entry->empty = value && *value == '\0' && !quoted;
    entry->broken = scan->broken || !value || !scan->readable;
    if (!entry->broken)
        sm_text_add(scan->normal, "%s = %c%s%c\n", entry->name, quote, value, quote);
    return true;
}

/* Bytes that no text of ours has: says so and makes them harmless. */
static void line_check(struct scan *scan, char *text, size_t n)
{
    const char *found = text_complaint(text, n, "\t");
    for (size_t i = 0; found && i < n;) {
        const size_t length = utf8_length(text + i), bytes = length > 0 ? length : 1;
        if (length > 0 && !utf8_is_control(text + i)) {
            i += bytes;
            continue;
        }
        text[i] = '?';
        memmove(text + i + 1, text + i + bytes, n - (i + bytes) + 1);
        n -= bytes - 1;
        i++;
    }
    if (found)
        scan_fault(scan, NULL, text, found, "expected text in UTF-8");
}

static bool scan_line(struct scan *scan, const char *bytes, size_t n)
{
    char text[LINE_LIMIT + 8];
    scan->broken = false;
    if (n > 0 && bytes[n - 1] == '\r')
        n--;
    const bool is_long = n > LINE_LIMIT;
    if (is_long)
        n = LINE_LIMIT;
    memcpy(text, bytes, n);
    memset(text + n, 0, sizeof text - n);
    if (is_long) {
        text[utf8_cut(text, n - 1)] = '\0';
        scan_fault(scan, NULL, text, "is longer than 1,000 bytes", "expected a shorter line");
    } else {
        line_check(scan, text, n);
    }

    char *start = text + (ini_skip(text) - text);
    ini_trim_end(start);
    if (*start == '\0' || *start == ';' || *start == '#')
        return true;
    return *start == '[' ? scan_section(scan, start) : scan_entry(scan, start);
}

static void scan_lines(struct scan *scan, const char *bytes, size_t n)
{
    size_t at = 0;
    while (at < n) {
        const char *end = memchr(bytes + at, '\n', n - at);
        const size_t length = end ? (size_t)(end - (bytes + at)) : n - at;
        scan->line++;
        if (!scan_line(scan, bytes + at, length))
            return;
        if (scan->faults->count - scan->first_fault >= FAULT_LIMIT) {
            scan_fault_plain(scan, SM_ERR_SYNTAX, "too many faults; the rest was not read");
            return;
        }
        at += length + 1;
    }
}

enum sm_status ini_scan(const char *bytes, size_t n, struct ini_source *source,
                        struct sm_text *normal, struct sm_faults *faults)
{
    struct scan scan = {
        .source = source, .normal = normal, .faults = faults, .first_fault = faults->count
    };
    const char *no_text = text_is_no_text(bytes, n);
    if (no_text) { /* one fault is enough */
        scan.line = 1;
        scan_fault_plain(&scan, SM_ERR_SYNTAX, no_text);
        return SM_ERR_SYNTAX;
    }
    const size_t mark = text_mark(bytes, n);
    bytes += mark;
    n -= mark;
    if (memchr(bytes, '\r', n) && !memchr(bytes, '\n', n)) {
        scan.line = 1;
        scan_fault_plain(&scan, SM_ERR_SYNTAX, "lines end in CR alone; expected LF or CR LF");
        return SM_ERR_SYNTAX;
    }
    /* each line leaves its name twice, never longer than the line and its end */
    source->pool = malloc(2 * n + 4);
    if (!source->pool) {
        scan_fault_plain(&scan, SM_ERR_MEMORY, "out of memory");
        return SM_ERR_MEMORY;
    }
    scan.pool = source->pool;
    scan_lines(&scan, bytes, n);
    if (scan.no_memory)
        return SM_ERR_MEMORY;
    if (source->n_sections == 0 && faults->count == scan.first_fault) {
        scan.line = 0;
        scan_fault_plain(&scan, SM_ERR_SYNTAX,
                         "is empty: no section in it; expected [section] and "
                         "key = value lines");
    }
    return source->n_sections == 0 ? SM_ERR_SYNTAX : SM_OK;
}

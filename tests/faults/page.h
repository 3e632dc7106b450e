/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * The page of memory that the one who tries and the program under trial share: which call is to go
 * wrong and how, and what came of it. */
#ifndef SM_TESTS_FAULTS_PAGE_H
#define SM_TESTS_FAULTS_PAGE_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>

/* The variable of the environment that names the descriptor of the page. */
#define PAGE_VARIABLE "SM_FAULTS_PAGE"

/* Bytes that a name may have. */
enum { PAGE_NAME = 200 };

/* The name of a file that memfd_create() made. */
#define PAGE_IN_MEMORY "a file in memory"

enum page_call {
    CALL_MEMORY, /* malloc() and its kin */
    CALL_OPEN,
    CALL_FSTAT,
    CALL_READ,
    CALL_CLOSE,
    CALL_STAT,
    CALL_ACCESS,
    CALL_REALPATH,
    CALL_MKSTEMP,
    CALL_FCHMOD,
    CALL_WRITE,
    CALL_FSYNC,
    CALL_RENAME,
    CALL_UNLINK,
    CALL_FOLDER, /* open() of a folder, fdopendir() and readdir() */
    CALL_COUNT
};

enum page_action {
    ACT_FAIL,        /* the call fails with `error` */
    ACT_SHORT,       /* half of the bytes are read or written */
    ACT_VANISH,      /* the file `victim` is removed before the call */
    ACT_KILL_BEFORE, /* the program is killed before the call, */
    ACT_KILL_HALF,   /* after half of a write, */
    ACT_KILL_AFTER   /* after the call */
};

struct page {
    /* asked */
    unsigned calls;   /* a bit for each enum page_call that counts */
    unsigned long at; /* the call that goes wrong; 0: none does */
    bool lasting;     /* every call from there on */
    enum page_action action;
    int error;
    char victim[PAGE_NAME];
    size_t room; /* bytes of memory beside what the program has when it begins; 0: any */
    /* told */
    atomic_ulong counted;
    atomic_bool hit;
    enum page_call call;  /* what was hit, */
    char file[PAGE_NAME]; /* and the name of its file, "" where it has none */
};

#endif

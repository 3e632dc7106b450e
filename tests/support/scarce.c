/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/scarce.h"

#include "base/arena.h"

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_interp.h>
#include <gsl/gsl_multifit.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <gsl/gsl_roots.h>
#include <stdlib.h>

static long left = -1; /* allocations until one is refused; below 0: none is */
static long held;

void scarce_after(long before)
{
    left = before;
}

bool scarce_end(void)
{
    const bool refused = left < 0;
    left = -1;
    return refused;
}

static bool refuses(void)
{
    return left >= 0 && left-- == 0;
}

static void *taken(void *bytes)
{
    held += bytes ? 1 : 0;
    return bytes;
}

long scarce_held(void)
{
    return held;
}

/* The linker's option --wrap makes `name` the __wrap_ one, and __real_ the one that was asked for.
 */
#define TAKES(type, name, parameters, arguments)                                                   \
    type __real_##name parameters;                                                                 \
    type __wrap_##name parameters;                                                                 \
    type __wrap_##name parameters                                                                  \
    {                                                                                              \
        return refuses() ? NULL : taken(__real_##name arguments);                                  \
    }
#define GIVES_BACK(name, type)                                                                     \
    void __real_##name(type *bytes);                                                               \
    void __wrap_##name(type *bytes);                                                               \
    void __wrap_##name(type *bytes)                                                                \
    {                                                                                              \
        held -= bytes ? 1 : 0;                                                                     \
        __real_##name(bytes);                                                                      \
    }

TAKES(void *, malloc, (size_t n), (n))
TAKES(void *, calloc, (size_t n, size_t size), (n, size))
GIVES_BACK(free, void)

void *__real_realloc(void *old, size_t n);
void *__wrap_realloc(void *old, size_t n);
void *__wrap_realloc(void *old, size_t n)
{
    const bool first = !old;
    if (refuses())
        return NULL;
    void *bytes = __real_realloc(old, n);
    return first ? taken(bytes) : bytes;
}

TAKES(gsl_interp *, gsl_interp_alloc, (const gsl_interp_type *type, size_t n), (type, n))
GIVES_BACK(gsl_interp_free, gsl_interp)
TAKES(gsl_eigen_symmv_workspace *, gsl_eigen_symmv_alloc, (size_t n), (n))
GIVES_BACK(gsl_eigen_symmv_free, gsl_eigen_symmv_workspace)
TAKES(gsl_root_fsolver *, gsl_root_fsolver_alloc, (const gsl_root_fsolver_type *type), (type))
GIVES_BACK(gsl_root_fsolver_free, gsl_root_fsolver)
TAKES(gsl_vector *, gsl_vector_alloc, (size_t n), (n))
GIVES_BACK(gsl_vector_free, gsl_vector)
TAKES(gsl_matrix *, gsl_matrix_alloc, (size_t rows, size_t columns), (rows, columns))
GIVES_BACK(gsl_matrix_free, gsl_matrix)
TAKES(gsl_multifit_robust_workspace *, gsl_multifit_robust_alloc,
      (const gsl_multifit_robust_type *type, size_t n, size_t p), (type, n, p))
GIVES_BACK(gsl_multifit_robust_free, gsl_multifit_robust_workspace)
TAKES(gsl_multifit_nlinear_workspace *, gsl_multifit_nlinear_alloc,
      (const gsl_multifit_nlinear_type *type, const gsl_multifit_nlinear_parameters *parameters,
       size_t n, size_t p),
      (type, parameters, n, p))
GIVES_BACK(gsl_multifit_nlinear_free, gsl_multifit_nlinear_workspace)

/* The arena takes many arrays from one block: each of them is refused here, the block above. */
#define FROM_ARENA(type, name)                                                                     \
    type __real_##name(struct arena *arena, size_t n);                                             \
    type __wrap_##name(struct arena *arena, size_t n);                                             \
    type __wrap_##name(struct arena *arena, size_t n)                                              \
    {                                                                                              \
        if (!refuses())                                                                            \
            return __real_##name(arena, n);                                                        \
        arena->failed = true;                                                                      \
        return NULL;                                                                               \
    }

FROM_ARENA(void *, arena_bytes)
FROM_ARENA(double *, arena_doubles)

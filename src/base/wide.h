/* WIDE_CLONES before a function: it is compiled for processors with AVX-512, for those with AVX2
 * and for all others, and the right one is taken when the program starts. Results are the same to
 * the bit: the compiler may not contract or reorder (Makefile).
 *
 * Not under sanitizers, whose code would run in the choice before they are ready, nor where
 * ETABENCH_PLAIN is set.
 */
#ifndef BASE_WIDE_H
#define BASE_WIDE_H

#if defined __x86_64__ && defined __GNUC__ && !defined __clang__ && defined __gnu_linux__ &&      \
    !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__ &&                              \
    !defined ETABENCH_PLAIN
#define WIDE_CLONES __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define WIDE_CLONES
#endif

/* For what a clone calls, to be compiled with it. */
#ifdef __GNUC__
#define ALWAYS_INLINE inline __attribute__((always_inline))
#else
#define ALWAYS_INLINE inline
#endif

#endif

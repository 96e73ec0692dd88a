/* The whole demo as a folder.
 */
#ifndef DEMO_WRITE_H
#define DEMO_WRITE_H

#include "base/faults.h"

#include <stdbool.h>
#include <stdint.h>

/* The draw that `etabench demo` writes. */
#define DEMO_DRAW UINT64_C(20260616)

/* Writes README.txt, descriptions, logs and tables into a new folder. The same bytes each time: no
 * clock, no environment; numbers have fixed decimals.
 * Returns: false with a usage fault if `dir` exists (it is not touched), a machine fault if it
 * cannot be written. The folder appears whole or not at all (base/files.h). */
bool demo_write(const char *dir, struct faults *faults);

/* The same with another draw of errors, noise and clouds; 0: instruments without calibration error
 * (noise and clouds remain). */
bool demo_write_seeded(const char *dir, uint64_t draw, struct faults *faults);

#endif

/* Fuzz targets: bytes that nobody promised anything about -> the readers of the program.
 *
 * Each fuzz_NAME.c has one libFuzzer target. `make fuzz` builds them with clang and lets them
 * search; without clang, test_fuzz_NAME (replay.c) gives them the inputs of corpus/NAME. A crash
 * that was found becomes a file there.
 */
#ifndef FUZZ_FUZZ_H
#define FUZZ_FUZZ_H

#include <stddef.h>
#include <stdint.h>

/* The folder below tests/fuzz/corpus, and how many inputs it must hold at least. */
extern const char *const fuzz_name;
extern const int fuzz_inputs_least;

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { FUZZ_PATH_SIZE = 40 };

/* Bytes as a file that readers can open by name. Returns: its descriptor; the caller closes it, and
 * it is gone. Ends the program if the machine cannot. */
int fuzz_file(const uint8_t *data, size_t size, char path[FUZZ_PATH_SIZE]);

#endif

#include "tests/fuzz/fuzz.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <unistd.h>

int fuzz_file(const uint8_t *data, size_t size, char path[FUZZ_PATH_SIZE])
{
    int fd = memfd_create("fuzz", MFD_CLOEXEC);
    if (fd < 0)
        abort();
    for (size_t done = 0; done < size;) {
        ssize_t n = write(fd, data + done, size - done);
        if (n <= 0)
            abort();
        done += (size_t)n;
    }
    snprintf(path, FUZZ_PATH_SIZE, "/proc/self/fd/%d", fd);
    return fd;
}

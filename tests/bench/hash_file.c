/* The share of hashing: feeds a file to base/hash.h in pieces as the reader does and prints the seconds
 * of processor time that the hashing alone took, then the hash.
 *
 *     hash_file FILE
 */
#include "base/hash.h"

#include <fcntl.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

enum { PIECE = 64 * 1024 };

static double processor_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Returns: seconds of hashing; below 0 if the file cannot be read. */
static double hash_all(int fd, char hex[HASH_HEX_SIZE])
{
    static char piece[PIECE];
    struct hash hash;
    double sum_s = 0;
    ssize_t n;
    hash_start(&hash);
    while ((n = read(fd, piece, sizeof piece)) > 0) {
        double start_s = processor_s();
        hash_feed(&hash, piece, (size_t)n);
        sum_s += processor_s() - start_s;
    }
    hash_end(&hash, hex);
    return n == 0 ? sum_s : -1;
}

int main(int argc, char **argv)
{
    char hex[HASH_HEX_SIZE];
    int fd = argc == 2 ? open(argv[1], O_RDONLY | O_CLOEXEC) : -1;
    if (fd < 0) {
        fputs("usage: hash_file FILE\n", stderr);
        return 2;
    }
    double hashing_s = hash_all(fd, hex);
    close(fd);
    if (hashing_s < 0)
        return 5;
    printf("%.3f %s\n", hashing_s, hex);
    return 0;
}

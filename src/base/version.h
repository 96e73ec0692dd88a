/* The version, in results and in `etabench --version`. */
#ifndef BASE_VERSION_H
#define BASE_VERSION_H

#define ETABENCH_VERSION "0.1.0"

#endif

#include "base/libraries.h"

#include <csv.h>
#include <erfaextra.h>
#include <gsl/gsl_version.h>
#include <jansson.h>
#include <nettle/version.h>
#include <zlib.h>

void libraries_add(struct text *out)
{
    text_addf(out, "GSL %s, ERFA %s, libcsv %d.%d.%d, zlib %s, Nettle %d.%d, jansson %s",
              gsl_version, eraVersion(), CSV_MAJOR, CSV_MINOR, CSV_RELEASE, zlibVersion(),
              nettle_version_major(), nettle_version_minor(), jansson_version_str());
}

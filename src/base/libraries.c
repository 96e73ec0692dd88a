#include "base/libraries.h"

#include <csv.h>
#include <erfaextra.h>
#include <gsl/gsl_version.h>
#include <jansson.h>
#include <openssl/crypto.h>
#include <zlib.h>

void libraries_add(struct text *out)
{
    text_addf(out, "GSL %s, ERFA %s, libcsv %d.%d.%d, zlib %s, libcrypto %s, jansson %s",
              gsl_version, eraVersion(), CSV_MAJOR, CSV_MINOR, CSV_RELEASE, zlibVersion(),
              OpenSSL_version(OPENSSL_VERSION_STRING), jansson_version_str());
}

#include "cmd/command.h"
#include "demo/write.h"

bool cmd_demo(const struct options *options, struct text *out, struct faults *faults)
{
    const char *dir = options->operands[0];
    if (!demo_write(dir, faults))
        return false;
    text_addf(out,
              "The demo stands in %s; %s/README.txt says what it is. Go on with\n"
              "  etabench check %s/plate-a.txt\n"
              "  etabench reduce %s/plate-a.txt\n",
              dir, dir, dir, dir);
    return text_ok(out, faults);
}

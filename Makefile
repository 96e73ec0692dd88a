# etabench: `make demo` and `make check` are all that a newcomer needs.
#
#   make               build/etabench
#   make demo          install what is missing, build, reduce the demo
#   make check         install what is missing, build, run every test, also under sanitizers
#   make unit          the unit tests alone (T=name for one)
#   make bench         speed and memory on a long generated log
#   make install       DESTDIR, PREFIX honoured
#
# SANITIZE=1 builds into build/asan with address and undefined-behaviour checks.

CC      ?= cc
PREFIX  ?= /usr/local
PACKAGES = gsl inih jansson libcrypto zlib

WARN = -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes
ifdef WERROR
WARN += -Werror
endif

ifdef SANITIZE
B := build/asan
SAN := -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
OPT := -O1 -g
else
B ?= build
SAN :=
OPT := -O2 -g
endif

CFLAGS  ?= $(OPT)
# -ffp-contract=off: results agree between processors with and without fused multiply-add.
ALL_CFLAGS := -std=c11 -D_GNU_SOURCE -I. -Isrc -ffp-contract=off $(WARN) $(CFLAGS) $(SAN) -MMD -MP
LIBS := -lgsl -lgslcblas -linih -ljansson -lcrypto -lcsv -lz -lm

FIT_SRC  := $(sort $(wildcard fit/*.c))
LIB_SRC  := $(sort $(wildcard src/*/*.c plots/*.c))
UNIT_SRC := $(sort $(wildcard tests/unit/test_*.c))
AID_SRC  := $(sort $(wildcard tests/unit/aid_*.c))
GP       := $(sort $(wildcard plots/*.gp))

FIT_OBJ  := $(FIT_SRC:%.c=$(B)/obj/%.o)
LIB_OBJ  := $(LIB_SRC:%.c=$(B)/obj/%.o) $(B)/obj/gen/templates.o
AID_OBJ  := $(AID_SRC:%.c=$(B)/obj/%.o)
MAIN_OBJ := $(B)/obj/src/main.o
UNIT_BIN := $(UNIT_SRC:tests/unit/%.c=$(B)/tests/%)

.PHONY: all demo check unit cli layers deps bench clean install
all: $(B)/etabench

$(B)/obj/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -c $< -o $@

# The gnuplot templates as arrays of bytes (string literals over 4095 bytes are not portable C).
$(B)/gen/templates.c: plots/templates.sh $(GP)
	@mkdir -p $(@D)
	sh plots/templates.sh $(GP) > $@.part
	@mv $@.part $@

$(B)/obj/gen/templates.o: $(B)/gen/templates.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -c $< -o $@

$(B)/libetafit.a: $(FIT_OBJ)
	@rm -f $@
	ar rcs $@ $^

$(B)/libetabench.a: $(LIB_OBJ)
	@rm -f $@
	ar rcs $@ $^

$(B)/etabench: $(MAIN_OBJ) $(B)/libetabench.a $(B)/libetafit.a
	$(CC) $(CFLAGS) $(SAN) $(LDFLAGS) $^ $(LIBS) -o $@

$(B)/tests/%: $(B)/obj/tests/unit/%.o $(AID_OBJ) $(B)/libetabench.a $(B)/libetafit.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(SAN) $(LDFLAGS) $^ -lcmocka -ludunits2 $(LIBS) -o $@

unit: $(if $(T),$(B)/tests/test_$(T),$(UNIT_BIN))
	@set -e; for t in $^; do $$t; done

clean:
	rm -rf build

-include $(FIT_OBJ:.o=.d) $(LIB_OBJ:.o=.d) $(AID_OBJ:.o=.d) $(MAIN_OBJ:.o=.d) $(UNIT_SRC:%.c=$(B)/obj/%.d)

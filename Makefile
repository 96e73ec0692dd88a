# etabench: `make demo` and `make check` are all that a newcomer needs.
#
#   make               build/etabench
#   make demo          install what is missing, build, reduce the demo
#   make check         install what is missing, build, run every test, also under sanitizers
#   make unit          the unit tests alone (T=name for one)
#   make cli           the command-line cases alone (T=name for one)
#   make accept        rewrite what the command-line cases expect; read the diff (T=name for one)
#   make doc-commands  run the commands that README.md and docs/ show
#   make documents     write the screens, the figure and the tables of keys in the documents anew
#   make pages         open the demo's pages in a browser (tests/pages)
#   make layers        no folder includes one below it
#   make circles       no two files need each other
#   make fuzz          let clang's fuzzer search each reader for FUZZ_SECONDS (60)
#   make bench         speed and memory on long generated logs (RACE=1: beside other tools)
#   make install       DESTDIR, PREFIX honoured
#
# SANITIZE=1 builds into build/asan with address and undefined-behaviour checks,
# WERROR=1 into build/strict with warnings as errors.

CC      ?= cc
CLANG   ?= clang
PREFIX  ?= /usr/local
bindir  ?= $(PREFIX)/bin
JOBS    ?= $(shell nproc 2>/dev/null || echo 2)

# A walk that finds fewer is a failure: as many cases as git knows; raise the commands by hand.
CLI_CASES    := $(or $(filter-out 0,$(shell git ls-files 'tests/cli/*/cmd' 2>/dev/null | wc -l)),100)
DOC_COMMANDS := 50

WARN = -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes
ifdef WERROR
WARN += -Werror
B := build/strict
endif

ifdef SANITIZE
B := build/asan
SAN := -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
OPT := -O1 -g
else
B ?= build
SAN :=
OPT := -O2 -g
QUICK := src/ingest src/window
endif

# The fuzzer's own build; `make fuzz` asks for it.
ifdef FUZZ
B := build/fuzz
CC := $(CLANG)
SAN := -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all
OPT := -O1 -g
endif

CFLAGS  ?= $(OPT)
# -ffp-contract=off: results agree between processors with and without fused multiply-add.
ALL_CFLAGS := -std=c11 -D_GNU_SOURCE -I. -Isrc -ffp-contract=off $(WARN) $(CFLAGS) $(SAN) -MMD -MP
LIBS := -pthread -lgsl -lgslcblas -linih -ljansson -lnettle -lcsv -lz -lerfa -lm

# Rooms whose loops run over rows. Elsewhere -O3 only makes code longer, which counts in the memory of a
# run, and the short loops of fit/ slower.
$(foreach room,$(if $(FUZZ),,$(QUICK)),$(B)/obj/$(room)/%.o): ALL_CFLAGS += -O3

FIT_SRC  := $(sort $(wildcard fit/*.c))
LIB_SRC  := $(sort $(wildcard src/*/*.c plots/*.c))
UNIT_SRC := $(sort $(wildcard tests/unit/test_*.c tests/property/test_*.c tests/faults/test_*.c))
SHIM_SRC := tests/faults/shim.c tests/faults/scene.c
FUZZ_SRC := $(sort $(wildcard tests/fuzz/fuzz_*.c))
FUZZ_AID := tests/fuzz/file.c tests/fuzz/replay.c
AID_SRC  := $(sort $(wildcard tests/unit/aid_*.c))
GP       := $(sort $(wildcard plots/*.gp))
# What `etabench selftest` compares with.
PUBLISHED := $(sort $(wildcard testdata/published/nist-*.csv)) $(patsubst %,testdata/published/%.csv, \
             cars gum-h3 pearson-york regression-bands water-properties)

FIT_OBJ  := $(FIT_SRC:%.c=$(B)/obj/%.o)
LIB_OBJ  := $(LIB_SRC:%.c=$(B)/obj/%.o) $(B)/obj/gen/templates.o $(B)/obj/gen/published.o
AID_OBJ  := $(AID_SRC:%.c=$(B)/obj/%.o)
SHIM_OBJ := $(SHIM_SRC:%.c=$(B)/obj/%.o)
MAIN_OBJ := $(B)/obj/src/main.o
FUZZ_OBJ := $(patsubst %.c,$(B)/obj/%.o,$(FUZZ_SRC) $(FUZZ_AID))
FUZZ_BIN := $(FUZZ_SRC:tests/fuzz/%.c=$(B)/search/%)
UNIT_BIN := $(patsubst %.c,$(B)/tests/%,$(notdir $(UNIT_SRC))) \
            $(FUZZ_SRC:tests/fuzz/%.c=$(B)/tests/test_%)
UNIT_OBJ := $(UNIT_SRC:%.c=$(B)/obj/%.o)
UNIT_RUN := $(if $(T),$(B)/tests/test_$(T).run,$(UNIT_BIN:=.run))
BENCH_SRC := $(sort $(wildcard tests/bench/*.c))
BENCH_BIN := $(BENCH_SRC:tests/bench/%.c=$(B)/bench/%)
BENCH_OBJ := $(BENCH_SRC:%.c=$(B)/obj/%.o)
STUDY_SRC := $(sort $(wildcard tests/coverage/*.c))
CLANG_OK  := $(patsubst %.c,$(B)/clang/%.ok,$(FIT_SRC) $(LIB_SRC) $(wildcard src/main.c) \
             $(AID_SRC) $(SHIM_SRC) $(UNIT_SRC) $(FUZZ_SRC) $(FUZZ_AID) $(BENCH_SRC) $(STUDY_SRC))

.PHONY: all everything demo check unit $(UNIT_BIN:=.run) cli accept doc-commands documents layers circles
.PHONY: paths pages clang
.PHONY: fuzz search deps bench coverage-study clean install always
.DELETE_ON_ERROR:
all: $(B)/etabench
everything: $(B)/etabench $(UNIT_BIN) $(BENCH_BIN) $(B)/coverage/study

$(B)/obj/%.o: %.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) -c $< -o $@

# The gnuplot templates as arrays of bytes (string literals over 4095 bytes are not portable C).
$(B)/gen/templates.c: plots/templates.sh $(GP)
	@mkdir -p $(@D)
	sh plots/templates.sh $(GP) > $@.part
	@mv $@.part $@

$(B)/gen/published.c: src/selftest/published.sh $(PUBLISHED)
	@mkdir -p $(@D)
	sh src/selftest/published.sh $(PUBLISHED) > $@.part
	@mv $@.part $@

$(B)/obj/gen/%.o: $(B)/gen/%.c
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

LINK_TEST = @mkdir -p $(@D) && $(CC) $(CFLAGS) $(SAN) $(LDFLAGS) $^ -lcmocka -ludunits2 $(LIBS) -o $@
$(B)/tests/%: $(B)/obj/tests/unit/%.o $(AID_OBJ) $(B)/libetabench.a $(B)/libetafit.a
	$(LINK_TEST)
$(B)/tests/%: $(B)/obj/tests/property/%.o $(AID_OBJ) $(B)/libetabench.a $(B)/libetafit.a
	$(LINK_TEST)

# The program's calls to the system pass through tests/faults/shim.c; under the sanitizer, whose
# allocator cannot be replaced, also its allocations.
WRAPPED := open openat fopen opendir read write fsync close rename mkdtemp mkostemp posix_spawnp \
    unlink unlinkat rmdir pthread_create $(if $(SAN),malloc calloc realloc strdup)
$(B)/tests/%: $(B)/obj/tests/faults/%.o $(SHIM_OBJ) $(AID_OBJ) $(B)/libetabench.a $(B)/libetafit.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(SAN) $(LDFLAGS) $(WRAPPED:%=-Wl,--wrap=%) $^ -lcmocka $(LIBS) -o $@

# The fuzz targets twice: on the inputs that are kept, and searching (FUZZ=1).
$(B)/tests/test_fuzz_%: $(B)/obj/tests/fuzz/fuzz_%.o $(FUZZ_AID:%.c=$(B)/obj/%.o) \
    $(B)/libetabench.a $(B)/libetafit.a
	$(LINK_TEST)
$(B)/search/%: $(B)/obj/tests/fuzz/%.o $(B)/obj/tests/fuzz/file.o $(B)/libetabench.a $(B)/libetafit.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(SAN) -fsanitize=fuzzer $(LDFLAGS) $^ $(LIBS) -o $@

$(B)/coverage/study: $(STUDY_SRC:%.c=$(B)/obj/%.o) $(B)/libetabench.a $(B)/libetafit.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(SAN) $(LDFLAGS) $^ $(LIBS) -o $@

# The whole program, without the hashing of its inputs.
$(B)/bench/unhashed: $(B)/obj/tests/bench/unhashed.o $(MAIN_OBJ) $(B)/libetabench.a $(B)/libetafit.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(SAN) $(LDFLAGS) $^ $(LIBS) -o $@

$(B)/bench/%: $(B)/obj/tests/bench/%.o $(B)/libetabench.a $(B)/libetafit.a
	@mkdir -p $(@D)
	$(CC) $(CFLAGS) $(SAN) $(LDFLAGS) $^ $(LIBS) -o $@

# What is missing is named before the first compilation; once is enough.
$(B)/ready:
	@tests/install-deps --say build
	@mkdir -p $(@D) && touch $@

# Objects of another compiler or of other flags are made again.
$(B)/flags: always | $(B)/ready
	@echo '$(CC) $(ALL_CFLAGS) $(QUICK)' | cmp -s - $@ || echo '$(CC) $(ALL_CFLAGS) $(QUICK)' > $@
$(FIT_OBJ) $(LIB_OBJ) $(AID_OBJ) $(SHIM_OBJ) $(MAIN_OBJ) $(UNIT_OBJ) $(FUZZ_OBJ) $(BENCH_OBJ) $(STUDY_SRC:%.c=$(B)/obj/%.o): $(B)/flags

deps:
	@tests/install-deps build

demo: deps
	@$(MAKE) --no-print-directory -j$(JOBS) $(B)/etabench
	rm -rf $(B)/demo
	$(B)/etabench demo $(B)/demo
	$(B)/etabench reduce $(B)/demo/plate-a.txt
	$(B)/etabench reduce $(B)/demo/plate-b.txt
	$(B)/etabench reduce $(B)/demo/rig.txt
	@ls $(B)/demo/*.results/*.svg > /dev/null
	@echo; echo 'Open one of these pages; the pictures (.svg, .png) stand beside them:'
	@ls $(B)/demo/*.results/report.html

check:
	@tests/check

unit: $(UNIT_RUN)
	@test -n '$^' || { echo 'no unit test found'; exit 1; }
$(UNIT_BIN:=.run): %.run: %
	@$<

cli accept: $(B)/etabench
	@ETABENCH=$(abspath $<) JOBS=$(JOBS) tests/cli/run --at-least $(CLI_CASES) \
	    $(if $(filter accept,$@),--accept) $(T)

doc-commands: $(B)/etabench
	@ETABENCH=$(abspath $<) tests/cli/doc-commands --at-least $(DOC_COMMANDS) \
	    README.md $(sort $(wildcard docs/*.md))

documents: $(B)/etabench $(B)/tests/test_description_page
	@ETABENCH_ACCEPT=1 $(B)/tests/test_description_page
	@ETABENCH=$(abspath $<) tests/documents --write

pages: $(B)/etabench
	@ETABENCH=$(abspath $<) tests/pages/run

layers paths:
	@tests/$@

circles: $(B)/etabench
	@tests/circles $(B)/obj $(filter-out gen/%,$(patsubst $(B)/obj/%,%,$(FIT_OBJ) $(LIB_OBJ) $(MAIN_OBJ)))

# A second compiler's warnings; nothing is linked.
clang: $(CLANG_OK)
$(B)/clang/%.ok: %.c
	@mkdir -p $(@D)
	$(CLANG) $(ALL_CFLAGS) -Werror -fsyntax-only -MF $(@:.ok=.d) -MT $@ $<
	@touch $@

# The tables of docs/coverage.md; TESTS a cell, CELLS="3 4" for some of them.
coverage-study: $(B)/coverage/study
	@nice -n 19 $< $(or $(TESTS),4000) $(CELLS)

bench: $(B)/etabench $(BENCH_BIN)
	ETABENCH=$(abspath $<) BUILD=$(abspath $(B)) tests/bench/run.sh

fuzz:
	@tests/install-deps fuzz
	@$(MAKE) --no-print-directory -j$(JOBS) FUZZ=1 search

search: $(FUZZ_BIN)
	@BUILD=$(abspath $(B)) tests/fuzz/run $(or $(T),$(notdir $(FUZZ_BIN)))

install: $(B)/etabench
	install -D -m 755 $< $(DESTDIR)$(bindir)/etabench

clean:
	rm -rf build

-include $(FIT_OBJ:.o=.d) $(LIB_OBJ:.o=.d) $(AID_OBJ:.o=.d) $(MAIN_OBJ:.o=.d) $(UNIT_OBJ:.o=.d)
-include $(FUZZ_OBJ:.o=.d)
-include $(SHIM_OBJ:.o=.d) $(BENCH_OBJ:.o=.d) $(CLANG_OK:.ok=.d) $(STUDY_SRC:%.c=$(B)/obj/%.d)

# Two commands do everything: `make demo` runs the main job, `make test` passes the tests.
# The tags: `nodynamic` keeps the picture codecs inside the binary, `heic` builds the HEIC codec in (LGPL, see DEVELOPERS.md).
GO       ?= go
TAGS     := nodynamic,heic
PKGS     := ./... ./testdata/demo/...
VERSION  ?= $(shell git describe --tags --always --dirty 2>/dev/null || echo unknown)
LDFLAGS  := -s -w -X main.version=$(VERSION)
STATICCHECK := honnef.co/go/tools/cmd/staticcheck@v0.8.2
export CGO_ENABLED = 0

.PHONY: build demo test check bench golden fmt vet static race race-all regenerate browser clean

build:
	$(GO) build -trimpath -tags $(TAGS) -ldflags '$(LDFLAGS)' -o bin/undercoat ./cmd/undercoat

# The main job on the invented demo: pictures to bench sheet, in ./demo
demo: build
	rm -rf demo
	bin/undercoat demo demo

test: browser
	$(GO) test -timeout 20m -tags $(TAGS) $(PKGS)

# What continuous integration runs: everything in `test`, and the house rules. The tests draw the demo's pictures again
# and print the README's session again, and compare both with what is kept (see regenerate).
check: fmt vet static test race

fmt:
	@out=$$(gofmt -l cmd palette finish inventory testdata); if [ -n "$$out" ]; then echo "gofmt these:"; echo "$$out"; exit 1; fi

vet:
	$(GO) vet -tags $(TAGS) $(PKGS)

static:
	$(GO) run $(STATICCHECK) -tags $(TAGS) $(PKGS)

# The race detector needs cgo; only the tests are built with it, never the program. It runs over the workroom file and its
# many writers, and over the short tests of colour; `make race-all` runs it over every room and takes long.
race:
	CGO_ENABLED=1 $(GO) test -race -short -timeout 40m -tags $(TAGS) ./inventory/... ./palette/colour

race-all:
	CGO_ENABLED=1 $(GO) test -race -short -timeout 90m -tags $(TAGS) $(PKGS)

# Makes again what is generated and fails on any difference; `make test` holds these two tests too.
regenerate:
	$(GO) test -tags $(TAGS) ./testdata/demo ./cmd/undercoat -run 'TestDrawnAgain|TestReadmeSession'

golden:
	$(GO) run ./testdata/demo/draw
	$(GO) test -tags $(TAGS) ./cmd/undercoat ./finish/sheet -golden

bench:
	$(GO) test -tags $(TAGS) -run '^$$' -bench . -benchmem ./...

# Installs Chromium from Debian's packages where it is missing (the page is tested in a real browser).
browser:
	@command -v chromium >/dev/null 2>&1 || { \
	  if command -v apt-get >/dev/null 2>&1; then \
	    echo "installing chromium for the page's tests"; \
	    SUDO=; [ "$$(id -u)" = 0 ] || SUDO=sudo; \
	    $$SUDO apt-get update -qq && $$SUDO apt-get install -y -qq --no-install-recommends chromium >/dev/null; \
	  else echo "no chromium and no apt-get: the page's browser tests will be skipped"; fi; }

clean:
	rm -rf bin demo

# Every fuzz target, each for FUZZTIME.
FUZZTIME ?= 1m
.PHONY: fuzz
fuzz:
	@for pkg in $$($(GO) list -tags $(TAGS) ./...); do \
	  for f in $$($(GO) test -tags $(TAGS) -list '^Fuzz' $$pkg 2>/dev/null | grep '^Fuzz'); do \
	    echo "$$pkg $$f"; $(GO) test -tags $(TAGS) -run '^$$' -fuzz "^$$f$$" -fuzztime $(FUZZTIME) $$pkg || exit 1; \
	  done; done

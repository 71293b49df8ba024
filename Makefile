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
	rm -rf bin demo dist

# What strangers get: one archive for each system with the program, its licences, manual pages and completions, and the sums.
# Built by the patch release of Go named here, which may be newer than the one at hand; same source and name, same bytes.
RELEASE_GO := go1.26.10
PLATFORMS  := linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64
PACK       := tar --sort=name --mtime=@$(shell git log -1 --format=%ct 2>/dev/null || echo 0) --owner=0 --group=0 --numeric-owner
.PHONY: release reproducible vulnerabilities faults load
release: export GOTOOLCHAIN = $(RELEASE_GO)
release:
	rm -rf dist && mkdir dist
	$(GO) test -count=1 -tags $(TAGS) ./cmd/undercoat -run '^TestManual$$' -release $(CURDIR)/dist/papers
	@set -e; for p in $(PLATFORMS); do \
	  name=undercoat-$(VERSION)-$${p%/*}-$${p#*/}; exe=; [ $${p%/*} != windows ] || exe=.exe; mkdir dist/$$name; \
	  GOOS=$${p%/*} GOARCH=$${p#*/} $(GO) build -trimpath -buildvcs=false -tags $(TAGS) -ldflags '$(LDFLAGS)' -o dist/$$name/undercoat$$exe ./cmd/undercoat; \
	  cp -r README.md LICENSE dist/papers/man dist/papers/completions dist/$$name/; cp cmd/undercoat/others.txt dist/$$name/NOTICES.txt; cp cmd/undercoat/changes.md dist/$$name/CHANGES.md; \
	  $(PACK) -C dist -c $$name | gzip -9n > dist/$$name.tar.gz; rm -r dist/$$name; echo $$name.tar.gz; done
	rm -r dist/papers
	cd dist && sha256sum *.tar.gz > SHA256SUMS

# Two builds from two folders with a build cache each give the same bytes.
reproducible:
	@set -e; a=$$(mktemp -d); b=$$(mktemp -d); trap "rm -rf $$a $$b" EXIT; cp -r . $$b/src; \
	$(GO) build -trimpath -buildvcs=false -tags $(TAGS) -ldflags '$(LDFLAGS)' -o $$a/undercoat ./cmd/undercoat; \
	(cd $$b/src && GOCACHE=$$b/cache $(GO) build -trimpath -buildvcs=false -tags $(TAGS) -ldflags '$(LDFLAGS)' -o $$b/undercoat ./cmd/undercoat); \
	cmp $$a/undercoat $$b/undercoat && sha256sum < $$a/undercoat

# Known vulnerabilities that the program's code can reach. The database is fetched as a Go module, so a module proxy is enough.
VULNDB      := golang.org/x/vulndb@v0.0.0-20261105234957-e22db6528018
GOVULNCHECK := golang.org/x/vuln/cmd/govulncheck@v1.9.0
vulnerabilities: export GOTOOLCHAIN = $(RELEASE_GO)
vulnerabilities:
	@set -e; d=$$(mktemp -d); trap "chmod -R u+w $$d; rm -rf $$d" EXIT; \
	db=$$(cd $$d && $(GO) mod download -json $(VULNDB) | sed -n 's/.*"Dir": "\(.*\)",*/\1/p'); \
	cp -r $$db $$d/db; chmod -R u+w $$d/db; (cd $$d/db && $(GO) run ./cmd/indexdb -vulns data/osv -out $$d/index); \
	$(GO) run $(GOVULNCHECK) -db file://$$d/index -tags $(TAGS) ./...

# Faults on purpose, many: FAULTS kills at random moments, and disks that fill up.
FAULTS ?= 300
faults:
	UNDERCOAT_TEST_KILLS=$(FAULTS) $(GO) test -count=1 -timeout 60m -v -tags $(TAGS) ./inventory -run 'TestKilled|TestDiskFillsUp|TestFullDisk|TestReadOnly|TestTwoFilesWriteAtOnce'

# A large workroom, and many people on one page for LOAD (long; figures in DEVELOPERS.md).
LOAD ?= 10m
load:
	UNDERCOAT_TEST_LOAD=$(LOAD) $(GO) test -count=1 -timeout 60m -v -tags $(TAGS) ./cmd/undercoat/web -run TestLoad$$

# Every fuzz target, each for FUZZTIME.
FUZZTIME ?= 1m
.PHONY: fuzz
fuzz:
	@for pkg in $$($(GO) list -tags $(TAGS) ./...); do \
	  for f in $$($(GO) test -tags $(TAGS) -list '^Fuzz' $$pkg 2>/dev/null | grep '^Fuzz'); do \
	    echo "$$pkg $$f"; $(GO) test -tags $(TAGS) -run '^$$' -fuzz "^$$f$$" -fuzztime $(FUZZTIME) $$pkg || exit 1; \
	  done; done

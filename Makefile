# What a maintainer types. "make test" is the gate; the rest are parts of it, or
# the slower looks that do not belong in it.

GO    ?= go
TOOL   = $(GO) tool -modfile=.ci/tools/go.mod
PLATFORMS = linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64

# The race detector wants a C compiler; .ci/needs fetches one where it can.
RACE = $(shell command -v $$($(GO) env CC) >/dev/null && echo -race)

# Counts, not times: a busy machine must not decide whether a run passes.
FUZZ  ?= 5000x
BENCH ?= .

.PHONY: build test race bench fuzz cover lint dead cross generate needs clean

# One file, no C library, nothing of this machine in it.
build:
	CGO_ENABLED=0 $(GO) build -trimpath -o bin/ ./cmd/tankside

# The scripts start some five hundred short processes that do one thing after another: with
# the race detector in each they take several times as long. What runs side by side is in
# the tests that serve.
SCRIPTS = ^(TestScripts|TestReadme)$$

test: needs lint
	$(GO) test $(RACE) -timeout 30m -skip '$(SCRIPTS)' ./...
	$(GO) test -timeout 30m -run '$(SCRIPTS)' ./cmd/internal/cli

# The quick packages and the short form of the slow ones.
race:
	$(GO) test -race -short ./...

bench:
	$(GO) test -run '^$$' -bench '$(BENCH)' -benchmem ./...

fuzz:
	.ci/fuzz $(FUZZ)

cover:
	$(GO) test -short -coverpkg=./... -coverprofile=coverage.out ./...
	$(GO) tool cover -func=coverage.out | tail -n 1

lint:
	@unformatted=$$(gofmt -l .); test -z "$$unformatted" || { echo "gofmt -w these:"; echo "$$unformatted"; exit 1; }
	$(GO) vet ./...
	$(TOOL) staticcheck ./...

# What the program never reaches. A list to look at, not a gate: a formula may
# stand and be tested before a command prints it.
dead:
	$(TOOL) deadcode ./cmd/tankside

# The foreign builds, and what vet says of the files only they see.
cross:
	@set -e; for p in $(PLATFORMS); do echo "build $$p"; \
		CGO_ENABLED=0 GOOS=$${p%/*} GOARCH=$${p#*/} $(GO) build -o /dev/null ./cmd/tankside; done
	GOOS=windows $(GO) vet ./...
	GOOS=darwin $(GO) vet ./...

# Files in the tree that the declarations of the kinds write.
generate:
	rm -rf schema/kinds
	$(GO) run ./cmd/tankside kinds --schema --out schema

needs:
	@.ci/needs

clean:
	rm -rf bin demo-out coverage.out

// Package testrun says how much the tests of the module try, and keeps their garbage cheap.
package testrun

import (
	"flag"
	"os"
	"runtime/debug"
	"strconv"
	"testing"
)

// Full reports whether tests try all there is, as in CI, and not a sample.
func Full() bool { return os.Getenv("CI") != "" && !testing.Short() }

// Sample returns n where tests try all there is, and otherwise n divided by less.
func Sample(n, less int) int {
	if Full() {
		return n
	}
	return n / less
}

// Part is for tests of which internal/tools/steps counts the steps: by what it has the
// largest size divided, or 0 where they are only to be named. Elsewhere the test is skipped.
func Part(t *testing.T) int {
	part, err := strconv.Atoi(os.Getenv("MOISTHEAT_STEPS"))
	if err != nil {
		t.Skip("go run ./internal/tools/steps counts them")
	}
	return part
}

// Main runs the tests of a package, for its TestMain. Tests make much garbage and keep
// little: collected less often, it takes a fifth less of the processor. Benchmarks are run
// as the library is used.
func Main(m *testing.M) {
	flag.Parse()
	if f := flag.Lookup("test.bench"); f == nil || f.Value.String() == "" {
		debug.SetGCPercent(400)
	}
	os.Exit(m.Run())
}

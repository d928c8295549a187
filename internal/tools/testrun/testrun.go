// Package testrun says how much the tests of the module try, and keeps their garbage cheap.
package testrun

import (
	"flag"
	"os"
	"runtime/debug"
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

package loadtest_test

import (
	"os"
	"testing"
)

// full reports whether tests try all there is, as in CI, and not a sample.
func full() bool { return os.Getenv("CI") != "" && !testing.Short() }

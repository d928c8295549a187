package loadtest_test

import (
	"testing"

	"example.com/moistheat/internal/tools/testrun"
)

func TestMain(m *testing.M) { testrun.Main(m) }

// full reports whether tests try all there is, as in CI, and not a sample.
func full() bool { return testrun.Full() }

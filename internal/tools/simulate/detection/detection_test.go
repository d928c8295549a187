package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// Faults that a trace must give away do not pass, and good cycles mostly do.
func TestDetect(t *testing.T) {
	rows, err := Detect(len(faults)*60, 7)
	if err != nil || len(rows) != len(faults) {
		t.Fatalf("%d rows of %d faults, %v", len(rows), len(faults), err)
	}
	for _, r := range rows {
		share := float64(r.Stopped) / float64(r.Cycles)
		ok := r.Cycles == 60 && r.Named <= r.Stopped
		switch {
		case r.Fault == "none":
			ok = ok && share <= 0.05 // false alarms
		case strings.HasPrefix(r.Fault, "air left"), strings.HasPrefix(r.Fault, "cold place"): // some are too small to matter
			ok = ok && share >= 0.9
		default:
			ok = ok && r.Stopped == r.Cycles && r.Named == r.Cycles
		}
		if !ok {
			t.Errorf("%+v", r)
		}
	}
}

// The documentation of package cycle shows what this program prints.
func TestTableInTheDocs(t *testing.T) {
	if testing.Short() || os.Getenv("CI") == "" {
		t.Skip("10,000 cycles, in CI")
	}
	rows, err := Detect(10000, 1)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	Print(&b, rows)
	doc, err := os.ReadFile("../../../../cycle/doc.go")
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(b.String()) {
		if line = "//\t" + strings.TrimRight(line, " \n") + "\n"; !strings.Contains(string(doc), line) {
			t.Errorf("the documentation lacks %q", line)
		}
	}
}

func TestPercent(t *testing.T) {
	for _, c := range []struct {
		n, of int
		want  string
	}{{0, 10, "0.0 %"}, {1, 100000, "0.1 %"}, {99999, 100000, "99.9 %"}, {10, 10, "100.0 %"}, {1, 8, "12.5 %"}} {
		if got := percent(c.n, c.of); got != c.want {
			t.Errorf("%d of %d: got %q, want %q", c.n, c.of, got, c.want)
		}
	}
}

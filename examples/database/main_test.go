package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"

	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

// What rows say is what is judged: NULL is not recorded, and a false is a no.
func TestDay(t *testing.T) {
	doc, err := os.ReadFile("../checkload/clinic/catalogue.json")
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 3, 9, 18, 0, 0, 0, time.UTC)
	const seen = "UPDATE load SET dry = 1, decided = '2026-03-09T12:00:00+01:00', decided_by = 'C. Dorn', " +
		"release = 1 WHERE number = '8';"
	for _, tt := range []struct{ change, want string }{
		{"", "load 7: release\n  P1: release\n  P2: release\nload 8: quarantine\n  P3: quarantine\n"},
		{seen, "load 8: release\n  P3: release\n"},
		{"UPDATE load SET dry = 0", "load 7: reject\n  P1: reject\n  P2: reject\n"},
		{"UPDATE load SET hold = NULL", "load 7: quarantine\n"},
		{"UPDATE load SET decided_by = 'A. Other'", "load 7: quarantine\n"},
		{seen + "UPDATE pack SET air_pressed_out = 0 WHERE id = 'P1'", "load 8: quarantine\n"}, // the practice is suspended
	} {
		c, err := open(":memory:", string(doc), demonstration+tt.change)
		if err != nil {
			t.Fatal(tt.change, err)
		}
		var out strings.Builder
		if err := c.show(&out, "us-cdc-2003", at); err != nil {
			t.Fatal(tt.change, err)
		}
		said := strings.Builder{}
		for line := range strings.Lines(out.String()) {
			if !strings.HasPrefix(line, "  to do") {
				said.WriteString(line)
			}
		}
		if !strings.Contains(said.String(), tt.want) {
			t.Errorf("%s: got\n%s\nwant\n%s", tt.change, out.String(), tt.want)
		}
		var kept string
		var report load.Report
		if err := c.QueryRow(`SELECT doc FROM report WHERE load = '2026-0309-7'`).Scan(&kept); err != nil {
			t.Fatal(err)
		}
		if err := report.UnmarshalJSON([]byte(kept)); err != nil || report.Record != "2026-0309-7" {
			t.Errorf("the report that was kept: %v, of %q", err, report.Record)
		}
		var traces []byte
		if err := c.QueryRow(`SELECT traces FROM saved`).Scan(&traces); err != nil {
			t.Fatal(err)
		}
		policy, err := load.PolicyFor("us-cdc-2003")
		if err != nil {
			t.Fatal(err)
		}
		h, _, err := history.Load(bytes.NewReader(traces), policy)
		if err != nil || len(h.Due(at)) == 0 {
			t.Fatalf("the traces that were kept: %v", err)
		}
		for _, d := range h.Due(at) {
			if !strings.Contains(out.String(), d.String()) {
				t.Errorf("the traces that were kept say otherwise: %s", d)
			}
		}
		c.Close()
	}
}

// A value that cannot be read is an error, and no answer.
func TestBadRows(t *testing.T) {
	for _, change := range []string{"UPDATE load SET dry = 2", "UPDATE load SET dry = 'maybe'",
		"UPDATE load SET hold = 242", "UPDATE load SET hold = '242'", "UPDATE load SET day = '9.3.2026'"} {
		c, err := open(":memory:", "", demonstration+change)
		if err != nil {
			t.Fatal(err)
		}
		if records, err := c.records(); err == nil {
			t.Errorf("%s: read as %+v", change, records[0])
		}
		c.Close()
	}
}

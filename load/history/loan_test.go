package history

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat/load"
	"example.com/moistheat/packaging"
)

// A loan set is in the order of the day until a line says that it went back, or until it was packed
// again (common practice: what was lent is returned decontaminated and counted).
func TestOpenLoans(t *testing.T) {
	lent := func(id string) *load.Record {
		return ran(id, "2026-03-09 09:00", func(r *load.Record) {
			r.Packs[0].Loan = &packaging.Loan{From: "a clinic in Ulm"}
		})
	}
	again := lent("2")
	again.Packs[0].Replaces = []string{"1-1"}
	back := func(pack string, fate Fate) *StoredPack {
		return &StoredPack{Format: StoredFormat, Pack: pack, Record: pack[:1], Fate: fate}
	}
	used := back("1-1", "")
	used.Use = &Use{Patient: "p1", Time: local("2026-03-09 12:00")}
	for name, c := range map[string]struct {
		lines []any
		want  string
	}{
		"none":               {[]any{ran("1", "2026-03-09 09:00")}, ""},
		"in store":           {[]any{lent("1"), back("1-1", "")}, "1-1"},
		"used":               {[]any{lent("1"), used}, "1-1"},
		"used and sent back": {[]any{lent("1"), used, back("1-1", SentBack)}, ""},
		"packed again":       {[]any{lent("1"), again}, "2-1"},
		"not yet": {[]any{ran("1", "2026-03-20 09:00", func(r *load.Record) {
			r.Packs[0].Loan = lent("1").Packs[0].Loan
		})}, ""},
	} {
		got := ""
		for _, task := range history(t, "us-cdc-2003", c.lines...).Agenda(local("2026-03-10 08:00")) {
			if rest, found := strings.CutPrefix(task.What, "send back the loan sets that are not in use: "); found {
				got += rest
			}
		}
		assert.Equal(t, c.want, got, name)
	}
}

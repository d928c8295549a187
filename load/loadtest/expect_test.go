package loadtest_test

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
)

// recorder is a test that notes how it fails.
type recorder struct {
	testing.TB
	said  string
	ended bool
}

func (r *recorder) Helper() {}

func (r *recorder) Errorf(format string, args ...any) { r.said += fmt.Sprintf(format, args...) }

func (r *recorder) Fatal(args ...any) {
	r.said += fmt.Sprint(args...)
	r.ended = true
	runtime.Goexit()
}

// failing runs a function as a test of its own and returns how it failed.
func failing(do func(t testing.TB)) *recorder {
	r := &recorder{}
	done := make(chan struct{})
	go func() {
		defer close(done)
		do(r)
	}()
	<-done
	return r
}

func TestRunEndsTheTest(t *testing.T) {
	us := named(t, "us-cdc-2003")[0]
	went := false
	r := failing(func(t testing.TB) {
		report := loadtest.Run(t, loadtest.Container(), us, "lay a pouch film down")
		went = len(report.Packs) > 0
	})
	assert.True(t, r.ended)
	assert.False(t, went)
	assert.Contains(t, r.said, "the fault does not fit")

	r = failing(func(t testing.TB) {
		loadtest.Run(t, loadtest.Pouches(func(r *load.Record) { r.Packs[0].Items[0].Open = moistheat.No }), us)
	})
	assert.True(t, r.ended)
	assert.Contains(t, r.said, `record "pouches" under us-cdc-2003 with no fault`)
}

func TestExpect(t *testing.T) {
	us := named(t, "us-cdc-2003")[0]
	found := func(rule, pointer string, o moistheat.Outcome) loadtest.Found {
		return loadtest.Found{Rule: rule, Pointer: pointer, Outcome: o}
	}
	const u, b = moistheat.Undetermined, moistheat.Broken
	report := load.Explain(loadtest.Pouches(func(r *load.Record) {
		r.Packs[0].Condition.Intact = moistheat.No
		r.Packs[1].Condition.Dropped = moistheat.Yes
		r.Packs[0].Items[0].Open, r.Packs[1].Items[0].Open = moistheat.No, moistheat.No
		r.Waivers = append(r.Waivers, moistheat.Waiver{Rule: "load.pack.dropped", Pack: r.Packs[1].ID, Reason: "onto cloth", Author: "C. Dorn",
			Expires: r.Release.Time.Add(time.Hour)})
		r.Release.Decision = moistheat.Quarantine
	}), us)
	damaged := found("load.pack.damaged", "/packs/0/condition", b)
	hinge, other := found("packaging.hinge.closed", "/packs/0/items/0/open", b), found("packaging.hinge.closed", "/packs/1/items/0/open", b)
	assert.Empty(t, loadtest.Diff(report, hinge, damaged, other), "in any order")
	assert.Empty(t, loadtest.Diff(report, hinge, hinge, damaged, other), "each counts once")

	title := func(rule string) string {
		r, ok := load.Rule(rule)
		assert.True(t, ok)
		return r.Title
	}
	for _, test := range []struct {
		name string
		want []loadtest.Found
		diff string
	}{
		{"too many", []loadtest.Found{hinge, other}, `+ load.pack.damaged "/packs/0/condition" broken: ` + title("load.pack.damaged")},
		{"missing", []loadtest.Found{hinge, other, damaged, found("load.pack.wet", "/packs/0/condition", b)}, `- load.pack.wet "/packs/0/condition" broken`},
		{"another outcome", []loadtest.Found{hinge, other, found("load.pack.damaged", "/packs/0/condition", u)},
			`~ load.pack.damaged: want undetermined at "/packs/0/condition", found broken at "/packs/0/condition"`},
		{"another place", []loadtest.Found{hinge, other, found("load.pack.damaged", "/packs/0", b)},
			`~ load.pack.damaged: want broken at "/packs/0", found broken at "/packs/0/condition"`},
		{"both", []loadtest.Found{hinge, other, found("load.pack.damaged", "/packs/0", u)},
			`~ load.pack.damaged: want undetermined at "/packs/0", found broken at "/packs/0/condition"`},
		{"the nearer one", []loadtest.Found{damaged, found("packaging.hinge.closed", "/packs/0", b), found("packaging.hinge.closed", "/packs/0/items/0/open", u)},
			`~ packaging.hinge.closed: want broken at "/packs/0", found broken at "/packs/1/items/0/open"` + "\n" +
				`~ packaging.hinge.closed: want undetermined at "/packs/0/items/0/open", found broken at "/packs/0/items/0/open"`},
		{"waived", []loadtest.Found{hinge, other, damaged, found("load.pack.dropped", "/packs/1/condition", b)}, `- load.pack.dropped "/packs/1/condition" broken: found, but waived`},
		{"not in force", []loadtest.Found{hinge, other, damaged, found("cycle.spread.wide", "/cycle", u)}, `- cycle.spread.wide "/cycle" undetermined: the rule is not in force`},
		{"does not apply", []loadtest.Found{hinge, other, damaged, found("load.container.stacked", "/packs/0/placement", b)}, `- load.container.stacked "/packs/0/placement" broken: the rule does not apply`},
		{"no such rule", []loadtest.Found{hinge, other, damaged, found("load.pack.wett", "/packs/0/condition", b)},
			`! load.pack.wett "/packs/0/condition" broken: there is no such rule; did you mean load.pack.wet?`},
		{"not open", []loadtest.Found{hinge, other, damaged, found("load.pack.wet", "/packs/0/condition", moistheat.Met)},
			`! load.pack.wet "/packs/0/condition" met: only open findings are compared: broken, undetermined or internal`},
		{"all at once", []loadtest.Found{found("load.pack.wet", "/packs/10/condition", b), found("load.pack.wet", "/packs/9/condition", b), other, found("load.pack.damaged", "", b)},
			`- load.pack.wet "/packs/9/condition" broken` + "\n" + `- load.pack.wet "/packs/10/condition" broken` + "\n" +
				`~ load.pack.damaged: want broken at "", found broken at "/packs/0/condition"` + "\n" +
				`+ packaging.hinge.closed "/packs/0/items/0/open" broken: ` + title("packaging.hinge.closed")},
	} {
		t.Run(test.name, func(t *testing.T) {
			want := "record \"pouches\" under us-cdc-2003:\n" + test.diff + "\n"
			assert.Equal(t, want, loadtest.Diff(report, test.want...))
			r := failing(func(t testing.TB) { loadtest.Expect(t, report, test.want...) })
			assert.False(t, r.ended)
			assert.True(t, strings.HasSuffix(r.said, want), r.said)
		})
	}
}

func TestExpectNil(t *testing.T) {
	assert.Equal(t, "there is no report\n", loadtest.Diff(nil))
	r := failing(func(t testing.TB) { loadtest.Expect(t, nil) })
	assert.Contains(t, r.said, "there is no report")
}

func TestExpectFindings(t *testing.T) {
	findings := &load.Report{Findings: []moistheat.Finding{
		{Rule: "load.storage.event", Pointer: "/dropped", Outcome: moistheat.Broken},
		{Rule: "load.storage.expired", Pointer: "/expires", Outcome: moistheat.Met},
		{Rule: "load.history.overdue", Pointer: "/sterilizers/S1", Outcome: moistheat.Broken, Waiver: &moistheat.Waiver{}},
	}}
	dropped := loadtest.Found{Rule: "load.storage.event", Pointer: "/dropped", Outcome: moistheat.Broken}
	overdue := loadtest.Found{Rule: "load.history.overdue", Pointer: "/sterilizers/S1", Outcome: moistheat.Broken}
	loadtest.Expect(t, findings, dropped)
	loadtest.Expect(t, &load.Report{})
	r := failing(func(t testing.TB) { loadtest.Expect(t, findings, overdue) })
	assert.Contains(t, r.said, `- load.history.overdue "/sterilizers/S1" broken: found, but waived`)
	assert.Contains(t, r.said, `+ load.storage.event "/dropped" broken: `)
}

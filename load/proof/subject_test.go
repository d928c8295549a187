package proof_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/load/proof"
)

// A proof in which nothing is about its subject shows nothing: it says so itself, in words and
// to whoever verifies it, also where the gap was left out.
func TestNothingAboutASubjectIsNoProof(t *testing.T) {
	file := clinic(t)
	for _, s := range []proof.Subject{{Record: "L-9999"}, {Item: "no such item"}, {Patient: "HS-0000"}} {
		p := made(t, file, s)
		assert.Contains(t, p.Gaps, proof.Gap{What: proof.NoSubject}, s)
		assert.Contains(t, p.Text(), "Missing: no line of the log is about it.", s)
		assert.ErrorContains(t, p.Verify(nil), "/loads", s)
		p.Gaps = nil
		assert.ErrorContains(t, p.Verify(nil), "/loads", s)
	}
	lost := made(t, kept(t, `{"format":"moistheat.stored/1","pack":"P-77","record":"lost",`+
		`"use":{"time":"2026-03-11T09:00:00Z","patient":"`+key+`"}}`), proof.Subject{Patient: key})
	assert.NotContains(t, lost.Gaps, proof.Gap{What: proof.NoSubject}, "a line is about the patient")
	assert.Error(t, lost.Verify(nil), "no load")
	for _, s := range []proof.Subject{{Record: "load-1"}, {Item: "forceps-7"}, {Patient: key}} {
		assert.NotContains(t, made(t, file, s).Gaps, proof.Gap{What: proof.NoSubject}, s)
	}
}

// Of several lines about a load one verdict counts, as in a history: a requirement that one line
// breaks is not undone by another, and what a line lacks a later one may complete. It stands before
// the reports.
func TestOneVerdictForALoad(t *testing.T) {
	version := func(edit func(*load.Record)) string {
		r := loadtest.Pouches()
		r.ID = "load-1"
		edit(r)
		data, err := json.Marshal(r)
		require.NoError(t, err)
		return string(data)
	}
	good := version(func(*load.Record) {})
	lacks := version(func(r *load.Record) { r.Unloading = load.Unloading{} })
	bad := version(func(r *load.Record) {
		r.Monitors.Biologicals = []load.Biological{{Lot: "L1", Result: load.Positive}}
	})
	for name, c := range map[string]struct {
		lines []string
		want  moistheat.Disposition
	}{
		"one":            {[]string{good}, moistheat.Release},
		"completed":      {[]string{lacks, good}, moistheat.Release},
		"lacks":          {[]string{lacks}, moistheat.Quarantine},
		"positive later": {[]string{good, bad}, moistheat.Reject},
		"positive first": {[]string{bad, good}, moistheat.Reject},
	} {
		p := made(t, kept(t, c.lines...), proof.Subject{Record: "load-1"})
		assert.Equal(t, c.want, p.Verdict("load-1"), name)
		assert.Zero(t, p.Verdict("load-2"), name)
		top, _, _ := strings.Cut(p.Text(), "\n\n")
		counts := fmt.Sprintf("Load load-1: %s, by all its lines.", strings.ToUpper(c.want.String()))
		assert.Contains(t, top, counts, name)
	}
	assert.Zero(t, (*proof.Proof)(nil).Verdict("load-1"))
}

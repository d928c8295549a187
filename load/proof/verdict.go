package proof

import (
	"slices"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// standing is what lines about a load or a pack come to. Of two the later in this list
// counts: what is kept back for want of evidence a later line may complete, a broken requirement
// none undoes.
type standing uint8

const (
	lacking standing = iota + 1
	released
	held
	rejected
)

func (s standing) verdict() moistheat.Disposition {
	switch s {
	case released:
		return moistheat.Release
	case rejected:
		return moistheat.Reject
	case lacking, held:
		return moistheat.Quarantine
	}
	return 0
}

// standingOf returns what a report comes to that gives a verdict for a load, or for one of its packs.
func standingOf(r *load.Report, verdict moistheat.Disposition, pack string) standing {
	switch verdict {
	case moistheat.Release:
		return released
	case moistheat.Reject:
		return rejected
	}
	for _, f := range r.Findings {
		if f.Open() && f.Outcome >= moistheat.Broken && (pack == "" || f.Pack == "" || f.Pack == pack) &&
			max(f.Effect.Load, f.Effect.Pack) >= moistheat.Quarantine {
			return held
		}
	}
	return lacking
}

// together are the lines of a proof about one load.
type together struct {
	record string
	standing
	packs   map[string]standing
	lines   []string // digests of what they hold, as amendments name them
	amended []string // numbers of the lines that do
}

// Verdict returns what all lines about a load, by the id of its record, come to together, or zero
// where the proof has none. A requirement that one line breaks counts whatever the others say, and
// what a line lacks another may complete, as in a [history.History]. What an amendment takes
// back still counts, so that the history may come to a better verdict, and to no worse one.
func (p *Proof) Verdict(record string) moistheat.Disposition {
	if p == nil {
		return 0
	}
	for _, l := range p.together() {
		if l.record == record {
			return l.verdict()
		}
	}
	return 0
}

// together returns the loads, in the order of their first lines.
func (p *Proof) together() []together {
	lines := map[int]Line{}
	for _, l := range p.Lines {
		lines[l.N] = l
	}
	var out []together
	for _, j := range p.Loads {
		entry := open(lines[j.Line]).Entry
		var report load.Report
		if entry.Record == nil || report.UnmarshalJSON([]byte(j.Report)) != nil {
			continue // Verify says so
		}
		at := slices.IndexFunc(out, func(l together) bool { return l.record == entry.Record.ID })
		if at < 0 {
			at = len(out)
			out = append(out, together{record: entry.Record.ID, packs: map[string]standing{}})
		}
		l := &out[at]
		l.lines = append(l.lines, entry.Digest())
		l.standing = max(l.standing, standingOf(&report, report.Verdict.Load, ""))
		for _, v := range report.Packs {
			l.packs[v.ID] = max(l.packs[v.ID], standingOf(&report, v.Disposition, v.ID))
		}
	}
	for _, line := range p.Lines {
		a := open(line).Amendment
		for i := range out {
			if a != nil && slices.ContainsFunc(a.Lines, func(d string) bool { return slices.Contains(out[i].lines, d) }) {
				out[i].amended = append(out[i].amended, strconv.Itoa(line.N))
			}
		}
	}
	return out
}

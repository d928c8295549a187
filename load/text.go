package load

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/moistheat"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/units"
)

const columns = 80

// Text returns the report for a person, in lines of at most 80 columns: the
// verdict, each pack, what is wrong, what could not be judged and what was shown.
func (r *Report) Text() string {
	if r == nil {
		return ""
	}
	t := &textWriter{}
	t.heading(r)
	t.packs(r)
	t.section("Requirements not met", r.pick(func(f moistheat.Finding) bool { return f.Outcome >= moistheat.Broken && f.Waiver == nil }), r)
	t.questions(r)
	t.section("Accepted deviations (waivers)", r.pick(func(f moistheat.Finding) bool { return f.Waiver != nil }), r)
	t.cycle(r.Cycle)
	t.closing(r)
	return t.b.String()
}

func (r *Report) pick(want func(moistheat.Finding) bool) []moistheat.Finding {
	var out []moistheat.Finding
	for _, f := range r.Findings {
		if want(f) {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b moistheat.Finding) int { return int(b.Severity) - int(a.Severity) })
	return out
}

type textWriter struct {
	b       strings.Builder
	general bool      // something that is listed rests on general practice
	warned  []Warning // those that were printed
}

// para writes words in lines of at most 80 columns, the first line behind first
// and the others behind rest.
func (t *textWriter) para(first, rest, text string) {
	line := append(make([]byte, 0, 2*columns), first...)
	width := utf8.RuneCountInString(first)
	empty := true
	for _, w := range words(moistheat.Visible(text), columns-max(utf8.RuneCountInString(first), utf8.RuneCountInString(rest))) {
		n := utf8.RuneCountInString(w)
		if !empty && width+1+n > columns {
			t.b.Write(append(bytes.TrimRight(line, " "), '\n'))
			line, width, empty = append(line[:0], rest...), utf8.RuneCountInString(rest), true
		}
		if !empty {
			line = append(line, ' ')
			width++
		}
		line = append(line, w...)
		width += n
		empty = false
	}
	t.b.Write(append(bytes.TrimRight(line, " "), '\n'))
}

// words splits text at white space, and words that are wider than a line.
func words(text string, width int) []string {
	var out []string
	for _, w := range strings.Fields(text) {
		for utf8.RuneCountInString(w) > width {
			cut := 0
			for range width {
				_, n := utf8.DecodeRuneInString(w[cut:])
				cut += n
			}
			out = append(out, w[:cut])
			w = w[cut:]
		}
		out = append(out, w)
	}
	return out
}

func (t *textWriter) line(s string) { t.para("", "", s) }

func (t *textWriter) heading(r *Report) {
	t.para("", "  ", "Load "+prose.Name(cmp.Or(r.Load, r.Record))+", judged by "+r.Policy.Title)
	v := strings.ToUpper(r.Verdict.Load.String())
	if bad := r.refused(); r.Verdict.Load == moistheat.Release && bad > 0 {
		v += fmt.Sprintf(", except %s", prose.Plural(bad, "pack"))
	}
	if r.Verdict.Load == moistheat.Release && !r.Released() && r.refused() == 0 && len(r.Packs) > 0 {
		v += ", but a person decided to keep some of it back"
	}
	if r.Known.Alone && r.Verdict.Sterilizer == moistheat.InService {
		v += ". Nothing in this record takes the sterilizer out of service."
	} else {
		v += ". The sterilizer is " + r.Verdict.Sterilizer.String() + "."
	}
	if r.Verdict.Recall {
		v += " Recall packs already issued."
	}
	t.para("Verdict: ", "  ", v)
}

func (r *Report) refused() (n int) {
	for _, p := range r.Packs {
		if p.Disposition != moistheat.Release {
			n++
		}
	}
	return n
}

// packs lists the packs by what may happen to them.
func (t *textWriter) packs(r *Report) {
	for _, d := range []moistheat.Disposition{moistheat.Release, moistheat.Quarantine, moistheat.Reject} {
		var ids []string
		for _, p := range r.Packs {
			if p.Disposition == d {
				ids = append(ids, prose.Name(p.ID))
			}
		}
		if len(ids) > 0 {
			t.para(fmt.Sprintf("  %-11s", d), strings.Repeat(" ", 13), strings.Join(ids, ", "))
		}
	}
}

func (t *textWriter) section(title string, findings []moistheat.Finding, r *Report) {
	if len(findings) == 0 {
		return
	}
	t.b.WriteString("\n")
	t.line(fmt.Sprintf("%s (%d)", title, counted(findings)))
	for _, g := range group(findings, r) {
		f := g.findings[0]
		t.para("- ", "  ", g.where+g.message+g.more)
		if f.Waiver != nil {
			t.para("    ", "    ", "Accepted by "+f.Waiver.Author+": "+f.Waiver.Reason)
		} else if n := r.named(f.Rule); n != nil {
			t.action(n, f.Outcome, r)
		}
		var who []string
		for s := range f.Sources.All() {
			if !f.Own || r.follows(f.Rule, s) {
				who = append(who, s.String())
			}
		}
		mark := ""
		if general(&f) {
			mark, t.general = ", general practice", true
		}
		t.para("    ", "    ", f.Rule+" ["+f.Severity.String()+"]"+mark+": "+strings.Join(who, "; "))
	}
}

// action writes what a person does about a finding, behind what protects whoever does it:
// once in full, and then by the name of the hazard.
func (t *textWriter) action(n *NamedRule, o moistheat.Outcome, r *Report) {
	if o == moistheat.Undetermined {
		t.para("    ", "    ", cmp.Or(n.FindOut, "Find out what is missing, and record it."))
		return
	}
	if n.Remedy == "" {
		return
	}
	var again []string
	for h := range n.Hazards.All() {
		i := slices.IndexFunc(r.Warnings, func(w Warning) bool { return w.Hazard == h })
		if i < 0 || slices.ContainsFunc(t.warned, func(w Warning) bool { return w.Hazard == h }) {
			again = append(again, string(h))
			continue
		}
		t.warned = append(t.warned, r.Warnings[i])
		t.para("    ", "    ", "WARNING: "+string(h)+". "+r.Warnings[i].Sentence)
	}
	if len(again) > 0 {
		t.para("    ", "    ", "WARNING: "+strings.Join(again, ", ")+", as above.")
	}
	t.para("    ", "    ", n.Remedy)
}

// warnings says where what was printed of hazards comes from, and what comes before it.
func (t *textWriter) warnings() {
	var points []string
	for _, w := range t.warned {
		points = append(points, string(w.Hazard)+": "+joined(w.Sources))
	}
	t.list("The safety instructions of the sterilizer come before the warnings above, which rest on:", points)
}

func joined(sources moistheat.Sources) string {
	var out []string
	for s := range sources.All() {
		out = append(out, s.String())
	}
	return strings.Join(out, "; ")
}

// Text returns the open findings of an answer to another question than release for a
// person, under their pointers: what is wrong and what is not recorded, what to do, the
// warnings that go with it and the sources.
func (p *Policy) Text(findings []moistheat.Finding) string {
	if p == nil {
		p = &Policy{}
	}
	r := &Report{Policy: p.about(), Findings: findings, Disclaimer: moistheat.Disclaimer}
	r.Rules, r.Warnings = p.Reasons(findings)
	t := &textWriter{}
	t.section("Requirements not met", r.pick(func(f moistheat.Finding) bool { return f.Outcome >= moistheat.Broken }), r)
	t.section("What is not recorded", r.pick(func(f moistheat.Finding) bool { return f.Outcome == moistheat.Undetermined }), r)
	if t.b.Len() == 0 {
		t.line("Nothing is open.")
	}
	t.b.WriteString("\n")
	t.generally(r)
	t.warnings()
	t.line(r.Disclaimer)
	return strings.TrimLeft(t.b.String(), "\n")
}

// generally says what general practice may do, where something listed rests on it.
func (t *textWriter) generally(r *Report) {
	if t.general {
		t.line("What is marked as general practice rests on no document of this policy, under which general practice " +
			r.Policy.GeneralPractice + ".")
	}
}

// counted returns how many findings there are, those that are not listed included.
func counted(findings []moistheat.Finding) int {
	n := len(findings)
	for i := range findings {
		n += findings[i].More
	}
	return n
}

// grouped is one message about one or more places.
type grouped struct {
	where, message string
	more           string // how many are not listed
	findings       []moistheat.Finding
}

// group puts findings of one rule with one message together and names their packs.
func group(findings []moistheat.Finding, r *Report) []grouped {
	var out []grouped
	at := map[string]int{}
	more := map[string]moistheat.Finding{} // of which more are not listed, by rule
	for _, f := range findings {
		if f.More > 0 {
			more[f.Rule] = f
			f.More = 0
		}
		m := r.Message(f)
		key := f.Rule + "\x00" + m
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, grouped{message: m})
		}
		out[i].findings = append(out[i].findings, f)
	}
	for i := len(out) - 1; i >= 0; i-- {
		g := &out[i]
		g.where = r.where(g.findings)
		if f, cut := more[g.findings[0].Rule]; cut { // said where the rule is listed last
			g.more = moistheat.Rule{}.Message(moistheat.Finding{More: f.More}) // in the words of any rule
			delete(more, f.Rule)
		}
	}
	return out
}

// where names the packs that findings point into, as "Pack P1, P2: ", or in an answer that
// is no report, which lists no packs, the pointers.
func (r *Report) where(findings []moistheat.Finding) string {
	if r.Format == "" {
		return pointers(findings)
	}
	var ids []string
	seen := map[string]bool{}
	for _, f := range findings {
		i, ok := packOf(f.Pointer)
		if !ok || i >= len(r.Packs) {
			return ""
		}
		if id := r.Packs[i].ID; !seen[id] {
			seen[id] = true
			ids = append(ids, prose.Name(id))
		}
	}
	if len(ids) == 1 {
		return "Pack " + ids[0] + ": "
	}
	if len(ids) > 8 {
		ids = append(ids[:7], prose.Plural(len(ids)-7, "other"))
	}
	return "Packs " + strings.Join(ids, ", ") + ": "
}

func pointers(findings []moistheat.Finding) string {
	var out []string
	for _, f := range findings {
		if p := cmp.Or(f.Pointer, "the document"); !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	if len(out) > 8 {
		out = append(out[:7], prose.Plural(len(out)-7, "other"))
	}
	return strings.Join(out, ", ") + ": "
}

// byRule puts findings of one rule together, in the words of the rule where they
// are about different things.
func byRule(findings []moistheat.Finding, r *Report) []grouped {
	var out []grouped
	at := map[string]int{}
	for _, g := range group(findings, r) {
		id := g.findings[0].Rule
		i, ok := at[id]
		if !ok {
			at[id] = len(out)
			out = append(out, g)
			continue
		}
		o := &out[i]
		o.findings, o.more = append(o.findings, g.findings...), o.more+g.more
		if n := r.named(id); n != nil {
			o.message = "Not recorded of every pack or item, whether this holds: " + n.Title
		}
	}
	for i := range out {
		out[i].where = r.where(out[i].findings)
	}
	return out
}

func (t *textWriter) cycle(c *CycleSummary) {
	if c == nil || !c.Hold.IsValid() {
		return
	}
	t.b.WriteString("\n")
	t.line("What the physical record shows")
	hold := "- hold by the coldest point " + c.Hold.String()
	if c.LastToArrive != "" && c.FirstToLeave != "" {
		hold += ", from the arrival of sensor " + prose.Name(c.LastToArrive) +
			" to the leaving of sensor " + prose.Name(c.FirstToLeave)
	}
	if c.RequiredHold.IsValid() {
		hold += "; required " + c.RequiredHold.String() + " (" + c.Requirement + ")"
	}
	t.para("", "  ", hold)
	if c.Coldest.IsValid() {
		t.line("- between " + c.Coldest.String() + " and " + c.Hottest.String() + " during the holding time")
	}
	if c.SaturationError.IsValid() {
		t.line("- within " + c.SaturationError.String() + " of saturated steam")
	}
	if c.Lethality.IsValid() {
		t.para("", "  ", "- lethality "+c.Lethality.Convert(units.Minute, 1, units.Down).String()+" at "+c.Reference.String()+", z "+c.Z.String()+
			"; for information, it does not replace the holding time")
	}
}

// list writes what there is of a list, a point a line.
func (t *textWriter) list(title string, points []string) {
	if len(points) > 0 {
		t.line(title)
	}
	for _, p := range points {
		t.para("- ", "  ", p)
	}
}

func (t *textWriter) closing(r *Report) {
	var met, na, off int
	for _, c := range r.Counts {
		met += c.Met
		na += c.NotApplicable
		off += c.NotInForce
	}
	t.b.WriteString("\n")
	t.line(fmt.Sprintf("%s asked, some more than once: %d times met, %d not applicable, %d not in force under this policy.",
		prose.Plural(len(r.Counts), "rule"), met, na, off))
	t.generally(r)
	t.list("The policy asks less than the one it builds on:", r.Policy.AsksLess)
	t.list("The policy leaves open:", r.Policy.LeavesOpen)
	if d := r.Policy.Digest; len(d) > 12 {
		t.para("", "  ", "The policy "+r.Policy.Name+" is the one with the digest "+d[:12]+".")
	}
	if r.Known.Alone {
		t.line("This report rests on this record alone: nothing from a history of the sterilizer was known for it.")
	} else if d := r.Known.Digest; len(d) > 12 {
		t.line("What was known of the sterilizer is of " + r.Known.At.Format(stamp) + ", with the digest " + d[:12] + ".")
	}
	t.practice(r.Catalogue)
	if r.Omitted > 0 {
		t.line(fmt.Sprintf("%s left out of the lists above for their number.", prose.Plural(r.Omitted, "finding")))
	}
	t.warnings()
	t.line(r.Disclaimer)
}

// practice says what of the record rests on standing practice.
func (t *textWriter) practice(u *CatalogueUse) {
	if u == nil {
		return
	}
	names := func(ids []string) string {
		out := make([]string, len(ids))
		for i, id := range ids {
			out[i] = prose.Name(id)
		}
		return strings.Join(out, ", ")
	}
	if u.Members > 0 {
		t.para("", "  ", "Rests on standing practice: "+prose.Plural(u.Members, "answer")+" ("+names(u.Practices)+").")
	}
	if len(u.Suspended) > 0 {
		t.para("", "  ", "Practices suspended, because a load shows otherwise: "+names(u.Suspended)+".")
	}
}

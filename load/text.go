package load

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/internal/prose"
	"example.com/moistheat/load/internal/rules"
	"example.com/moistheat/units"
)

// Text returns the report for a person, in its language and in lines of at most 80
// columns or of the width of the language ([moistheat.Language.Wide]): the verdict, each pack,
// what is wrong, what could not be judged and what was shown.
func (r *Report) Text() string {
	if r == nil {
		return ""
	}
	t := &textWriter{in: r.Language}
	t.heading(r)
	t.packs(r)
	t.section("Requirements not met ({count})",
		r.pick(func(f moistheat.Finding) bool { return f.Outcome >= moistheat.Broken && f.Waiver == nil }), r)
	t.questions(r)
	t.section("Accepted deviations (waivers) ({count})",
		r.pick(func(f moistheat.Finding) bool { return f.Waiver != nil }), r)
	t.cycle(r)
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
	in      moistheat.Language
	b       strings.Builder
	general bool      // something that is listed rests on general practice
	warned  []Warning // those that were printed
}

// para writes words in lines of the language's width, the first line behind first and the
// others behind rest.
func (t *textWriter) para(first, rest, text string) { t.b.WriteString(t.in.Wrap(first, rest, text)) }

func (t *textWriter) line(s string) { t.para("", "", s) }

// say is [say] in the language of the text.
func (t *textWriter) say(text lang.Text, pairs ...string) string { return say(t.in, text, pairs...) }

func (t *textWriter) heading(r *Report) {
	t.para("", "  ", t.say("Load {load}, assessed against: {policy}", "load", prose.Name(cmp.Or(r.Load, r.Record)),
		"policy", r.Policy.Title))
	v := strings.ToUpper(t.in.Word("moistheat.Disposition", r.Verdict.Load.String()))
	switch bad, kept := r.refused(), r.keptBack(); {
	case r.Verdict.Load != moistheat.Release:
	case kept > 0 && bad+kept == len(r.Packs):
		v = t.say("KEPT BACK by a person's decision, whatever the evidence supports")
	default:
		if bad > 0 {
			v += plural(t.in, bad, ", except 1 pack", ", except {n} packs")
		}
		if kept > 0 {
			v += plural(t.in, kept, ", except 1 pack that a person kept back",
				", except {n} packs that a person kept back")
		}
	}
	if r.Known.Alone && r.Verdict.Sterilizer == moistheat.InService {
		v += t.say(". Nothing in this record takes the sterilizer out of service.")
	} else {
		v += t.say(". The sterilizer is {service:moistheat.Service}.", "service", r.Verdict.Sterilizer.String())
	}
	if r.Verdict.Recall {
		v += t.say(" Recall packs already issued.")
	}
	t.para(t.say("Verdict: "), "  ", v)
	for i := range r.Findings { // signed before the evidence was there
		if f := &r.Findings[i]; f.Outcome == moistheat.Undetermined && f.Rule == book.Rule(releaseContradicted).ID {
			t.para("", "  ", r.Message(*f))
		}
	}
}

func (r *Report) refused() (n int) {
	for _, p := range r.Packs {
		if p.Disposition != moistheat.Release {
			n++
		}
	}
	return n
}

// keptBack counts the packs that the evidence would release and a person would not.
func (r *Report) keptBack() (n int) {
	for _, p := range r.Packs {
		if p.Disposition == moistheat.Release && p.KeptBack {
			n++
		}
	}
	return n
}

// packs lists the packs by what may happen to them.
func (t *textWriter) packs(r *Report) {
	all := []moistheat.Disposition{moistheat.Release, 0, moistheat.Quarantine, moistheat.Reject} // 0: kept back
	names, width := make([]string, len(all)), 11
	for i, d := range all {
		if names[i] = t.say("kept back"); d != 0 {
			names[i] = t.in.Word("moistheat.Disposition", d.String())
		}
		width = max(width, utf8.RuneCountInString(names[i])+1)
	}
	for i, d := range all {
		var ids []string
		for _, p := range r.Packs {
			keptBack := p.Disposition == moistheat.Release && p.KeptBack
			if keptBack == (d == 0) && (d == 0 || p.Disposition == d) {
				ids = append(ids, prose.Name(p.ID))
			}
		}
		if len(ids) > 0 {
			t.para(fmt.Sprintf("  %-*s", width, names[i]), strings.Repeat(" ", width+2), strings.Join(ids, ", "))
		}
	}
}

func (t *textWriter) section(title lang.Text, findings []moistheat.Finding, r *Report) {
	if len(findings) == 0 {
		return
	}
	t.b.WriteString("\n")
	groups := group(findings, r)
	t.line(t.say(title, "count", strconv.Itoa(len(groups))))
	for i, g := range groups {
		f := g.findings[0]
		t.para("- ", "  ", g.where+g.message+g.more)
		if i+1 < len(groups) && t.together(&f, &groups[i+1].findings[0], r) {
			continue // the same is done about the next one, and said there
		}
		if f.Waiver != nil {
			t.para("    ", "    ", t.say("Accepted by {author}: {reason}", "author", f.Waiver.Author, "reason", f.Waiver.Reason))
		} else if n := r.named(f.Rule); n != nil {
			t.action(n, f, r)
		}
		t.cite("    ", &f, r)
	}
}

// cite names the rule of a finding and what it rests on.
func (t *textWriter) cite(indent string, f *moistheat.Finding, r *Report) {
	var who []string
	for s := range f.Sources.All() {
		if !f.Own || r.follows(f.Rule, s) {
			who = append(who, sourceIn(t.in, s))
		}
	}
	mark := ""
	if general(f) {
		mark, t.general = t.say(", general practice"), true
	}
	t.para(indent, indent, f.Rule+" ["+t.in.Word("moistheat.Severity", f.Severity.String())+"]"+mark+": "+
		strings.Join(who, "; "))
}

// unrecorded lists what is not recorded by what a person does to find it out.
func (t *textWriter) unrecorded(findings []moistheat.Finding, r *Report) {
	if len(findings) == 0 {
		return
	}
	var acts []string
	of, texts := map[string][]moistheat.Finding{}, map[string]string{}
	for _, f := range findings {
		n := orElse(r.named(f.Rule), &NamedRule{})
		act, text := r.findOut(n, &f)
		if of[act] == nil {
			acts, texts[act] = append(acts, act), cmp.Or(text, t.say("Find out what is missing, and record it."))
		}
		of[act] = append(of[act], f)
	}
	t.b.WriteString("\n")
	t.line(t.say("What is not recorded ({count})", "count", strconv.Itoa(len(acts))))
	for _, act := range acts {
		t.warn("  ", actOf(act).Hazards, r)
		t.para("- ", "  ", texts[act])
		for _, g := range group(of[act], r) {
			t.para("    - ", "      ", g.where+g.message+g.more)
			t.cite("      ", &g.findings[0], r)
		}
	}
}

// together reports whether two findings are of one rule, and the same is to be done about them
// for the same reasons.
func (t *textWriter) together(a, b *moistheat.Finding, r *Report) bool {
	n := r.named(a.Rule)
	return n != nil && a.Rule == b.Rule && a.Outcome == b.Outcome && a.Waiver == nil && b.Waiver == nil &&
		a.Sources.Equal(b.Sources) && a.Own == b.Own && t.remedy(n, a, r) == t.remedy(n, b, r)
}

// remedy returns what a person does about a finding.
func (t *textWriter) remedy(n *NamedRule, f *moistheat.Finding, r *Report) string {
	if f.Outcome == moistheat.Undetermined {
		_, text := r.findOut(n, f)
		return cmp.Or(text, t.say("Find out what is missing, and record it."))
	}
	if n.Remedy == "" {
		return ""
	}
	return t.in.Text(n.Remedy, f.Params...)
}

// action writes what a person does about a finding, behind what protects whoever does it:
// once in full, and then by the name of the hazard.
func (t *textWriter) action(n *NamedRule, f moistheat.Finding, r *Report) {
	if n.Why != "" && f.Outcome == moistheat.Broken {
		t.para("    ", "    ", t.say("Why: {why}", "why", n.Why))
	}
	text := t.remedy(n, &f, r)
	if text == "" {
		return
	}
	t.warn("    ", slices.Collect(n.Hazards.All()), r)
	t.para("    ", "    ", text)
}

// warn writes what protects from hazards.
func (t *textWriter) warn(indent string, hazards []moistheat.Hazard, r *Report) {
	var again []string
	for _, h := range hazards {
		i := slices.IndexFunc(r.Warnings, func(w Warning) bool { return w.Hazard == h })
		if i < 0 || slices.ContainsFunc(t.warned, func(w Warning) bool { return w.Hazard == h }) {
			again = append(again, t.in.Word("moistheat.Hazard", string(h)))
			continue
		}
		t.warned = append(t.warned, r.Warnings[i])
		t.para(indent, indent, t.say("WARNING: {hazard:moistheat.Hazard}. {sentence}", "hazard", string(h), "sentence",
			r.Warnings[i].Sentence))
	}
	if len(again) > 0 {
		t.para(indent, indent, t.say("WARNING: {hazards}, as above.", "hazards", strings.Join(again, ", ")))
	}
}

// warnings says where what was printed of hazards comes from, and what comes before it.
func (t *textWriter) warnings() {
	var points []string
	for _, w := range t.warned {
		points = append(points, t.in.Word("moistheat.Hazard", string(w.Hazard))+": "+joined(t.in, w.Sources))
	}
	t.list("The safety instructions of the sterilizer come before the warnings above, which rest on:", points)
}

func joined(l moistheat.Language, sources moistheat.Sources) string {
	var out []string
	for s := range sources.All() {
		out = append(out, sourceIn(l, s))
	}
	return strings.Join(out, "; ")
}

// sourceIn is [moistheat.Source.String] with the basis in a language.
func sourceIn(l moistheat.Language, s moistheat.Source) string {
	basis := s.Basis.String()
	return strings.TrimSuffix(s.String(), "("+basis+")") + "(" + l.Word("moistheat.Basis", basis) + ")"
}

// urgency is how soon something must be done about a finding of a history.
type urgency int

const (
	implantOut urgency = iota // an implant that is out must be found
	packsOut                  // packs that are out must be found
	toFind                    // where such packs are is not known
	keptBack                  // packs are not to be used, or the sterilizer is not
	allElse
)

func urgencyOf(f *moistheat.Finding) urgency {
	switch recall := f.Effect.Recall; {
	case recall && f.Rule == rules.Book.Rule(rules.RecallImplant).ID:
		return implantOut
	case recall:
		return packsOut
	case f.Rule == rules.Book.Rule(rules.RecallUntraced).ID:
		return toFind
	case f.Effect != (moistheat.Effect{}):
		return keptBack
	}
	return allElse
}

// Text returns the open findings of an answer to another question than release for a
// person: what packs to recall, what else is wrong and what is not recorded, in each part what
// keeps packs back before the rest, with what to do, the warnings that go with it and the sources.
func (p *Policy) Text(findings []moistheat.Finding) string { return p.Reasons(findings).Text(findings) }

// Text returns what [Policy.Text] does of the findings that r is about.
func (r Reasons) Text(findings []moistheat.Finding) string { return r.report(findings).answer() }

// answer returns the text of a report that has no verdict.
func (r *Report) answer() string {
	t := &textWriter{in: r.Language}
	for _, s := range [...]struct {
		title lang.Text
		want  func(*moistheat.Finding) bool
	}{
		{"Recall packs already issued (findings: {count})", func(f *moistheat.Finding) bool {
			return f.Outcome >= moistheat.Broken && urgencyOf(f) <= toFind
		}},
		{"Requirements not met ({count})", func(f *moistheat.Finding) bool {
			return f.Outcome >= moistheat.Broken && urgencyOf(f) > toFind
		}},
	} {
		t.section(s.title, r.urgent(s.want), r)
	}
	t.unrecorded(r.urgent(func(f *moistheat.Finding) bool { return f.Outcome == moistheat.Undetermined }), r)
	if t.b.Len() == 0 {
		t.line(t.say("Nothing is open."))
	}
	t.b.WriteString("\n")
	t.generally(r)
	t.warnings()
	t.line(r.Disclaimer)
	return strings.TrimLeft(t.b.String(), "\n")
}

// urgent returns findings of an answer, the most urgent first.
func (r *Report) urgent(want func(*moistheat.Finding) bool) []moistheat.Finding {
	found := r.pick(func(f moistheat.Finding) bool { return want(&f) })
	slices.SortStableFunc(found, func(a, b moistheat.Finding) int {
		return cmp.Or(cmp.Compare(urgencyOf(&a), urgencyOf(&b)), cmp.Compare(b.Severity, a.Severity),
			strings.Compare(a.Rule, b.Rule))
	})
	return found
}

// Heading returns the line that stands above a text of findings: whose documents they were held
// against and as of when, which is a day or an instant (RFC 3339), or nothing.
func (p *Policy) Heading(when string) string {
	if p == nil {
		p = &noPolicy
	}
	says := lang.Text("Assessed against: {policy}")
	if when != "" {
		says = "Assessed against: {policy}; as of {when:date}"
	}
	return p.in.Wrap("", "  ", say(p.in, says, "policy", p.in.Text(p.Title()), "when", when))
}

// Closing returns what stands below a text: what the warnings in it rest on, and what it is for.
func (p *Policy) Closing(warned ...Warning) string {
	t := &textWriter{in: cmp.Or(p, &noPolicy).in, warned: warned}
	t.warnings()
	t.line(t.in.Text(moistheat.Disclaimer))
	return t.b.String()
}

// generally says what general practice may do, where something listed rests on it.
func (t *textWriter) generally(r *Report) {
	switch {
	case !t.general:
	case r.Policy.GeneralPractice == t.say(mayQuarantine):
		t.line(t.say("What is marked as general practice rests on no document of this policy; it counts as other rules do."))
	default:
		t.line(t.say("What is marked as general practice rests on no document of this policy, under which general practice "+
			"{does}.", "does", t.in.Text(r.Policy.GeneralPractice)))
	}
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
			g.more = r.Language.Message(moistheat.Rule{}, moistheat.Finding{More: f.More}) // in the words of any rule
			delete(more, f.Rule)
		}
	}
	return out
}

// where names the packs that findings point into, as "Pack P1, P2: ", or in an answer that
// is no report, which lists no packs, what they are about.
func (r *Report) where(findings []moistheat.Finding) string {
	if r.Format == "" {
		return r.places(findings)
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
		return say(r.Language, "Pack {pack}: ", "pack", ids[0])
	}
	return say(r.Language, "Packs {packs}: ", "packs", strings.Join(r.first(ids), ", "))
}

// first returns the first of many names, and how many others there are.
func (r *Report) first(names []string) []string {
	if len(names) <= 8 {
		return names
	}
	return append(names[:7], plural(r.Language, len(names)-7, "1 other", "{n} others"))
}

// places names what findings of an answer that is no report are about, as
// "Load 411, Load 412: "; of one thing alone they name nothing.
func (r *Report) places(findings []moistheat.Finding) string {
	var out []string
	for _, f := range findings {
		if p := place(r.Language, &f); p != "" && !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(r.first(out), ", ") + ": "
}

// place names what a finding is about: a pack, whose items the message names, else what
// of a history has an id of its own, else nothing.
func place(in moistheat.Language, f *moistheat.Finding) string {
	if f.Pack != "" {
		return say(in, "Pack {pack}", "pack", prose.Name(f.Pack))
	}
	if i, ok := packOf(f.Pointer); ok {
		return say(in, "Pack without an ID, at place {n}", "n", strconv.Itoa(i+1))
	}
	for _, kind := range [...]struct {
		list string
		text lang.Text
	}{{"loads", "Load {id}"}, {"events", "Event {id}"}, {"sterilizers", "Sterilizer {id}"}} {
		if id, ok := strings.CutPrefix(f.Pointer, "/"+kind.list+"/"); ok {
			id, _, _ = strings.Cut(id, "/")
			return say(in, kind.text, "id", prose.Name(strings.NewReplacer("~1", "/", "~0", "~").Replace(id)))
		}
	}
	return ""
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
			o.message = say(r.Language, "Not recorded of every pack or item, whether this holds: {title}", "title", n.Title)
		}
	}
	for i := range out {
		out[i].where = r.where(out[i].findings)
	}
	return out
}

func (t *textWriter) cycle(r *Report) {
	c := r.Cycle
	if c == nil || !c.Hold.IsValid() {
		return
	}
	t.b.WriteString("\n")
	t.line(t.say("What the physical record shows"))
	hold := t.say("- holding time, coldest sensor: {hold:number}", "hold", prose.Measured(c.Hold.Value(),
		c.RequiredHold.Value()))
	if c.LastToArrive != "" && c.FirstToLeave != "" {
		hold += t.say(", from sensor {first} reaching the temperature to sensor {last} falling below it",
			"first", prose.Name(c.LastToArrive), "last", prose.Name(c.FirstToLeave))
	}
	if c.RequiredHold.IsValid() {
		hold += t.say("; required {hold:number}", "hold", c.RequiredHold.String())
		if r.Analysis != nil {
			row := &r.Analysis.Requirement
			hold += t.say(" ({class:cycle.LoadClass} at {temperature:number}: {source})", "class", string(row.Class),
				"temperature", row.Temperature.String(), "source", sourceIn(t.in, row.Source))
		}
	}
	t.para("", "  ", hold)
	if c.Coldest.IsValid() {
		t.para("", "  ", t.say("- temperature {coldest:number} to {hottest:number} during the holding time",
			"coldest", c.Coldest.String(), "hottest", c.Hottest.String()))
	}
	if c.SaturationError.IsValid() {
		t.para("", "  ", t.say("- largest deviation from the temperature of saturated steam: {error:number}", "error",
			c.SaturationError.String()))
	}
	if c.Lethality.IsValid() {
		t.para("", "  ", t.say("- lethality {lethality:number} at {reference:number}, z {z:number}; "+
			"for information, it does not replace the holding time",
			"lethality", c.Lethality.Convert(units.Minute, 1,
				units.Down).String(), "reference", c.Reference.String(), "z", c.Z.String()))
	}
}

// list writes what there is of a list, a point a line.
func (t *textWriter) list(title lang.Text, points []string) {
	if len(points) > 0 {
		t.line(t.say(title))
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
	t.line(t.say("{rules} checked, some for several packs or items; answers: {met} met, {na} not applicable, {off} not in force under this policy.",
		"rules", plural(t.in, len(r.Counts), "1 rule", "{n} rules"),
		"met", strconv.Itoa(met), "na", strconv.Itoa(na), "off", strconv.Itoa(off)))
	t.generally(r)
	t.list("The policy asks less than the one it builds on:", r.Policy.AsksLess)
	t.list("The policy leaves open:", r.Policy.LeavesOpen)
	if d := r.Policy.Digest; len(d) > 12 {
		t.para("", "  ", t.say("Policy {policy}, digest {digest}.", "policy", r.Policy.Name, "digest",
			d[:12]))
	}
	if r.Known.Alone {
		t.line(t.say("This report rests on this record alone: nothing from a history of the sterilizer was known for it."))
	} else if d := r.Known.Digest; len(d) > 12 {
		t.line(t.say("What was known of the sterilizer is of {at:date}, with the digest {digest}.",
			"at", r.Known.At.Format(time.RFC3339), "digest", d[:12]))
	}
	t.practice(r.Catalogue)
	if r.Omitted > 0 {
		t.line(plural(t.in, r.Omitted, "1 more finding not listed above.", "{n} more findings not listed above."))
	}
	t.warnings()
	t.line(r.Disclaimer)
}

// practice says what of the record rests on standing practice.
func (t *textWriter) practice(u *CatalogueUse) {
	if u == nil {
		return
	}
	names := func(ids []string, from int) string {
		var out []string
		for i, id := range ids {
			said := prose.Name(id)
			if i+from < len(u.Habits) { // a report of an earlier version has none
				said = t.in.Word("load.Habit", string(u.Habits[i+from]))
			}
			if !slices.Contains(out, said) {
				out = append(out, said)
			}
		}
		return strings.Join(out, "; ")
	}
	if u.Members > 0 {
		t.para("", "  ", t.say("Rests on standing practice: {answers} ({practices}).",
			"answers", plural(t.in, u.Members, "1 answer", "{n} answers"), "practices", names(u.Practices, 0)))
	}
	if len(u.Suspended) > 0 {
		t.para("", "  ", t.say("Practices suspended, because a load shows otherwise: {practices}.",
			"practices", names(u.Suspended, len(u.Practices))))
	}
}

// In returns a copy of a report, which is in English as [Check] makes it, in another
// language: its texts, what it prints and the messages in its JSON form. Names, codes and
// pointers are the same in all languages, as are the titles of documents.
func (r *Report) In(l moistheat.Language) *Report {
	if r == nil {
		return nil
	}
	says := Reasons{r.Language, r.Policy, r.Rules, r.Warnings, r.Disclaimer}.In(l)
	out := *r
	out.Language, out.Policy, out.Rules, out.Warnings, out.Disclaimer =
		says.Language, says.Policy, says.Rules, says.Warnings, says.Disclaimer
	out.Rows = slices.Clone(r.Rows)
	for i := range out.Rows {
		out.Rows[i].Condition = l.Text(r.Rows[i].Condition)
	}
	return &out
}

// In returns a copy of reasons that are in English in another language, as [Report.In] does.
func (r Reasons) In(l moistheat.Language) Reasons {
	r.Language = l
	r.Rules, r.Warnings = slices.Clone(r.Rules), slices.Clone(r.Warnings)
	translate(l, r.Rules, r.Warnings)
	p := &r.Policy
	p.Title, p.GeneralPractice = l.Text(p.Title), l.Text(p.GeneralPractice)
	p.AsksLess, p.LeavesOpen = slices.Clone(p.AsksLess), slices.Clone(p.LeavesOpen)
	for _, list := range [][]string{p.AsksLess, p.LeavesOpen} {
		for i := range list {
			list[i] = l.Text(list[i])
		}
	}
	r.Disclaimer = l.Text(r.Disclaimer)
	return r
}

// In returns a copy of a policy that judges the same, and says in another language what
// [Policy.Text] and [Policy.Reasons] say of findings.
func (p *Policy) In(l moistheat.Language) *Policy {
	out := *cmp.Or(p, &noPolicy)
	out.in = l
	return &out
}

// translate puts the texts of rules and warnings in a language.
func translate(l moistheat.Language, rules []NamedRule, warnings []Warning) {
	for i := range rules {
		n := &rules[i]
		for _, text := range []*string{&n.Title, &n.Why, &n.Remedy, &n.FindOut, &n.BrokenText, &n.UndeterminedText} {
			*text = l.Text(*text)
		}
	}
	for i := range warnings {
		warnings[i].Sentence = l.Text(warnings[i].Sentence)
	}
}

// say returns a text in a language. The values of its parameters follow their names.
func say(l moistheat.Language, text lang.Text, pairs ...string) string {
	params := make([]moistheat.Param, 0, len(pairs)/2)
	for i := 0; i+1 < len(pairs); i += 2 {
		params = append(params, moistheat.ParamOf(pairs[i], pairs[i+1]))
	}
	return l.Text(string(text), params...)
}

// plural returns the text for one thing or that for n, its parameter.
func plural(l moistheat.Language, n int, one, more lang.Text) string {
	if n == 1 {
		return say(l, one)
	}
	return say(l, more, "n", strconv.Itoa(n))
}

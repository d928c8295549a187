package corpus

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/ordered"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
)

// Derived is a file that [Derive] makes.
type Derived struct {
	Name string
	File *loadtest.File
}

// Derive makes the vectors that follow from others. From the first vector of a rule
// that shows it broken, or else undetermined: the same under a policy with the rule
// in force from that day on, and from the day after on; and, where nobody wrote a
// vector of the rule not in force, under a policy that leaves it out. From the vectors
// broken and at the limit: the same with the quantities of the patch in another unit.
func Derive(c *loadtest.Corpus) ([]Derived, error) {
	days := Derived{"derived-days", newFile("Rules on the day before and on the day from which they count")}
	force := Derived{"derived-not-in-force", newFile("Rules that a facility has put out of force")}
	other := Derived{"derived-units", newFile("Quantities in other units")}
	var own []*loadtest.Vector
	for name, f := range sorted(c.Files()) {
		if !strings.HasPrefix(name, "derived-") {
			own = append(own, f.Vectors...)
		}
	}
	done := map[cell]bool{} // what there is: a vector of its own that shows a rule not in force, or a derived one
	for _, v := range own {
		done[cell{v.Rule, v.Case}] = v.Case == loadtest.CaseNotInForce
	}
	for _, want := range []moistheat.Outcome{moistheat.Broken, moistheat.Undetermined, moistheat.Met} {
		for _, v := range own {
			if v.Expect.Outcome != want {
				continue
			}
			dated, off := cell{v.Rule, loadtest.CaseDayOf}, cell{v.Rule, loadtest.CaseNotInForce}
			if v.Case != loadtest.CaseDayBefore && v.Case != loadtest.CaseDayOf && !done[dated] {
				pair, err := onDays(c, v)
				if err != nil {
					return nil, fmt.Errorf("%s: %w", v.ID, err)
				}
				days.File.Vectors = append(days.File.Vectors, pair...)
				done[dated] = pair != nil
				if pair != nil && !done[off] {
					out, err := putOut(c, v, pair[0])
					if err != nil {
						return nil, fmt.Errorf("%s: %w", v.ID, err)
					}
					force.File.Vectors = append(force.File.Vectors, out)
				}
			}
			at := cell{v.Rule, v.Case}
			if limit := v.Case == loadtest.CaseBroken || v.Case == loadtest.CaseAtLimit; limit && !done[at] {
				variant, err := inOtherUnit(v)
				if err != nil {
					return nil, fmt.Errorf("%s: %w", v.ID, err)
				}
				if variant != nil {
					other.File.Vectors = append(other.File.Vectors, variant)
					done[at] = true
				}
			}
		}
	}
	out := []Derived{days, force, other}
	for _, d := range out {
		slices.SortFunc(d.File.Vectors, func(a, b *loadtest.Vector) int { return strings.Compare(a.ID, b.ID) })
	}
	return out, nil
}

func newFile(about string) *loadtest.File {
	return &loadtest.File{Format: loadtest.VectorsFormat, About: about + ", derived from other vectors"}
}

// derived returns a vector of a case made from another one.
func derived(from *loadtest.Vector, of loadtest.Case, id, why string) *loadtest.Vector {
	v := *from
	v.Case, v.ByHand = of, false
	v.ID = v.Rule + ": " + string(of) + id
	v.Why = "Derived from \"" + from.ID + "\": " + why
	return &v
}

// onDays returns the vector under a policy whose rule begins on its day, and on the
// day after. There are none for a rule that nobody may put out of force.
func onDays(c *loadtest.Corpus, v *loadtest.Vector) ([]*loadtest.Vector, error) {
	if rule, _ := load.Rule(v.Rule); rule.NoWaiver {
		return nil, nil
	}
	day, err := dayOf(v)
	if err != nil || !day.IsValid() {
		return nil, err
	}
	of := derived(v, loadtest.CaseDayOf, "", "a rule counts from its first day on.")
	before := derived(v, loadtest.CaseDayBefore, "", "a rule does not count before its first day.")
	if of.Policy, err = startingOn(c, v, day); err != nil {
		return nil, err
	}
	if before.Policy, err = startingOn(c, v, day.AddDays(1)); err != nil {
		return nil, err
	}
	// The dispositions, and whatever follows from them, are those of the rule.
	before.Expect = loadtest.Expected{Outcome: moistheat.NotInForce}
	before.Expect.Only = v.Expect.Only && !slices.ContainsFunc(v.Expect.Also, func(a loadtest.Found) bool {
		return a.Rule != contrary
	})
	return []*loadtest.Vector{before, of}, nil
}

// contrary is the rule that a release goes by the evidence: it is broken by the
// effect of another one and gone with it.
const contrary = "load.release.contradicted"

// putOut returns the vector under a policy that leaves its rule out. Before its first
// day a rule counts as little.
func putOut(c *loadtest.Corpus, v, before *loadtest.Vector) (off *loadtest.Vector, err error) {
	off = derived(v, loadtest.CaseNotInForce, "", "what a facility has put out of force is not asked.")
	off.Expect = before.Expect
	off.Policy, err = withRule(c, v, "inForce", false, "the clinic does not ask for it")
	return off, err
}

// startingOn returns the vector's policy with the vector's rule in force from a day.
func startingOn(c *loadtest.Corpus, v *loadtest.Vector, day moistheat.Date) (json.RawMessage, error) {
	return withRule(c, v, "from", day, "the day from which the clinic asks for it")
}

// policySource returns a vector's policy as a facility's own: the object itself, the
// file of the corpus, or a policy that changes nothing of the built-in one.
func policySource(c *loadtest.Corpus, v *loadtest.Vector) ([]byte, error) {
	var name string
	if json.Unmarshal(v.Policy, &name) != nil {
		return v.Policy, nil
	}
	if doc := c.Policies()[name]; doc != nil {
		return doc, nil
	}
	return fmt.Appendf(nil, `{"format": %q, "name": "a clinic", "title": %q, "base": %q}`,
		load.PolicyFormat, "a clinic that follows "+name, name), nil
}

// withRule returns the vector's policy with a member of the vector's rule set.
func withRule(c *loadtest.Corpus, v *loadtest.Vector, member string, value any, reason string) (json.RawMessage, error) {
	source, err := policySource(c, v)
	if err != nil {
		return nil, err
	}
	start, err := json.Marshal(map[string]any{
		"id": v.Rule, member: value,
		"decision": map[string]any{"by": "C. Dorn", "date": "2026-01-05", "reason": reason},
	})
	if err != nil {
		return nil, err
	}
	var doc map[string]json.RawMessage
	if err := json.Unmarshal(source, &doc); err != nil {
		return nil, err
	}
	op := loadtest.Op{Op: "add", Path: "/rules/-", Value: start}
	if doc["rules"] == nil {
		op = loadtest.Op{Op: "add", Path: "/rules", Value: append(append([]byte("["), start...), ']')}
	}
	return loadtest.Patch(source, op)
}

// dayOf returns the day on which a vector is judged.
func dayOf(v *loadtest.Vector) (moistheat.Date, error) {
	doc, err := v.Document()
	if err != nil {
		return moistheat.Date{}, err
	}
	switch v.Subject {
	case loadtest.SubjectStored:
		s, err := history.DecodeStoredPack(doc)
		if err != nil {
			return moistheat.Date{}, err
		}
		if s.Use != nil && !s.Use.Time.IsZero() {
			return moistheat.DateOf(s.Use.Time), nil
		}
		return v.On, nil
	case loadtest.SubjectHistory:
		if p := v.Expect.Pointer; strings.HasPrefix(p, "/loads/") || strings.HasPrefix(p, "/events/") {
			return dayOfLine(v, doc)
		}
		return moistheat.DateOf(v.At), nil
	}
	r, err := load.Decode(doc)
	if err != nil {
		return moistheat.Date{}, err
	}
	return r.Load.Date, nil
}

// dayOfLine returns the day of the load or event that a finding of a history is
// about.
func dayOfLine(v *loadtest.Vector, doc []byte) (moistheat.Date, error) {
	var lines []json.RawMessage
	if err := json.Unmarshal(doc, &lines); err != nil {
		return moistheat.Date{}, err
	}
	kind, id, _ := strings.Cut(strings.TrimPrefix(v.Expect.Pointer, "/"), "/")
	for _, l := range lines {
		var line struct {
			Format, ID    string
			Started, Time time.Time
			Load          json.RawMessage
			Cycle         struct{ Started time.Time }
		}
		if err := json.Unmarshal(l, &line); err != nil {
			return moistheat.Date{}, err
		}
		if line.ID != id || (kind == "loads") != (line.Format == load.Format) {
			continue
		}
		for _, t := range []time.Time{line.Cycle.Started, line.Started, line.Time} {
			if !t.IsZero() {
				return moistheat.DateOf(t), nil
			}
		}
	}
	return moistheat.Date{}, nil
}

// inOtherUnit returns the vector with the quantities of its patch in another unit,
// or nil if there are none.
func inOtherUnit(v *loadtest.Vector) (*loadtest.Vector, error) {
	doc, err := v.Document()
	if err != nil {
		return nil, err
	}
	out := derived(v, loadtest.CaseUnitVariant, ", "+string(v.Case), "the same quantity, exactly, in another unit.")
	out.Patch = slices.Clone(v.Patch)
	changed := false
	for i, op := range v.Patch {
		if op.Value == nil {
			continue
		}
		path := settled(v, i)
		respelled, n, err := Respell(doc, v.Subject, Respelling{Quantities: func(pointer string) bool {
			return pointer == path || strings.HasPrefix(pointer, path+"/")
		}})
		if err != nil {
			return nil, err
		}
		if n == 0 {
			continue
		}
		value := at(respelled, path)
		if value == nil {
			return nil, fmt.Errorf("%s leads nowhere", path)
		}
		out.Patch[i].Value = value.Text
		changed = true
	}
	if !changed {
		return nil, nil
	}
	return out, nil
}

// settled returns the path of an operation with the index that an added last element
// got.
func settled(v *loadtest.Vector, i int) string {
	path := v.Patch[i].Path
	list, ok := strings.CutSuffix(path, "/-")
	if !ok {
		return path
	}
	so := *v
	so.Patch = v.Patch[:i+1]
	doc, err := so.Document()
	if value := at(doc, list); err == nil && value != nil && len(value.Items) > 0 {
		return fmt.Sprintf("%s/%d", list, len(value.Items)-1)
	}
	return path
}

// at returns the value that a pointer leads to, or nil.
func at(doc []byte, pointer string) *ordered.Node {
	n, err := ordered.Parse(doc)
	if err != nil {
		return nil
	}
	for _, s := range strings.Split(pointer, "/")[1:] {
		if i, err := strconv.Atoi(s); err == nil && n != nil && n.Kind == '[' && 0 <= i && i < len(n.Items) {
			n = n.Items[i]
		} else {
			n = n.Get(strings.NewReplacer("~1", "/", "~0", "~").Replace(s))
		}
	}
	return n
}

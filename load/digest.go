package load

import (
	"bufio"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"reflect"
	"slices"
	"strconv"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/water"
)

// judgedBy is everything that a policy judges by. Of what it says besides, such as its
// title and who decided it, nothing counts.
type judgedBy struct {
	library string
	doc     policyDoc
	rules   []judgedRule
	tables  []*cycle.Table
	figures *packaging.Figures
	waters  []*water.Limits
}

type judgedRule struct {
	id                   string
	severity             moistheat.Severity
	broken, undetermined moistheat.Effect
	noWaiver, inForce    bool
	from, until          moistheat.Date
	sources              moistheat.Sources
}

// Digest returns the SHA-256, in hexadecimal, of everything that the policy judges by:
// its rules with their effects, severities and days, its tables, figures and limits, its
// base, the bases that it accepts, the version of the library and those of [OwnRules]. Two
// policies that judge differently have different digests. The day of [Policy.On] does not count.
func (p *Policy) Digest() string {
	if p == nil {
		return ""
	}
	if p.digest == nil { // the zero Policy
		return p.sum()
	}
	return p.digest.Get(p.sum)
}

func (p *Policy) sum() string {
	all := judgedBy{library: moistheat.Version, doc: p.doc, tables: p.tables, figures: p.figures, waters: p.waters}
	all.doc.Format, all.doc.Name, all.doc.Title = "", "", ""
	all.doc.Decision, all.doc.LeavesOpen, all.doc.AsksLess, all.doc.Rules = nil, nil, nil, nil
	for id, s := range p.rules {
		r := s.rule
		all.rules = append(all.rules, judgedRule{id, r.Severity, r.Broken, r.Undetermined, s.unwaivable, s.inForce, s.from, s.until, r.Sources})
	}
	slices.SortFunc(all.rules, func(a, b judgedRule) int { return cmp.Compare(a.id, b.id) })
	h := sha256.New()
	w := bufio.NewWriter(h)
	canonical(w, reflect.ValueOf(all))
	if p.ownNames != nil { // of conditions only their version can be told
		canonical(w, reflect.ValueOf(slices.Sorted(slices.Values(p.ownNames))))
	}
	w.Flush()
	return hex.EncodeToString(h.Sum(nil))
}

// canonical writes a value so that different values give different bytes, and whatever a
// type holds is written: no list of members has to be kept. Maps and functions are no
// part of a policy.
func canonical(w *bufio.Writer, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			w.WriteByte('-')
			return
		}
		w.WriteByte('*')
		canonical(w, v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			canonical(w, v.Field(i))
		}
	case reflect.Slice:
		if v.IsNil() {
			w.WriteByte('-')
			return
		}
		fallthrough
	case reflect.Array:
		w.WriteString("[" + strconv.Itoa(v.Len()) + " ")
		for i := range v.Len() {
			canonical(w, v.Index(i))
		}
	case reflect.String:
		w.WriteString(strconv.Itoa(v.Len()) + ":")
		io.WriteString(w, v.String())
	case reflect.Bool:
		w.WriteString(strconv.FormatBool(v.Bool()) + " ")
	case reflect.Float32, reflect.Float64:
		w.WriteString(strconv.FormatFloat(v.Float(), 'g', -1, 64) + " ")
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		w.WriteString(strconv.FormatInt(v.Int(), 10) + " ")
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		w.WriteString(strconv.FormatUint(v.Uint(), 10) + " ")
	default:
		panic("load: a policy holds a " + v.Type().String())
	}
}

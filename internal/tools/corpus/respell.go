package corpus

import (
	"encoding/json"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/units"
)

// Respelling says which values of a document are said in other words, by their
// pointers. A nil function leaves all as they are.
type Respelling struct {
	Quantities func(pointer string) bool // in another unit, where that is exact
	Zone       *time.Location            // for instants, where that leaves all of them on their days
}

// Respell says the same of a document in other words. It returns how many values it
// changed.
func Respell(doc []byte, judges loadtest.Subject, how Respelling) ([]byte, int, error) {
	if judges != loadtest.SubjectHistory {
		v, err := decode(doc)
		if err != nil {
			return nil, 0, err
		}
		n := how.apply([]any{v}, "")
		out, err := json.Marshal(v)
		return out, n, err
	}
	var lines []json.RawMessage
	if err := json.Unmarshal(doc, &lines); err != nil {
		return nil, 0, err
	}
	var all []any
	for _, l := range lines {
		v, err := decode(l)
		if err != nil {
			return nil, 0, err
		}
		all = append(all, v)
	}
	n := how.apply(all, "/")
	out, err := json.Marshal(all)
	return out, n, err
}

// apply changes documents: lines of a history, or one whose pointers begin at its
// own members.
func (how Respelling) apply(all []any, list string) int {
	w := walk{quantity: how.Quantities}
	if w.quantity == nil {
		w.quantity = func(string) bool { return false }
	}
	w.visit(all, list)
	days := true
	if how.Zone != nil {
		for _, t := range w.instants {
			days = days && t.In(how.Zone).Day() == t.Day()
		}
		for _, t := range w.instants {
			if days {
				*t = t.In(how.Zone)
				w.n++
			}
		}
	}
	return w.n
}

func decode(doc []byte) (any, error) {
	var kind struct {
		Format string `json:"format"`
	}
	if err := json.Unmarshal(doc, &kind); err != nil {
		return nil, err
	}
	switch kind.Format {
	case history.EventFormat:
		return history.DecodeEvent(doc)
	case history.StoredFormat:
		return history.DecodeStoredPack(doc)
	case history.AmendmentFormat:
		return history.DecodeAmendment(doc)
	}
	return load.Decode(doc)
}

type walk struct {
	quantity func(string) bool
	instants []*time.Time
	n        int
}

func (w *walk) visit(all []any, list string) {
	for i, v := range all {
		at := ""
		if list != "" {
			at = list + strconv.Itoa(i)
		}
		w.value(reflect.ValueOf(v).Elem(), at)
	}
}

func (w *walk) value(v reflect.Value, at string) {
	if v.CanAddr() && w.leaf(v.Addr().Interface(), at) {
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			w.value(v.Elem(), at)
		}
	case reflect.Slice:
		for i := range v.Len() {
			w.value(v.Index(i), at+"/"+strconv.Itoa(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			switch {
			case f.Anonymous:
				w.value(v.Field(i), at)
			case f.IsExported() && name != "-":
				w.value(v.Field(i), at+"/"+name)
			}
		}
	}
}

// leaf changes a quantity, notes an instant, and reports whether v is either.
func (w *walk) leaf(v any, at string) bool {
	if t, ok := v.(*time.Time); ok {
		if !t.IsZero() {
			w.instants = append(w.instants, t)
		}
		return true
	}
	if tr, ok := v.(*cycle.Trace); ok {
		w.trace(tr, at)
		return true
	}
	changed, ok := false, true
	try := w.quantity(at)
	switch q := v.(type) {
	case *units.Mass:
		changed = try && respell(q)
	case *units.Length:
		changed = try && respell(q)
	case *units.Temperature:
		changed = try && respell(q)
	case *units.TemperatureDifference:
		changed = try && respell(q)
	case *units.AbsolutePressure:
		changed = try && respell(q)
	case *units.GaugePressure:
		changed = try && respell(q)
	case *units.PressureRate:
		changed = try && respell(q)
	case *units.Duration:
		changed = try && respell(q)
	case *units.Conductivity:
		changed = try && respell(q)
	case *units.Ratio:
		changed = try && respell(q)
	case *units.Area:
		changed = try && respell(q)
	case *units.Volume:
		changed = try && respell(q)
	case *units.Density:
		changed = try && respell(q)
	case *units.ForcePerWidth:
		changed = try && respell(q)
	case *units.Resistivity:
		changed = try && respell(q)
	case *units.MassConcentration:
		changed = try && respell(q)
	case *units.AmountConcentration:
		changed = try && respell(q)
	case *units.Hardness:
		changed = try && respell(q)
	case *units.ColonyCount, *units.Endotoxin:
		// Counts keep their unit: in another one than that of the limit it is asked
		// whether it is right (water.unit.slip).
	case *units.PH:
		changed = try && respell(q)
	case *units.Turbidity:
		changed = try && respell(q)
	case *units.FormazinTurbidity:
		changed = try && respell(q)
	default:
		ok = false
	}
	if changed {
		w.n++
	}
	return ok
}

// respell converts a quantity to the first other unit in which it is exact.
func respell[U units.Unit](q *units.Quantity[U]) bool {
	if !q.IsValid() {
		return false
	}
	for u := range len(q.Value().Dimension().Codes()) {
		other := U(u + 1)
		if other == q.Unit() {
			continue
		}
		if r, ok := q.Exactly(other); ok {
			*q = r
			return true
		}
	}
	return false
}

// trace writes a recording in other units: milliseconds, kelvin, hectopascal.
func (w *walk) trace(tr *cycle.Trace, at string) {
	if !tr.Start.IsZero() {
		w.instants = append(w.instants, &tr.Start)
	}
	if !w.quantity(at) {
		return
	}
	one, kelvin := decimal.NewFromInt(1), decimal.RequireFromString("273.15")
	if tr.Time.Unit == units.Second {
		tr.Time.Unit = units.Millisecond
		w.rescale(tr.Time.Values, decimal.NewFromInt(1000), decimal.Zero)
	}
	for i := range tr.Temperatures {
		if c := &tr.Temperatures[i]; c.Unit == units.Celsius {
			c.Unit = units.Kelvin
			w.rescale(c.Values, one, kelvin)
		}
	}
	for i := range tr.AbsolutePressures {
		if c := &tr.AbsolutePressures[i]; c.Unit == units.Kilopascal {
			c.Unit = units.Hectopascal
			w.rescale(c.Values, decimal.NewFromInt(10), decimal.Zero)
		}
	}
}

// rescale changes readings as they are written, digit by digit.
func (w *walk) rescale(values []float64, factor, offset decimal.Decimal) {
	for i, v := range values {
		values[i] = decimal.NewFromFloat(v).Mul(factor).Add(offset).InexactFloat64()
	}
	w.n++
}

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
	"example.com/moistheat/load/cleaning"
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
	w := walk{quantity: how.Quantities}
	if w.quantity == nil {
		w.quantity = func(string) bool { return false }
	}
	v, err := decode(doc, judges)
	if err != nil {
		return nil, 0, err
	}
	w.value(reflect.ValueOf(v), "")
	moves := how.Zone != nil
	for _, t := range w.instants {
		moves = moves && t.In(how.Zone).Day() == t.Day()
	}
	for _, t := range w.instants {
		if moves {
			*t = t.In(how.Zone)
			w.n++
		}
	}
	out, err := json.Marshal(v)
	return out, w.n, err
}

// decode reads a document, a history as the list of what its lines hold.
func decode(doc []byte, judges loadtest.Subject) (any, error) {
	if judges != loadtest.SubjectHistory {
		return decodeLine(doc)
	}
	var lines []json.RawMessage
	if err := json.Unmarshal(doc, &lines); err != nil {
		return nil, err
	}
	var all []any
	for _, l := range lines {
		v, err := decodeLine(l)
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	return all, nil
}

func decodeLine(line []byte) (any, error) {
	var kind struct{ Format string }
	if err := json.Unmarshal(line, &kind); err != nil {
		return nil, err
	}
	switch kind.Format {
	case history.EventFormat:
		return history.DecodeEvent(line)
	case history.StoredFormat:
		return history.DecodeStoredPack(line)
	case cleaning.Format:
		return cleaning.Decode(line)
	case history.AmendmentFormat:
		return history.DecodeAmendment(line)
	}
	return load.Decode(line)
}

type walk struct {
	quantity func(string) bool
	instants []*time.Time
	n        int
}

func (w *walk) value(v reflect.Value, at string) {
	if v.CanAddr() && w.leaf(v.Addr(), at) {
		return
	}
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
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

// leaf changes a quantity, notes an instant, and reports whether a pointer is to either.
func (w *walk) leaf(p reflect.Value, at string) bool {
	switch v := p.Interface().(type) {
	case *time.Time:
		if !v.IsZero() {
			w.instants = append(w.instants, v)
		}
	case *cycle.Trace:
		w.trace(v, at)
	case *units.ColonyCount, *units.Endotoxin:
		// Counts keep their unit: in another one than that of the limit it is asked
		// whether it is right (water.unit.slip).
	case interface{ Value() units.Value }:
		if v.Value().IsValid() && w.quantity(at) && respell(p, v.Value()) {
			w.n++
		}
	default:
		return false
	}
	return true
}

// respell converts a [units.Quantity] to the first other unit in which it is exact.
func respell(p reflect.Value, v units.Value) bool {
	exactly := p.MethodByName("Exactly")
	for u, code := range v.Dimension().Codes() {
		other := reflect.New(exactly.Type().In(0)).Elem()
		other.SetUint(uint64(u + 1))
		if out := exactly.Call([]reflect.Value{other}); code != v.Code() && out[1].Bool() {
			p.Elem().Set(out[0])
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
	if tr.Time.Unit == units.Second {
		tr.Time.Unit = units.Millisecond
		w.rescale(tr.Time.Values, "1000", "0")
	}
	for i := range tr.Temperatures {
		if c := &tr.Temperatures[i]; c.Unit == units.Celsius {
			c.Unit = units.Kelvin
			w.rescale(c.Values, "1", "273.15")
		}
	}
	for i := range tr.AbsolutePressures {
		if c := &tr.AbsolutePressures[i]; c.Unit == units.Kilopascal {
			c.Unit = units.Hectopascal
			w.rescale(c.Values, "10", "0")
		}
	}
}

// rescale changes readings as they are written, digit by digit.
func (w *walk) rescale(values []float64, factor, offset string) {
	by, plus := decimal.RequireFromString(factor), decimal.RequireFromString(offset)
	for i, v := range values {
		values[i] = decimal.NewFromFloat(v).Mul(by).Add(plus).InexactFloat64()
	}
	w.n++
}

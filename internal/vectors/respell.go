package vectors

import (
	"encoding/json"
	"reflect"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/units"
)

// Respell says the same of a document in other words, wherever the choice allows:
// quantities in another unit, if that is exact, and instants in another zone, if
// that leaves them on their day. It returns how many it changed.
func Respell(doc []byte, judges loadtest.Judges, choose func(pointer string) bool) ([]byte, int, error) {
	if judges != loadtest.JudgesHistory {
		return respellOne(doc, "", choose)
	}
	var lines []json.RawMessage
	if err := json.Unmarshal(doc, &lines); err != nil {
		return nil, 0, err
	}
	n := 0
	for i := range lines {
		line, m, err := respellOne(lines[i], "/"+strconv.Itoa(i), choose)
		if err != nil {
			return nil, 0, err
		}
		lines[i] = line
		n += m
	}
	out, err := json.Marshal(lines)
	return out, n, err
}

func respellOne(doc []byte, at string, choose func(string) bool) ([]byte, int, error) {
	var kind struct {
		Format string `json:"format"`
	}
	if err := json.Unmarshal(doc, &kind); err != nil {
		return nil, 0, err
	}
	var v any
	var err error
	switch kind.Format {
	case load.EventFormat:
		v, err = load.DecodeEvent(doc)
	case load.StoredFormat:
		v, err = load.DecodeStored(doc)
	default:
		v, err = load.Decode(doc)
	}
	if err != nil {
		return nil, 0, err
	}
	w := walk{choose: choose}
	w.value(reflect.ValueOf(v).Elem(), at)
	out, err := json.Marshal(v)
	return out, w.n, err
}

type walk struct {
	choose func(string) bool
	n      int
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

// leaf changes a quantity or an instant, and reports whether v is one.
func (w *walk) leaf(v any, at string) bool {
	if t, ok := v.(*time.Time); ok {
		if !t.IsZero() && w.choose(at) {
			for _, hours := range []int{0, 2, -5, 9} {
				other := t.In(time.FixedZone("", hours*3600))
				_, was := t.Zone()
				if _, is := other.Zone(); is != was && other.Day() == t.Day() {
					*t = other
					w.n++
					break
				}
			}
		}
		return true
	}
	changed, ok := false, true
	try := w.choose(at)
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
	case *units.ColonyCount:
		changed = try && respell(q)
	case *units.Endotoxin:
		changed = try && respell(q)
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

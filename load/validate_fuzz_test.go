package load

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.com/moistheat/cycle"
	"example.com/moistheat/units"
)

// FuzzValidateAgrees holds Validate against Decode. What Decode takes is valid, and
// after one edit of one member the record is valid exactly if a document of it is
// taken.
func FuzzValidateAgrees(f *testing.F) {
	full, err := json.Marshal(fullRecord(f))
	require.NoError(f, err)
	least := []byte(`{"format":"moistheat.load/1","id":"1","load":{},"sterilizer":{},"packs":[]}`)
	for i := range 400 {
		f.Add(full, uint16(7*i), int64(i%12-3), "paper bag"[:i%10])
	}
	for i := range 20 {
		f.Add(least, uint16(i), int64(i), "")
	}
	f.Fuzz(func(t *testing.T, data []byte, which uint16, number int64, text string) {
		r, err := Decode(data)
		if err != nil {
			return
		}
		if err := r.Validate(); err != nil {
			t.Fatalf("%s is read and not valid: %v", data, err)
		}
		if len(text) > 600 || len(data) > len(full) && strings.ContainsAny(string(data), "<>&\u2028\u2029") {
			return // encoding/json writes six bytes for one of these, so that a text may become too long
		}
		edit(r, int(which), number, strings.ToValidUTF8(text, "?"))
		invalid := r.Validate()
		written, err := json.Marshal(r)
		if err == nil {
			_, err = Decode(written)
		}
		if (invalid == nil) != (err == nil) {
			t.Errorf("member %d, %d, %q of %s:\nvalid: %v\nread: %v", which, number, text, written, invalid, err)
		}
	})
}

// edit sets one member of a record.
func edit(r *Record, which int, number int64, text string) {
	var all []reflect.Value
	members(reflect.ValueOf(r), "", func(_ string, _ reflect.StructField, v reflect.Value) { all = append(all, v) })
	v := all[which%len(all)]
	if number == 0 {
		v.SetZero()
		return
	}
	switch p := v.Addr().Interface().(type) {
	case *time.Time:
		*p = time.Date(int(number), 1, 1, 0, 0, 0, 0, time.FixedZone("", 60*int(number%2000)))
		return
	case *[]float64:
		*p = append(*p, float64(number), 1/float64(number), float64(number)*1e30)
		return
	case *units.Mass:
		*p = units.New(number, int(number%40), units.Gram)
		return
	case *units.Length:
		*p = units.New(number, int(number%40), units.Millimetre)
		return
	case *units.Temperature:
		*p = units.New(number, int(number%40), units.Celsius)
		return
	case *units.Duration:
		*p = units.New(number, int(number%40), units.Second)
		return
	case *units.Ratio:
		*p = units.New(number, int(number%40), units.Percent)
		return
	case **cycle.Trace:
		*p = new(cycle.Trace)
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
	case reflect.Uint8:
		v.SetUint(uint64(number) % 256)
	case reflect.Int:
		v.SetInt(number)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
	case reflect.Slice:
		n := int(uint64(number) % 1100)
		v.Set(reflect.MakeSlice(v.Type(), n, n))
	default:
		v.SetZero()
	}
}

package loadtest_test

import (
	"encoding/json"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/schema"
	"example.com/moistheat/units"
)

// times returns a list of n elements that a function makes.
func times(n int, element func(i int) string) string {
	all := make([]string, n)
	for i := range all {
		all[i] = element(i)
	}
	return "[" + strings.Join(all, ",") + "]"
}

func mm(n int) string { return fmt.Sprintf(`{"value":%d,"unit":"mm"}`, n) }

// with puts members into the least record.
func with(members string) string {
	return `{"format":"moistheat.load/1","id":"1","load":{"number":"1","date":"2026-03-09"},` +
		`"sterilizer":{"id":"S"},` + members + `}`
}

func items(list string) string {
	return with(`"packs":[{"id":"P","barrier":"wrap","items":` + list + `}]`)
}

func placed(i, tray int, spot string) string {
	return fmt.Sprintf(`{"id":"P%d","barrier":"wrap","items":[],"size":{"length":%s,"width":%s,"height":%s},`+
		`"placement":{"position":"flat","tray":"T%d","spot":%s}}`,
		i, mm(100), mm(50), mm(20), tray, spot)
}

func tray(i, up int) string {
	return fmt.Sprintf(`{"id":"T%d","across":%s,"back":%s,"up":%s,"width":%s,"depth":%s,"rim":%s}`, i, mm(1),
		mm(1), mm(up), mm(300), mm(300), mm(5))
}

func traced(channels, samples int, value func(k, i int) string) string {
	one := func(k int) string {
		return fmt.Sprintf(`{"id":"T%d","place":"load","unit":"Cel","values":%s}`, k, times(samples,
			func(i int) string { return value(k, i) }))
	}
	return with(`"packs":[],"cycle":{"settings":{"airRemoval":"dynamic-air-removal","temperature":{"value":134,` +
		`"unit":"Cel"},"hold":{"value":3,"unit":"min"}},"trace":{"time":{"unit":"s","values":` +
		times(samples, func(i int) string { return fmt.Sprint(10 * i) }) + `},"temperatures":` + times(channels,
		one) + `}}`)
}

// worst are accepted records that cost the most by the byte.
var worst = []struct {
	name string
	n    int // of the largest that is tried
	doc  func(n int) string
}{
	{"items with a temperature each", 800, func(n int) string {
		return items(times(n, func(i int) string {
			return fmt.Sprintf(`{"name":"x","instructions":{"minTemperature":{"value":%d.%03d,"unit":"Cel"}}}`, 121, i)
		}))
	}},
	{"bare items, one pack", 1000, func(n int) string {
		return items(times(n, func(int) string { return `{"name":"x"}` }))
	}},
	{"bare items, packs of ten", 8000, func(n int) string {
		return with(`"packs":` + times(n/10, func(i int) string {
			return fmt.Sprintf(`{"id":"%d","barrier":"wrap","items":%s}`, i, times(10,
				func(int) string { return `{"name":"x"}` }))
		}))
	}},
	{"bare items, packs of a thousand", 80000, func(n int) string {
		return with(`"packs":` + times(n/1000, func(i int) string {
			return fmt.Sprintf(`{"id":"%d","barrier":"wrap","items":%s}`, i, times(1000,
				func(int) string { return `{"name":"x"}` }))
		}))
	}},
	{"items named differently", 1000, func(n int) string {
		return items(times(n, func(i int) string { return fmt.Sprintf(`{"name":"x%d"}`, i) }))
	}},
	{"items with long names of escapes", 1000, func(n int) string {
		return items(times(n, func(i int) string {
			return fmt.Sprintf(`{"name":"%d%s"}`, i,
				strings.Repeat(`\u202e`, 680))
		}))
	}},
	{"bare packs", 1000, func(n int) string {
		return with(`"packs":` + times(n, func(i int) string {
			return fmt.Sprintf(`{"id":"%d","barrier":"wrap",`+
				`"items":[]}`, i)
		}))
	}},
	{"bare packs, unwrapped among them", 1000, func(n int) string {
		return with(`"packs":` + times(n, func(i int) string {
			return fmt.Sprintf(`{"id":"%d","barrier":"%s","items":[]}`, i, [2]string{"wrap", "none"}[i%2])
		}))
	}},
	{"packs inside each other", 1000, func(n int) string {
		return with(`"packs":` + times(n, func(i int) string {
			return fmt.Sprintf(`{"id":"%d","barrier":"wrap","inside":"%d","items":[]}`, i, i+1)
		}))
	}},
	{"packs in slots", 1000, func(n int) string {
		return with(`"packs":` + times(n, func(i int) string {
			return fmt.Sprintf(`{"id":"%d","barrier":"wrap","items":[],"placement":{"slot":"%d"}}`, i, i)
		}))
	}},
	{"cloth and metal on trays of one height", 1000, func(n int) string {
		return with(`"arrangement":{"trays":[` + tray(0, 10) + `]},"packs":` + times(n, func(i int) string {
			return fmt.Sprintf(`{"id":"%d","barrier":"%s","items":[{"name":"x","traits":["textile"]}],`+
				`"placement":{"tray":"T0"}}`, i, [2]string{"wrap", "none"}[i%2])
		}))
	}},
	{"indicators", 64, func(n int) string {
		return with(`"packs":[{"id":"P","barrier":"wrap","items":[],"indicators":` + times(n,
			func(int) string { return `{"place":"internal"}` }) + `}]`)
	}},
	{"lumens", 64, func(n int) string {
		return items(`[{"name":"x","lumens":` + times(n, func(int) string { return `{}` }) + `}]`)
	}},
	{"traits", 1000, func(n int) string {
		return items(`[{"name":"x","traits":` + times(n, func(int) string { return `"sharp"` }) + `}]`)
	}},
	{"packs on one spot", 1000, func(n int) string {
		return with(`"arrangement":{"trays":[` + tray(0, 10) + `]},"packs":` + times(n, func(i int) string {
			return placed(i, 0, fmt.Sprintf(`{"x":%s,"y":%s,"dx":%s,"dy":%s}`, mm(50), mm(50), mm(1000+i), mm(1)))
		}))
	}},
	{"packs with spots on trays", 1000, func(n int) string {
		return with(`"arrangement":{"trays":` + times(min(n, mostTrays), func(i int) string {
			return tray(i,
				10*i)
		}) + `},"packs":` + times(n, func(i int) string {
			return placed(i, i%mostTrays, fmt.Sprintf(`{"x":%s,"y":%s}`, mm(50), mm(50)))
		}))
	}},
	{"trays", mostTrays, func(n int) string {
		return with(`"packs":[],"arrangement":{"trays":` + times(n, func(i int) string { return tray(i, 10*i) }) + `}`)
	}},
	{"trays, heights only", mostTrays, func(n int) string {
		return with(`"packs":[],"arrangement":{"trays":` + times(n,
			func(i int) string { return fmt.Sprintf(`{"id":"%d","up":%s}`, i, mm(n-i)) }) + `}`)
	}},
	{"flat channels", mostChannels, func(n int) string {
		return traced(n, 1000, func(k, _ int) string { return fmt.Sprint(20 + 6*k) })
	}},
	{"flat channels, short", mostChannels, func(n int) string {
		return traced(n, 40, func(k, _ int) string { return fmt.Sprint(20 + 6*k) })
	}},
	{"channels that jump", mostChannels, func(n int) string {
		return traced(n, 200, func(k, i int) string { return fmt.Sprint(134 + 20*(i%2) + k%2) })
	}},
	{"samples", 80000, func(n int) string {
		return traced(3, n/3, func(k, i int) string { return fmt.Sprint(134 + k + (i/7)%3) })
	}},
	{"samples over the temperature and back", 80000, func(n int) string {
		return traced(3, n/3, func(k, i int) string { return fmt.Sprint(133 + 3*((i+k)%2)) })
	}},
	{"capacity rows", 1000, func(n int) string {
		return strings.Replace(with(`"packs":[]`), `"id":"S"`, `"id":"S","capacity":`+times(n, func(i int) string {
			return fmt.Sprintf(`{"mass":{"value":%d,"unit":"kg"},"authority":"manufacturer"}`, i+1)
		}), 1)
	}},
	{"tests of the day", 64, func(n int) string {
		return with(`"packs":[],"monitors":{"tests":` + times(n, func(i int) string {
			return fmt.Sprintf(`{"kind":"leak","time":"2026-03-09T08:%02d:%02dZ"}`, i/60%60, i%60)
		}) + `}`)
	}},
	{"biological tests", 64, func(n int) string {
		return with(`"packs":[],"monitors":{"biologicals":` + times(n, func(i int) string { return `{}` }) + `}`)
	}},
	{"alarms", 1000, func(n int) string {
		return with(`"packs":[],` +
			`"cycle":{"alarms":` + times(n, func(i int) string { return fmt.Sprintf(`{"text":"%d"}`, i) }) + `}`)
	}},
	{"waivers", 1000, func(n int) string {
		return strings.Replace(items(times(1000, func(i int) string {
			return fmt.Sprintf(`{"name":"x%d"}`,
				i)
		})), `"packs"`, `"waivers":`+times(n, func(i int) string {
			return fmt.Sprintf(`{"rule":"packaging.item.undescribed","pack":"P","item":"x%d","reason":"r",`+
				`"author":"a","expires":"2027-01-01T00:00:00Z"}`, i)
		})+`,"cycle":{"ended":"2026-03-09T08:00:00Z"},"packs"`, 1)
	}},
	{"waivers of packs", 1000, func(n int) string {
		return with(`"cycle":{"ended":"2026-03-09T08:00:00Z"},"waivers":` + times(n, func(i int) string {
			return fmt.Sprintf(`{"rule":"packaging.contents.unlisted","pack":"P%d","reason":"r","author":"a",`+
				`"expires":"2027-01-01T00:00:00Z"}`, i)
		}) + `,"packs":` + times(n, func(i int) string {
			return fmt.Sprintf(`{"id":"P%d","barrier":"wrap",`+
				`"items":[]}`, i)
		}))
	}},
}

const (
	mostChannels = 64
	mostTrays    = 64
)

// calls are the public calls that take a record.
var calls = []struct {
	name string
	call func(data []byte, r *load.Record, p *load.Policy)
}{
	{"schema", func(data []byte, _ *load.Record, _ *load.Policy) { schema.Validate(schema.Record, data) }},
	{"decode", func(data []byte, _ *load.Record, _ *load.Policy) { load.Decode(data) }},
	{"validate", func(_ []byte, r *load.Record, _ *load.Policy) { r.Validate() }},
	{"check", func(_ []byte, r *load.Record, p *load.Policy) { load.Check(r, p) }},
	{"explain", func(_ []byte, r *load.Record, p *load.Policy) { load.Explain(r, p) }},
	{"text", func(_ []byte, r *load.Record, p *load.Policy) { _ = load.Explain(r, p).Text() }},
	{"json", func(_ []byte, r *load.Record, p *load.Policy) { load.Explain(r, p).JSON() }},
	{"packing", func(_ []byte, r *load.Record, p *load.Policy) { load.CheckPacking(r, p) }},
	{"objections", func(_ []byte, r *load.Record, p *load.Policy) {
		load.CycleObjections(r, p, cycle.Settings{AirRemoval: moistheat.GravityDisplacement,
			Temperature: units.New(121, 0, units.Celsius)}, load.TypeN)
	}},
	{"options", func(_ []byte, r *load.Record, p *load.Policy) { load.CycleOptions(r, p) }},
}

// spent returns the bytes that a call allocates.
func spent(call func()) float64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	call()
	runtime.ReadMemStats(&after)
	return float64(after.TotalAlloc - before.TotalAlloc)
}

// What a record costs follows its size: four times as long, it allocates at most as n·log n
// does, whatever is asked of it, and by the byte no more than three times what a good
// record does when all that is asked of it is written out. It counts bytes that are
// allocated, not time. -v prints the table.
func TestGrowth(t *testing.T) {
	const mostExponent, mostOfGood = 1.15, 3.0
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	good, err := json.Marshal(loadtest.Pouches(func(r *load.Record) { r.Cycle.Trace = nil }))
	require.NoError(t, err)
	r, err := load.Decode(good)
	require.NoError(t, err)
	usual := 0.0
	for _, c := range calls {
		c.call(good, r, p) // what is made once for all is made
		usual += spent(func() { c.call(good, r, p) }) / float64(len(good))
	}
	t.Logf("%-40s %8d bytes, %6.1f a byte", "a good record", len(good), usual)
	for _, w := range worst {
		n := w.n
		if !full() {
			n = max(n/8, 32)
		}
		small, large := []byte(w.doc(n/4)), []byte(w.doc(n))
		ratio := math.Log(float64(len(large)) / float64(len(small)))
		a, err := load.Decode(small)
		require.NoError(t, err, w.name)
		b, err := load.Decode(large)
		require.NoError(t, err, w.name)
		steepest, which, sum := 0.0, "", 0.0
		for _, c := range calls {
			if !full() && c.name != "check" && c.name != "packing" && c.name != "options" {
				continue // the others are parts of these, or write down what they found
			}
			x, y := spent(func() { c.call(small, a, p) }), spent(func() { c.call(large, b, p) })
			sum += y / float64(len(large))
			// A list that doubles its room can be twice as long as what is in it.
			if e := math.Log((y+fixed)/(x+fixed)) / ratio; e > steepest && !(c.name == "decode" && y < 100*float64(len(large))) {
				steepest, which = e, c.name
			}
		}
		t.Logf("%-40s %8d bytes, %6.1f a byte, exponent %.2f of %s", w.name, len(large), sum, steepest, which)
		most := mostExponent
		if !full() {
			most = 1.25 // of so little a list that doubles its room is much
		}
		if steepest > most {
			t.Errorf("%s: %s grows with an exponent of %.2f", w.name, which, steepest)
		}
		// A report has its own length, however short the record is.
		if most := mostOfGood * usual * max(1, fullLoad/float64(len(large))); full() && sum > most {
			t.Errorf("%s: %.0f bytes allocated a byte, %.0f are the most", w.name, sum, most)
		}
	}
}

// What TestGrowth counts in bytes, internal/tools/steps counts in steps: of each record all
// that can be asked, once.
func TestSteps(t *testing.T) {
	part := testrun.Part(t)
	p, err := load.PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	good, err := json.Marshal(loadtest.Pouches(func(r *load.Record) { r.Cycle.Trace = nil }))
	require.NoError(t, err)
	t.Run("a good record, many times", func(t *testing.T) {
		if part == 0 {
			return
		}
		for range 40 / part {
			askAll(t, good, p)
		}
		t.Logf("%d bytes", len(good)*(40/part))
	})
	for _, w := range worst {
		t.Run(w.name, func(t *testing.T) {
			if part == 0 {
				return
			}
			data := []byte(w.doc(min(w.n, 8000) / part))
			t.Logf("%d bytes", len(data))
			askAll(t, data, p)
		})
	}
	for _, w := range probes {
		t.Run(w.name, func(t *testing.T) {
			if part > 0 {
				w.run(t, w.n/part)
			}
		})
	}
}

func askAll(t *testing.T, data []byte, p *load.Policy) {
	r, err := load.Decode(data)
	require.NoError(t, err)
	for _, c := range calls {
		c.call(data, r, p)
	}
}

// fixed is about what a call allocates for a record without anything in it, and fullLoad
// the length of a record of some thirty packs.
const (
	fixed    = 1 << 18
	fullLoad = 1 << 16
)

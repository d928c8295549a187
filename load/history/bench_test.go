package history

import (
	"encoding/json"
	"fmt"
	"reflect"
	"runtime"
	"strings"
	"testing"
	"time"

	"example.com/moistheat/load"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// year makes the records of a clinic group as a stream: sterilizers, days and loads a
// day, a biological test in the first load of each Monday. It calls yield with the
// bytes of one record, which are overwritten by the next.
func year(t testing.TB, sterilizers, days, perDay int, yield func(data []byte)) {
	template := func(edit ...func(*load.Record)) string {
		data, err := json.Marshal(ran("000000", "2026-03-09 09:00", edit...))
		require.NoError(t, err)
		return string(data)
	}
	plain, tested := template(), template(bio(load.Negative))
	first := time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC) // a Monday
	for d := range days {
		date := first.AddDate(0, 0, d)
		for i := range perDay {
			hour := i * 22 / perDay // up to 22 o'clock
			minute := i * 22 * 60 / perDay % 60 * 55 / 60
			body := plain
			if i == 0 && d%7 == 0 {
				body = tested
			}
			clock := func(h, m int) string { return fmt.Sprintf("T%02d:%02d", h, m) }
			body = strings.NewReplacer(
				"2026-03-09", date.Format("2006-01-02"), "000000", fmt.Sprintf("%06d", d*perDay+i+1),
				"T09:00", clock(hour, minute), "T09:50", clock(hour, minute+1), "T09:55", clock(hour, minute+2), "T10:00", clock(hour, minute+3),
				"T08:00", clock(0, 0),
			).Replace(body)
			for s := range sterilizers {
				yield([]byte(strings.ReplaceAll(body, `"S1"`, fmt.Sprintf(`"S%d"`, s+1))))
			}
		}
	}
}

func heap() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC()
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// summarised returns a summary of a stream and the heap that it holds.
func summarised(t testing.TB, sterilizers, days, perDay int) (*Summary, uint64) {
	p := policy(t, "us-cdc-2003")
	before := heap()
	s := NewSummary(p)
	year(t, sterilizers, days, perDay, func(data []byte) {
		r, err := load.Decode(data)
		require.NoError(t, err)
		s.Add(r, load.Check(r, p))
	})
	after := heap()
	return s, after - min(before, after)
}

// Ten times the loads on the same days do not take more memory.
func TestSummaryDoesNotGrowWithLoads(t *testing.T) {
	few, small := summarised(t, 2, 28, 4)
	many, large := summarised(t, 2, 28, 40)
	require.Equal(t, 28*4, few.Usage()[0].Loads)
	require.Equal(t, 28*40, many.Usage()[1].Loads)
	assert.Empty(t, many.Numbers())
	assert.Less(t, float64(large), 1.3*float64(small)+64<<10, "4 loads a day: %d bytes, 40 a day: %d", small, large)
	runtime.KeepAlive(few)
	runtime.KeepAlive(many)
}

// A year of 20 loads a day on 50 sterilizers, decoded, checked and summarised in one
// pass, beside plain decoding of the same bytes with encoding/json:
//
//	go test ./load/history -run '^$' -bench Year -benchtime 1x
func BenchmarkYear(b *testing.B) {
	p := policy(b, "us-cdc-2003")
	shape := plain(reflect.TypeFor[load.Record]())
	for b.Loop() {
		s := NewSummary(p)
		before := heap()
		var ours, theirs time.Duration
		n, sampled, size := 0, 0, 0
		var peak uint64
		year(b, 50, 365, 20, func(data []byte) {
			start := time.Now()
			r, err := load.Decode(data)
			if err != nil {
				b.Fatal(err)
			}
			s.Add(r, load.Check(r, p))
			ours += time.Since(start)
			n++
			size += len(data)
			if n%16 == 0 { // a sample is enough for the ratio
				start = time.Now()
				if err := json.Unmarshal(data, reflect.New(shape).Interface()); err != nil {
					b.Fatal(err)
				}
				theirs += time.Since(start)
				sampled++
			}
			if n%73_000 == 0 {
				peak = max(peak, heap())
			}
		})
		each := float64(ours.Nanoseconds()) / float64(n)
		json := float64(theirs.Nanoseconds()) / float64(sampled)
		b.ReportMetric(float64(n), "records")
		b.ReportMetric(float64(size)/float64(n), "bytes/record")
		b.ReportMetric(each, "ns/record")
		b.ReportMetric(json, "ns-json/record")
		b.ReportMetric(each/json, "ours/json")
		b.ReportMetric(float64(peak-min(before, peak))/(1<<20), "MB-held")
		if len(s.Due(time.Date(2027, 1, 4, 12, 0, 0, 0, time.UTC))) != 50 {
			b.Fatal("not every sterilizer is there")
		}
	}
}

// A history of so many loads, added and asked.
func BenchmarkHistory(b *testing.B) {
	p := policy(b, "us-cdc-2003")
	var all []*load.Record
	year(b, 1, 50, 20, func(data []byte) {
		r, err := load.Decode(data)
		if err != nil {
			b.Fatal(err)
		}
		all = append(all, r)
	})
	h := New(p)
	for _, r := range all {
		h.Add(r)
	}
	b.Run("add", func(b *testing.B) {
		i := 0
		h := New(p)
		for b.Loop() {
			h.Add(all[i%len(all)])
			i++
		}
	})
	b.Run("findings-1000-loads", func(b *testing.B) {
		for b.Loop() {
			h.Findings(local("2026-03-01 12:00"))
		}
	})
	b.Run("recall-1000-loads", func(b *testing.B) {
		for b.Loop() {
			h.Recall()
		}
	})
}

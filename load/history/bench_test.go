package history

import (
	"bytes"
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
// day, a biological indicator test in the first load of each Monday. It calls yield with the
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

// A trace of a load with two packs takes at most so many bytes, as doc.go says.
const mostOfATrace = 1100

// What a history holds grows with its loads, by what doc.go says of each: with 3.65 million
// of them in ten years of 50 sterilizers, 20 a day.
func TestHistoryHoldsWhatItSays(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	held := func(n int) uint64 {
		r := ran("0", "2026-01-05 00:05")
		report := load.Check(r, p)
		before := heap()
		h := New(p)
		for i := range n {
			r := ran(fmt.Sprintf("%06d", i), hour(i).Format("2006-01-02 15:04"))
			h.add(r, report)
		}
		after := heap()
		runtime.KeepAlive(h)
		return after - min(before, after)
	}
	few, many := held(250), held(2250)
	each := (many - few) / 2000
	require.Less(t, each, uint64(mostOfATrace), "bytes")
	require.Greater(t, each, uint64(mostOfATrace/2), "the figure of doc.go is out of date")
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

// against runs two pieces of work in turns and reports the shortest time of the one in
// those of the other, which a busy machine changes little.
func against(b *testing.B, unit string, ours, theirs func()) {
	least := func(old time.Duration, work func()) time.Duration {
		start := time.Now()
		work()
		if took := time.Since(start); old == 0 || took < old {
			return took
		}
		return old
	}
	var x, y time.Duration
	for b.Loop() {
		x, y = least(x, ours), least(y, theirs)
	}
	b.ReportMetric(float64(x)/float64(y), unit)
}

// What a recall costs, as a multiple of decoding the records with encoding/json: a year of
// 5,000 loads with 15,000 packs in store and one positive test (at most 5), and the growth
// when all that is doubled (at most a little over 2):
//
//	go test ./load/history -run '^$' -bench Recall -benchtime 20x
func BenchmarkRecall(b *testing.B) {
	p := policy(b, "us-cdc-2003")
	shape := plain(reflect.TypeFor[load.Record]())
	site := func(n int) (*logbook, [][]byte) {
		l := newLogbook(b, p)
		var lines [][]byte
		for i := range n {
			kind, edit := "plain", func(*load.Record) {}
			switch {
			case i == n/2:
				kind, edit = "positive", bio(load.Positive)
			case i%100 == 0:
				kind, edit = "negative", bio(load.Negative)
			}
			r := l.load(i, kind, edit)
			if n == 5000 {
				data, err := json.Marshal(r)
				require.NoError(b, err)
				lines = append(lines, data)
			}
			for k := range 3 {
				l.stored(fmt.Sprintf("%d-%d", i, k+1), fmt.Sprint(i), "", nil)
			}
		}
		return l, lines
	}
	year, lines := site(5000)
	two, _ := site(10000)
	b.Run("year", func(b *testing.B) {
		against(b, "recall/json", func() { year.Recall() }, func() {
			for _, data := range lines {
				if err := json.Unmarshal(data, reflect.New(shape).Interface()); err != nil {
					b.Fatal(err)
				}
			}
		})
	})
	b.Run("twice", func(b *testing.B) {
		against(b, "two-years/year", func() { two.Recall() }, func() { year.Recall() })
	})
}

// Twice as many lines of each hostile history, recalled and judged, as a multiple:
//
//	go test ./load/history -run '^$' -bench Hostile -benchtime 10x
func BenchmarkHostile(b *testing.B) {
	p := policy(b, "us-cdc-2003")
	at := local("2026-12-30 12:00")
	for _, w := range hostile {
		one, two := newLogbook(b, p), newLogbook(b, p)
		w.fill(one, 1000)
		w.fill(two, 2000)
		b.Run(strings.ReplaceAll(w.name, " ", "-"), func(b *testing.B) {
			against(b, "twice/once", func() { two.Recall(); two.Findings(at) }, func() { one.Recall(); one.Findings(at) })
		})
	}
}

// Two thousand traces read from a file, as a multiple of reading its bytes as JSON (at most
// 1):
//
//	go test ./load/history -run '^$' -bench LoadSaved -benchtime 20x
func BenchmarkLoadSaved(b *testing.B) {
	p := policy(b, "us-cdc-2003")
	l := newLogbook(b, p)
	for i := range 2000 {
		l.load(i, "plain")
	}
	file := saved(b, l.History)
	b.SetBytes(int64(len(file)))
	against(b, "load/json", func() { loaded(b, file, p) }, func() {
		for line := range bytes.Lines(file) {
			var v any
			if err := json.Unmarshal(line, &v); err != nil {
				b.Fatal(err)
			}
		}
	})
}

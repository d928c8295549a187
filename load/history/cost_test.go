package history

import (
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// logbook fills a history with many lines and checks each kind of record once.
type logbook struct {
	*History
	t       testing.TB
	reports map[string]*load.Report
}

func newLogbook(t testing.TB, p *load.Policy) *logbook {
	return &logbook{New(p), t, map[string]*load.Report{}}
}

// hour returns the start of the i-th hour of a clinic that never closes.
func hour(i int) time.Time { return local("2026-01-05 00:05").Add(time.Duration(i) * time.Hour) }

// load adds the load of an hour, of a kind that an edit makes.
func (l *logbook) load(i int, kind string, edits ...func(*load.Record)) *load.Record {
	r := ran(fmt.Sprint(i), hour(i).Format("2006-01-02 15:04"), edits...)
	report := l.reports[kind]
	if report == nil {
		report = load.Check(r, l.Policy())
		l.reports[kind] = report
	}
	l.add(r, report)
	return r
}

func (l *logbook) event(i int, kind calendar.EventKind, edits ...func(*Event)) {
	l.AddEvent(event(kind, hour(i).Add(52*time.Minute).Format("2006-01-02 15:04"), edits...))
}

func (l *logbook) stored(pack, record, number string, use *Use) {
	s := &StoredPack{Format: StoredFormat, Pack: pack, Record: record, Load: number, Use: use}
	if record == "" {
		s.Sterilizer = "S1"
	}
	l.AddStored(s)
}

// version adds another version of one record.
func (l *logbook) version(i int, edits ...func(*load.Record)) *load.Record {
	return l.load(0, "version", append(edits, func(r *load.Record) { r.Load.PreparedBy = fmt.Sprint("AB", i) })...)
}

func (l *logbook) take(line any, i int, pointers ...string) {
	a := amend(line, pointers...)
	a.Why = fmt.Sprint("mistyped, ", i)
	require.NoError(l.t, l.AddAmendment(a))
}

func oneID(e *Event) { e.ID = "e" }

// hostile are histories that would be the dearest if each thing were held against each
// other thing.
var hostile = []struct {
	name string
	fill func(l *logbook, n int)
}{
	{"nothing failed", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "plain")
		}
	}},
	{"all loads positive", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "positive", bio(load.Positive))
		}
	}},
	{"each second load positive, the others negative", func(l *logbook, n int) {
		for i := range n {
			if i%2 == 0 {
				l.load(i, "positive", bio(load.Positive))
			} else {
				l.load(i, "negative", bio(load.Negative))
			}
		}
	}},
	{"all air removal tests failed, all loads suspect", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "plain")
			l.event(i, calendar.AirRemovalEvent, passed(no))
		}
	}},
	{"each second leak test failed, loads without a time", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "undated", func(r *load.Record) { r.Cycle, r.Unloading = nil, load.Unloading{} })
			l.event(i, calendar.LeakEvent, leaked([]string{"0.05 kPa/min", "0.5 kPa/min"}[i%2]))
		}
	}},
	{"loads of which two lines give times far apart", func(l *logbook, n int) {
		for i := range n {
			r := l.load(i, "plain")
			own, run := *r, *r.Cycle
			run.Started, run.Ended = hour(n-i), hour(n-i).Add(50*time.Minute)
			own.Cycle = &run
			l.add(&own, l.reports["plain"])
			l.event(i, calendar.AirRemovalEvent, passed([]moistheat.Answer{yes, no}[i%2]))
		}
	}},
	{"a wrong setting found each hour", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "plain")
			l.event(i, calendar.WrongSettingEvent, func(e *Event) { e.Settings.Hold = duration("300 s") })
		}
	}},
	{"out of use and back each hour, all loads aborted", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "aborted", func(r *load.Record) { r.Cycle.Aborted = yes })
			l.event(2*i, calendar.OutOfUseEvent)
			l.event(2*i+1, calendar.ReturnedEvent)
		}
	}},
	{"packs in store, by record", func(l *logbook, n int) {
		for i := range n {
			if r := "plain"; i == n/2 {
				l.load(i, "positive", bio(load.Positive))
			} else {
				l.load(i, r)
			}
			for k := range 3 {
				l.stored(fmt.Sprintf("%d-%d", i, k+1), fmt.Sprint(i), "", nil)
			}
		}
	}},
	{"packs of one id, by label, used", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "positive", bio(load.Positive))
			l.stored("1", "", fmt.Sprint(i), &Use{Time: hour(i + 100), Patient: "p"})
		}
	}},
	{"packs of one load", func(l *logbook, n int) {
		l.load(0, "positive", bio(load.Positive))
		for i := range n {
			l.stored(fmt.Sprint(i), "0", "", &Use{Time: hour(i), Patient: "p"})
		}
	}},
	{"one pack, said in many ways", func(l *logbook, n int) {
		l.load(0, "positive", bio(load.Positive))
		for i := range n {
			l.stored("1", "0", "", &Use{Time: hour(i), Patient: fmt.Sprint(i)})
		}
	}},
	{"versions of one record", func(l *logbook, n int) {
		for i := range n {
			l.version(i, bio(load.Negative))
		}
	}},
	{"versions of one record, each amended", func(l *logbook, n int) {
		for i := range n {
			l.take(l.version(i, bio(load.Positive)), i, "/monitors/biologicals")
		}
	}},
	{"versions of one event", func(l *logbook, n int) {
		for i := range n {
			l.event(0, calendar.AirRemovalEvent, passed(no), func(e *Event) { e.Note = fmt.Sprint(i) })
		}
	}},
	{"one test that many records mention", func(l *logbook, n int) {
		for i := range n {
			r := l.load(i, "plain")
			r.Monitors.Tests = []load.Test{{Kind: load.LeakTest, Time: hour(0), Passed: no}}
			l.add(r, l.reports["plain"])
		}
	}},
	{"amendments of one record", func(l *logbook, n int) {
		r := l.version(0, bio(load.Positive))
		l.version(1, bio(load.Negative))
		for i := range n {
			l.take(r, i, "/monitors/biologicals")
		}
	}},
	{"amendments of one event", func(l *logbook, n int) {
		e := event(calendar.LeakEvent, "2026-01-05 12:00", passed(no))
		l.AddEvent(e)
		for i := range n {
			l.take(e, i, "/passed")
		}
	}},
	{"a record and an amendment of it each hour", func(l *logbook, n int) {
		for i := range n {
			l.take(l.load(i, "positive", bio(load.Positive)), i, "/monitors/biologicals")
		}
	}},
	{"an event and an amendment of it each hour", func(l *logbook, n int) {
		for i := range n {
			e := event(calendar.LeakEvent, hour(i).Format("2006-01-02 15:04"), passed(no),
				func(e *Event) { e.ID = fmt.Sprint(i) })
			l.AddEvent(e)
			l.take(e, i, "/passed")
		}
	}},
	{"one pack, said and amended in many ways", func(l *logbook, n int) {
		for i := range n {
			s := &StoredPack{Format: StoredFormat, Pack: "1", Record: "0", Use: &Use{Time: hour(i), Patient: fmt.Sprint(i)}}
			l.AddStored(s)
			l.take(s, i, "/use/patient")
		}
	}},
	{"one pack, lines in the opposite order", func(l *logbook, n int) {
		var all []*StoredPack
		for i := range n {
			all = append(all, &StoredPack{Format: StoredFormat, Pack: "1", Record: "0", Contents: fmt.Sprint(i)})
		}
		digests := map[*StoredPack]string{}
		for _, s := range all {
			digests[s] = entryOf(s).Digest()
		}
		slices.SortFunc(all, func(a, b *StoredPack) int { return strings.Compare(digests[b], digests[a]) })
		for _, s := range all {
			l.AddStored(s)
		}
	}},
	{"tests of one lot and day, each with a control that grew elsewhere", func(l *logbook, n int) {
		for i := range n {
			l.AddEvent(runWithSpores("2026-01-05 10:00", load.Negative, func(e *Event) {
				e.ID, e.Time = fmt.Sprint(i), e.Time.Add(time.Duration(i)*time.Second)
				e.Biological.Temperature = units.New(int64(55000+i), 3, units.Celsius)
				if i%2 == 0 {
					e.Biological.Control = nil
				}
			}))
		}
	}},
	{"tests of one lot and day, of which one control did not grow", func(l *logbook, n int) {
		for i := range n {
			l.AddEvent(runWithSpores("2026-01-05 10:00", load.Negative, func(e *Event) {
				e.ID, e.Time, e.Site = fmt.Sprint(i), e.Time.Add(time.Duration(i)*time.Second), "mill"
				if i == 0 {
					e.Site, e.Biological.Control.Result = "bridge", load.Negative
				}
			}))
		}
	}},
	{"events of one id, each amended", func(l *logbook, n int) {
		for i := range n {
			e := event(calendar.LeakEvent, hour(i).Format("2006-01-02 15:04"), passed(no), oneID)
			l.AddEvent(e)
			l.take(e, i, "/passed")
		}
	}},
	{"events of one id, each second amended", func(l *logbook, n int) {
		for i := range n {
			e := event(calendar.LeakEvent, hour(i).Format("2006-01-02 15:04"), passed(unknown), oneID)
			if l.AddEvent(e); i%2 == 0 {
				e = event(calendar.LeakEvent, hour(i).Format("2006-01-02 15:05"), passed(no), oneID)
				l.AddEvent(e)
				l.take(e, i, "/passed")
			}
		}
	}},
	{"a sterilizer for each amended event", func(l *logbook, n int) {
		for i := range n {
			at, of := hour(i).Format("2006-01-02 15:04"), func(e *Event) { e.Sterilizer = fmt.Sprint("S", i) }
			e := runWithSpores(at, load.Positive, of)
			l.AddEvent(e)
			l.AddEvent(runWithSpores(at, load.Negative, of))
			l.take(e, i, "")
		}
	}},
	{"sterilizers and packs, all amended", func(l *logbook, n int) {
		for i := range n {
			of := func(r *load.Record) { r.Sterilizer.ID = fmt.Sprint("S", i) }
			l.take(l.load(i, "positive", bio(load.Positive), of), i, "/monitors/biologicals")
			s := &StoredPack{Format: StoredFormat, Pack: fmt.Sprint(i), Record: fmt.Sprint(i), Contents: "probes"}
			l.AddStored(s)
			l.take(s, i, "/contents")
		}
	}},
	{"a site for each load, and loads of none", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "plain", func(r *load.Record) {
				if r.Site.Name = ""; i%4 != 0 {
					r.Site.Name = fmt.Sprint("mill ", i)
				}
			})
		}
	}},
	{"a sterilizer for each load, packs without one", func(l *logbook, n int) {
		for i := range n {
			l.load(i, "positive", bio(load.Positive), func(r *load.Record) { r.Sterilizer.ID = fmt.Sprint("S", i) })
			l.stored("1", fmt.Sprint(i), "", nil)
		}
	}},
}

// spent returns how often an answer looks at a load or event, and what it allocates.
func spent(l *logbook, ask func()) (looks, bytes float64) {
	n := 0
	for _, u := range l.units() {
		for _, e := range u.all {
			for _, v := range append(slices.Clone(e.left), e) {
				v.looks = &n
			}
		}
	}
	ask() // what is made once for all is made
	n = 0
	bytes = allocated(ask)
	return float64(n), bytes
}

func allocated(call func()) float64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	call()
	runtime.ReadMemStats(&after)
	return float64(after.TotalAlloc - before.TotalAlloc)
}

// Four times the lines cost at most n·log n more, whatever they say: counted in looks at
// loads and events and in bytes, not in time.
func TestAnswersGrowWithWhatIsThere(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	at := local("2026-12-30 12:00")
	few := 100
	if !testrun.Full() {
		few = 90 // most of which are more than mostSites
	}
	for i, w := range hostile {
		if !testrun.Full() && i%3 > 0 {
			continue
		}
		small, large := newLogbook(t, p), newLogbook(t, p)
		w.fill(small, few)
		w.fill(large, 4*few)
		for _, q := range []struct {
			name string
			ask  func(*logbook)
		}{
			{"recall", func(l *logbook) { l.Recall() }},
			{"findings", func(l *logbook) { l.Findings(at) }},
			{"due", func(l *logbook) { l.Due(at) }},
			{"out of service", func(l *logbook) { l.OutOfService() }},
			{"status", func(l *logbook) { l.Status() }},
			{"save", func(l *logbook) { require.NoError(t, l.Save(io.Discard)) }},
		} {
			a, x := spent(small, func() { q.ask(small) })
			b, y := spent(large, func() { q.ask(large) })
			const most, base = 4 * 1.5, 4096
			assert.LessOrEqual(t, b, most*a+base/16, "%s, %s: looks %g -> %g", w.name, q.name, a, b)
			assert.LessOrEqual(t, y, most*x+base, "%s, %s: bytes %g -> %g", w.name, q.name, x, y)
		}
	}
}

// To take lines in one by one, and to ask for the first time, costs as little, however many
// are about one thing.
func TestHistoriesGrowWithTheirLines(t *testing.T) {
	p := policy(t, "us-cdc-2003")
	at := local("2026-12-30 12:00")
	few := testrun.Sample(50, 2)
	for _, w := range hostile {
		filled := func(n int) float64 {
			l := newLogbook(t, p)
			return allocated(func() {
				w.fill(l, n)
				l.Findings(at)
			})
		}
		filled(1) // what is made once for all is made
		x, y := filled(few), filled(4*few)
		assert.LessOrEqual(t, y, 4*1.5*x, "%s: bytes %g -> %g", w.name, x, y)
	}
}

// What TestAnswersGrowWithWhatIsThere counts in looks and bytes, internal/tools/steps counts
// in steps: n lines taken in, and each question asked once.
func TestSteps(t *testing.T) {
	part := testrun.Part(t)
	at := local("2026-12-30 12:00")
	for _, w := range hostile {
		t.Run(w.name, func(t *testing.T) {
			if part == 0 {
				return
			}
			l := newLogbook(t, policy(t, "us-cdc-2003"))
			w.fill(l, 400/part)
			l.Recall()
			l.Findings(at)
			l.Due(at)
			l.OutOfService()
			l.Status()
			l.Lines()
			require.NoError(t, l.Save(io.Discard))
		})
	}
}

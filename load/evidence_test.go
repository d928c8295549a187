package load

import (
	"os"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/tools/testrun"
	"example.com/moistheat/units"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// recorded returns the good load of the demonstration day, with its trace.
func recorded(t testing.TB) *Record {
	data, err := os.ReadFile("../examples/checkload/demo/1-all-good.json")
	require.NoError(t, err)
	r, err := Decode(data)
	require.NoError(t, err)
	return r
}

// plateau returns the samples of the hold of that load.
func plateau(r *Record) (from, to int) {
	values := r.Cycle.Trace.Temperatures[2].Values
	for i, v := range values {
		if v >= 132 {
			if from == 0 {
				from = i
			}
			to = i
		}
	}
	return from, to
}

func cut[T any](s []T, from, to int) []T { return append(append([]T{}, s[:from]...), s[to:]...) }

// Evidence that is missing, cut or marked with the wrong unit is an error or
// undetermined or broken, never a pass.
func TestBadEvidence(t *testing.T) {
	for i, tt := range []struct {
		name  string
		edit  func(*Record)
		rules []string // each undetermined or broken
	}{
		{"no pressure", func(r *Record) { r.Cycle.Trace.AbsolutePressures = nil }, []string{"cycle.record.incomplete", "cycle.saturation.apart"}},
		{"no temperature", func(r *Record) { r.Cycle.Trace.Temperatures = nil }, []string{"cycle.record.incomplete", "cycle.hold.short"}},
		{"a gap of 60 s in the plateau", func(r *Record) {
			tr := r.Cycle.Trace
			from, to := plateau(r)
			mid := (from + to) / 2
			tr.Time.Values = cut(tr.Time.Values, mid-30, mid+30)
			for i := range tr.Temperatures {
				tr.Temperatures[i].Values = cut(tr.Temperatures[i].Values, mid-30, mid+30)
			}
			tr.AbsolutePressures[0].Values = cut(tr.AbsolutePressures[0].Values, mid-30, mid+30)
		}, []string{"cycle.trace.gap", "cycle.hold.short"}},
		{"°F marked Cel", func(r *Record) {
			for i := range r.Cycle.Trace.Temperatures {
				v := r.Cycle.Trace.Temperatures[i].Values
				for j := range v {
					v[j] = v[j]*9/5 + 32
				}
			}
		}, []string{"cycle.trace.implausible", "cycle.hold.short"}},
		{"psi marked kPa", func(r *Record) {
			v := r.Cycle.Trace.AbsolutePressures[0].Values
			for j := range v {
				v[j] /= 6.894757
			}
		}, []string{"cycle.trace.implausible"}},
		{"gauge marked absolute", func(r *Record) {
			v := r.Cycle.Trace.AbsolutePressures[0].Values
			for j := range v {
				v[j] -= 99.4
			}
		}, []string{"cycle.trace.implausible"}},
		{"columns of different length", func(r *Record) {
			c := &r.Cycle.Trace.Temperatures[1]
			c.Values = c.Values[:100]
		}, []string{"cycle.trace.unreadable", "cycle.hold.short"}},
		{"a clock that steps back", func(r *Record) { r.Cycle.Trace.Time.Values[900] = 3 }, []string{"cycle.trace.unreadable", "cycle.hold.short"}},
		{"an empty trace", func(r *Record) {
			tr := r.Cycle.Trace
			tr.Time.Values = nil
			for i := range tr.Temperatures {
				tr.Temperatures[i].Values = nil
			}
			tr.AbsolutePressures[0].Values = nil
		}, []string{"cycle.trace.unreadable", "cycle.hold.short"}},
	} {
		for j, name := range Policies() {
			if !testrun.Full() && (i+j)%9 > 0 {
				continue
			}
			t.Run(tt.name+"/"+name, func(t *testing.T) {
				r := recorded(t)
				r.Cycle.Settings.Temperature = celsius(132)
				tt.edit(r)
				report := Explain(r, policy(t, name))
				assert.False(t, report.Released())
				for _, rule := range tt.rules {
					found := moistheat.Outcome(0)
					for _, f := range report.Findings {
						if f.Rule == rule {
							found = max(found, f.Outcome)
						}
					}
					assert.Contains(t, []moistheat.Outcome{undetermined, broken}, found, rule)
				}
				assertSound(t, r, report)
			})
		}
	}
}

// A gauge reading says nothing without the pressure of the air outside.
func TestGaugeNeedsTheAtmosphere(t *testing.T) {
	r := recorded(t)
	gauge := r.Cycle.Trace.AbsolutePressures[0]
	var v []float64
	for _, p := range gauge.Values {
		v = append(v, p-99.4)
	}
	r.Cycle.Trace.AbsolutePressures = nil
	r.Cycle.Trace.GaugePressures = append(r.Cycle.Trace.GaugePressures[:0], gaugeChannel(v))
	with := Explain(r, policy(t, "us-cdc-2003"))
	assert.Equal(t, met, outcome(with, "cycle.saturation.apart", "/cycle/trace"))
	r.Site.Altitude = units.Length{}
	without := Explain(r, policy(t, "us-cdc-2003"))
	assert.Equal(t, undetermined, outcome(without, "cycle.saturation.apart", "/cycle/trace"))
}

func gaugeChannel(kPa []float64) cycle.GaugePressureChannel {
	return cycle.GaugePressureChannel{ID: "gauge", Place: cycle.Chamber, Unit: units.KilopascalGauge, Values: kPa}
}

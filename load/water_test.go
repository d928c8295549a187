package load

import (
	"testing"
	"time"

	"example.com/moistheat/water"
	"github.com/stretchr/testify/assert"
)

// A sample is judged by its readings, its age and the way it was taken.
func TestWaterSample(t *testing.T) {
	r := good()
	r.Water.Sample = &water.Sample{Point: water.TreatedFeed, Treatment: water.Softened, Time: r.Cycle.Started.Add(-time.Hour)}
	report := Explain(r, policy(t, "en-13060"))
	assert.Equal(t, broken, outcome(report, "water.kind.unfit", "/water/sample/treatment"), "softened water is not for steam")
	asked := 0
	for _, f := range report.Findings {
		if f.Rule == "water.sample.old" || f.Rule == "water.kind.unfit" {
			asked++
		}
	}
	assert.Positive(t, asked)
	assertSound(t, r, report)

	fine := good()
	fine.Water.Sample = &water.Sample{Point: water.TreatedFeed, Treatment: water.Distilled, Time: fine.Cycle.Started.Add(-time.Hour)}
	got := Explain(fine, policy(t, "en-13060"))
	assert.Equal(t, met, outcome(got, "water.kind.unfit", "/water/sample/treatment"))
}

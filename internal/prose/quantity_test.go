package prose_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat/internal/prose"
	"example.com/moistheat/units"
)

func TestMeasured(t *testing.T) {
	for _, c := range []struct{ measured, limit, want string }{
		{"220.421 s", "4 min", "3 min 40 s"},
		{"220.421 s", "240 s", "3 min 40 s"},
		{"239.6 s", "240 s", "3 min 59.6 s"},       // not 4 min, which would pass
		{"239.9996 s", "240 s", "3 min 59.9996 s"}, // nor 4 min 0 s
		{"240.4 s", "240 s", "4 min 0.4 s"},        // above a maximum
		{"240.000 s", "240 s", "4 min"},            // equal stays equal
		{"262.357 s", "240 s", "4 min 22 s"},       // far from it
		{"180.4 s", "180.3 s", "3 min 0.4 s"},      // a limit with digits
		{"59.96 s", "60 s", "59.96 s"},             // under a minute as it is
		{"1.5 s", "2.5 s", "1.5 s"},                // likewise
		{"1441.00 min", "24 h", "24 h 1 min"},      // hours beside hours
		{"7201 s", "2 h", "2 h 1 s"},
		{"86400.4 s", "1 d", "24 h 0.4 s"},
		{"7200 s", "2 h", "2 h"},
		{"500 s", "2 h", "8 min 20 s"},
		{"1201000 ms", "20 min", "20 min 1 s"},
		{"95 min", "90 min", "95 min"},           // minutes beside minutes
		{"25 h", "1 d", "25 h"},                  // and hours as they are
		{"134.04 Cel", "134.1 Cel", "134.04 °C"}, // only times
	} {
		parse := func(s string) units.Value {
			if d, err := units.Parse[units.DurationUnit](s); err == nil {
				return d.Value()
			}
			return units.MustParse[units.TemperatureUnit](s).Value()
		}
		assert.Equal(t, c.want, prose.Measured(parse(c.measured), parse(c.limit)), c.measured)
	}
	assert.Equal(t, "3 min 40 s",
		prose.Measured(units.New(220421, -3, units.Second).Value(), units.Value{}))
}

// Long IDs that differ at their end show as different; one that could be a sentence shows its beginning.
func TestLongNames(t *testing.T) {
	const tray = "clinic-north/tray/2026/sterilizer-A/load-0309-2/"
	if a, b := prose.Name(tray+"0"), prose.Name(tray+"1"); a == b || len([]rune(a)) != 42 {
		t.Errorf("%s, %s", a, b)
	}
	got, want := prose.Name("a pack of the clinic that says: Verdict: RELEASE"), `"a pack of the clinic that says: Verdict…"`
	if got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

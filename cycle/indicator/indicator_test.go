package indicator

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

var (
	temp = units.MustParse[units.TemperatureUnit]
	mins = units.MustParse[units.DurationUnit]
)

func needs(at, hold string) cycle.Requirement {
	return cycle.Requirement{Table: "t", Row: "r", Temperature: temp(at), Stated: cycle.Stated{Hold: mins(hold)}}
}

// ISO 11140-1: type 3 and 4 25 % of the time and 2 °C, type 6 6 % and 1 °C
// (recalled); type 5 at least 16.5 min at 121 °C and no end point at 63.6 % of it
// (published in GOST R ISO 11140-1-2009), at least 1.2 min at 135 °C (recalled).
func TestTypes(t *testing.T) {
	f, err := strictjson.NewDecoder[typesFile]().Decode(typesData, strictjson.Default())
	require.NoError(t, err)
	assert.Equal(t, "moistheat.indicator-types/1", f.Format)
	list := Types()
	require.Len(t, list, 6)
	for i, info := range list {
		assert.Equal(t, Type(i+1), info.Type, "in order")
		assert.NotEmpty(t, info.Title)
		assert.NotEmpty(t, info.Says)
		assert.NotZero(t, info.Source.Basis)
	}
	ratio := units.MustParse[units.RatioUnit]
	kelvin := units.MustParse[units.TemperatureDifferenceUnit]
	for _, c := range []struct {
		typ   Type
		time  string
		below string
		basis moistheat.Basis
	}{
		{SingleVariable, "25 %", "2 K", moistheat.Recalled}, {MultiVariable, "25 %", "2 K", moistheat.Recalled},
		{Integrating, "36.4 %", "", moistheat.Published}, {Emulating, "6 %", "1 K", moistheat.Recalled},
	} {
		info := list[c.typ-1]
		assert.Equal(t, ratio(c.time), info.TimeShort)
		assert.Equal(t, c.basis, info.Source.Basis)
		if c.below != "" {
			assert.Equal(t, kelvin(c.below), info.TemperatureShort)
		}
	}
	assert.Equal(t, moistheat.Published, list[Integrating-1].Least[0].Source.Basis)
	assert.Equal(t, moistheat.Recalled, list[Integrating-1].Least[1].Source.Basis)
	// (lg 1e5 + 6) × 1.5 min = 16.5 min, and 7 logs × 1.5 min = 10.5 min fail.
	assert.InDelta(t, 16.5, list[Integrating-1].Least[0].Time.Float64(units.Minute), 1e-12)
	assert.InDelta(t, 10.5, 16.5*(1-list[Integrating-1].TimeShort.Float64(units.One)), 0.01)
	list[4].Least[0].Time = mins("1 min")
	assert.NotEqual(t, mins("1 min"), Types()[4].Least[0].Time)
}

func TestFor(t *testing.T) {
	emulating := Rating{Emulating, []Stated{{temp("134 Cel"), mins("3.5 min")}}}
	// Stated at the least of both temperatures, the time falls by ln(16.5/1.2)/14 per
	// kelvin: 1.2 min · e^(0.18722) = 1.447 min at 134 °C.
	integrating := Rating{Integrating, []Stated{{temp("121 Cel"), mins("16.5 min")}, {temp("135 Cel"), mins("1.2 min")}}}
	for _, c := range []struct {
		r              Rating
		req            cycle.Requirement
		time           float64 // minutes; NaN if there is none
		reaches, shows moistheat.Answer
		proven         float64
	}{
		{emulating, needs("134 Cel", "3.5 min"), 3.5, moistheat.Yes, moistheat.Yes, 3.29},
		{emulating, needs("134 Cel", "3 min"), 3.5, moistheat.No, moistheat.Yes, 3.29},
		{emulating, needs("134 Cel", "5 min"), 3.5, moistheat.Yes, moistheat.No, 3.29},
		{emulating, needs("132 Cel", "4 min"), math.NaN(), 0, 0, math.NaN()},
		{emulating, needs("135 Cel", "3 min"), math.NaN(), 0, 0, math.NaN()},
		{integrating, needs("121 Cel", "15 min"), 16.5, moistheat.No, moistheat.Yes, 10.494},
		{integrating, needs("121 Cel", "16.5 min"), 16.5, moistheat.Yes, moistheat.Yes, 10.494},
		{integrating, needs("121 Cel", "30 min"), 16.5, moistheat.Yes, moistheat.No, 10.494},
		{integrating, needs("134 Cel", "3 min"), 1.2 * math.Exp(math.Log(16.5/1.2)/14), moistheat.Yes, moistheat.No, 0.636 * 1.2 * math.Exp(math.Log(16.5/1.2)/14)},
		{integrating, needs("136 Cel", "3 min"), math.NaN(), 0, 0, math.NaN()},
		{integrating, needs("115 Cel", "30 min"), math.NaN(), 0, 0, math.NaN()},
		{Rating{MultiVariable, []Stated{{temp("121 Cel"), mins("15 min")}}}, needs("121 Cel", "15 min"), 15, moistheat.Yes, moistheat.Yes, 11.25},
		{Rating{SingleVariable, []Stated{{temp("134 Cel"), mins("4 min")}}}, needs("134 Cel", "4 min"), 4, moistheat.Yes, moistheat.Yes, 3},
		{Rating{Type: Process}, needs("134 Cel", "3 min"), math.NaN(), 0, 0, math.NaN()},
		{Rating{Type: SpecialTest}, needs("134 Cel", "3 min"), math.NaN(), 0, 0, math.NaN()},
		{Rating{SpecialTest, []Stated{{temp("134 Cel"), mins("3.5 min")}}}, needs("134 Cel", "3.5 min"), math.NaN(), 0, 0, math.NaN()},
		{emulating, cycle.Requirement{}, math.NaN(), 0, 0, math.NaN()},
		{emulating, cycle.Requirement{Temperature: temp("134 Cel")}, math.NaN(), 0, 0, math.NaN()},
		{emulating, cycle.Requirement{Stated: cycle.Stated{Hold: mins("3.5 min")}}, math.NaN(), 0, 0, math.NaN()},
	} {
		m, err := c.r.For(c.req)
		require.NoError(t, err)
		name := fmt.Sprintf("type %s for %s", c.r.Type, c.req.Hold)
		if math.IsNaN(c.time) {
			assert.False(t, m.Time.IsValid(), name)
			assert.False(t, m.Proven.IsValid(), name)
		} else {
			assert.InDelta(t, c.time, m.Time.Float64(units.Minute), 2e-5, name)
			assert.InDelta(t, c.proven, m.Proven.Float64(units.Minute), 2e-5, name)
		}
		assert.Equal(t, c.reaches, m.Reaches, name)
		assert.Equal(t, c.shows, m.Shows, name)
	}
	// 72 s · (16.5/1.2)^(1/14) = 86.824008 s, rounded up.
	m, err := integrating.For(needs("134 Cel", "3 min"))
	require.NoError(t, err)
	assert.Equal(t, mins("86.825 s"), m.Time)
	// A cycle printed as 132 °C and 270 °F fits an indicator stated in either.
	both := cycle.Requirement{Table: "t", Row: "r", Temperature: temp("132 Cel"), AlsoPrinted: temp("270 [degF]"), Stated: cycle.Stated{Hold: mins("4 min")}}
	for _, at := range []string{"132 Cel", "270 [degF]"} {
		m, err := (&Rating{Emulating, []Stated{{temp(at), mins("4 min")}}}).For(both)
		require.NoError(t, err)
		assert.Equal(t, moistheat.Yes, m.Reaches, at)
	}
}

func TestValid(t *testing.T) {
	for name, r := range map[string]Rating{
		"no type":         {},
		"a type 7":        {Type: 7},
		"nothing stated":  {Type: Emulating},
		"cold":            {Emulating, []Stated{{temp("34 Cel"), mins("3 min")}}},
		"no time":         {Emulating, []Stated{{temp("134 Cel"), units.Duration{}}}},
		"out of order":    {Integrating, []Stated{{temp("135 Cel"), mins("1.2 min")}, {temp("121 Cel"), mins("16.5 min")}}},
		"times that rise": {Integrating, []Stated{{temp("121 Cel"), mins("1.2 min")}, {temp("135 Cel"), mins("16.5 min")}}},
	} {
		_, err := r.For(needs("134 Cel", "3 min"))
		assert.ErrorIs(t, err, moistheat.ErrInvalid, name)
	}
}

func TestValidLimits(t *testing.T) {
	one := func(at, minutes string) []Stated { return []Stated{{temp(at), mins(minutes)}} }
	two := func(lower, longer, higher, shorter string) []Stated {
		return []Stated{{temp(lower), mins(longer)}, {temp(higher), mins(shorter)}}
	}
	for _, c := range []struct {
		name string
		r    Rating
		want string // of the error; empty if there is none
	}{
		{"a process indicator states nothing", Rating{Type: Process}, ""},
		{"a special test states nothing", Rating{Type: SpecialTest}, ""},
		{"one variable must be stated", Rating{Type: SingleVariable}, "type 3 needs stated values"},
		{"as cold as may be", Rating{Emulating, one("100 Cel", "3 min")}, ""},
		{"too cold", Rating{Emulating, one("99.99 Cel", "3 min")}, "the temperature is outside"},
		{"as hot as may be", Rating{Emulating, one("160 Cel", "3 min")}, ""},
		{"too hot", Rating{Emulating, one("160.01 Cel", "3 min")}, "the temperature is outside"},
		{"no time at all", Rating{Emulating, one("134 Cel", "0 min")}, "the time is outside"},
		{"less than no time", Rating{Emulating, one("134 Cel", "-0.01 min")}, "the time is outside"},
		{"hardly any time", Rating{Emulating, one("134 Cel", "0.01 min")}, ""},
		{"a day", Rating{Emulating, one("134 Cel", "1440 min")}, ""},
		{"more than a day", Rating{Emulating, one("134 Cel", "1440.01 min")}, "the time is outside"},
		{"one temperature twice", Rating{Integrating, two("121 Cel", "16.5 min", "121 Cel", "16.4 min")}, "the temperatures do not rise"},
		{"temperatures that hardly rise", Rating{Integrating, two("121 Cel", "16.5 min", "121.01 Cel", "16.4 min")}, ""},
		{"one time twice", Rating{Integrating, two("121 Cel", "16.5 min", "135 Cel", "16.5 min")}, "the times do not fall"},
		{"times that hardly fall", Rating{Integrating, two("121 Cel", "16.5 min", "135 Cel", "16.49 min")}, ""},
	} {
		err := c.r.valid()
		if c.want == "" {
			assert.NoError(t, err, c.name)
			continue
		}
		assert.ErrorIs(t, err, moistheat.ErrInvalid, c.name)
		assert.ErrorContains(t, err, c.want, c.name)
	}
}

func TestLow(t *testing.T) {
	at := func(minutes string) Rating { return Rating{Integrating, []Stated{{temp("121 Cel"), mins(minutes)}}} }
	for minutes, low := range map[string]int{"16.5 min": 0, "16.49 min": 1, "17 min": 0} {
		r := at(minutes)
		assert.Len(t, r.Low(), low, minutes)
	}
	r := Rating{Integrating, []Stated{{temp("121 Cel"), mins("15 min")}, {temp("135 Cel"), mins("1.19 min")}}}
	assert.Len(t, r.Low(), 2)
	r = Rating{Emulating, []Stated{{temp("121 Cel"), mins("15 min")}}}
	assert.Empty(t, r.Low(), "an emulating indicator may state any cycle")
	for _, unknown := range []*Rating{nil, {Type: 0, Stated: r.Stated}, {Type: 7, Stated: r.Stated}} {
		assert.Empty(t, unknown.Low(), "the type is unknown")
	}
}

func ExampleRating_For() {
	r := indicatorFor134()
	table, err := cycle.TableFor("dgkh-2009-practice")
	if err != nil {
		fmt.Println(err)
		return
	}
	req, _ := table.Find(moistheat.DynamicAirRemoval, cycle.WrappedInstruments, temp("134 Cel"))
	m, err := r.For(req)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("cycle:", req.Hold, "stated:", m.Time)
	fmt.Println("reaches its end point:", m.Reaches)
	fmt.Println("shows the whole hold: ", m.Shows)
	fmt.Println("an end point shows at least", m.Proven)
	// Output:
	// cycle: 5 min stated: 3.5 min
	// reaches its end point: yes
	// shows the whole hold:  no
	// an end point shows at least 3 min 17.4 s
}

func indicatorFor134() *Rating {
	return &Rating{Type: Emulating, Stated: []Stated{{Temperature: temp("134 Cel"), Time: mins("3.5 min")}}}
}

// What the types tell of a time and a temperature, by their tolerances (see TestTypes):
// of 210 s at 134 °C type 6 leaves 197.4 s and 133 °C, type 4 157.5 s and 132 °C. Type 5 asks
// for 63.6 % of the time at the temperature: of 16.5 min at 121 °C 10.494 min, and halfway, at
// 128 °C, of the root of 16.5 times 1.2, 4.45 min, 2.83 min.
func TestTells(t *testing.T) {
	at134 := []Stated{{temp("134 Cel"), mins("210 s")}}
	integrating := []Stated{{temp("121 Cel"), mins("16.5 min")}, {temp("135 Cel"), mins("1.2 min")}}
	for _, c := range []struct {
		rating        Rating
		hottest, held string
		want          moistheat.Answer
	}{
		{Rating{Emulating, at134}, "134 Cel", "210 s", moistheat.Yes},
		{Rating{Emulating, at134}, "134 Cel", "197.4 s", moistheat.Yes},
		{Rating{Emulating, at134}, "134 Cel", "197.3 s", moistheat.No},
		{Rating{Emulating, at134}, "133 Cel", "210 s", moistheat.Yes},
		{Rating{Emulating, at134}, "132.9 Cel", "210 s", moistheat.No},
		{Rating{Emulating, at134}, "136 Cel", "100 s", moistheat.NotRecorded},
		{Rating{MultiVariable, at134}, "132 Cel", "157.5 s", moistheat.Yes},
		{Rating{MultiVariable, at134}, "132 Cel", "157.4 s", moistheat.No},
		{Rating{MultiVariable, at134}, "131.9 Cel", "210 s", moistheat.No},
		{Rating{SingleVariable, at134}, "134 Cel", "210 s", moistheat.NotRecorded},
		{Rating{Integrating, integrating}, "121 Cel", "10.5 min", moistheat.Yes},
		{Rating{Integrating, integrating}, "121 Cel", "10.4 min", moistheat.No},
		{Rating{Integrating, integrating}, "128 Cel", "2.84 min", moistheat.Yes},
		{Rating{Integrating, integrating}, "128 Cel", "2.82 min", moistheat.No},
		{Rating{Integrating, integrating[:1]}, "121 Cel", "10.4 min", moistheat.No},
		// 4 of the 14 K between 121 °C, 16.5 min, and 135 °C, 1.2 min: 0.636 × 16.5 min × 0.4729 = 297.8 s
		{Rating{Integrating, integrating[:1]}, "125 Cel", "297 s", moistheat.NotRecorded},
		{Rating{Integrating, integrating[:1]}, "125 Cel", "298 s", moistheat.Yes},
		{Rating{Integrating, integrating[:1]}, "125 Cel", "10.5 min", moistheat.Yes},
	} {
		got, err := c.rating.Tells(temp(c.hottest), mins(c.held))
		require.NoError(t, err)
		assert.Equal(t, c.want, got, "%+v", c)
	}
	r := Rating{Emulating, at134}
	got, err := r.Tells(units.Temperature{}, mins("210 s"))
	require.NoError(t, err)
	assert.Equal(t, moistheat.NotRecorded, got)
	got, err = r.Tells(temp("134 Cel"), units.Duration{})
	require.NoError(t, err)
	assert.Equal(t, moistheat.NotRecorded, got)
	_, err = (&Rating{}).Tells(temp("134 Cel"), mins("210 s"))
	assert.ErrorIs(t, err, moistheat.ErrInvalid)
}

// Package indicator says what a chemical indicator of a type 1 to 6 (ISO 11140-1)
// can show about a cycle, from the values that its manufacturer states.
//
// A type is no rank: each answers another question. An end point is no proof that a
// load is sterile, and it never overrides a physical record that failed.
//
// Before indicators are bought it shows which of them fit the cycles of a clinic, and what
// an end point proves ([Rating.For]); after a cycle, whether an end point can be one of that
// cycle at all ([Rating.Tells]).
package indicator

import (
	_ "embed"
	"fmt"
	"math"
	"math/big"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lazy"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// Type is the type of an indicator after ISO 11140-1:2014, the class of the edition
// of 2005. The zero Type is invalid.
type Type = moistheat.Word[indicatorTypes]

const (
	Process        Type = iota + 1 // 1: went through a cycle
	SpecialTest                    // 2: for a special test, such as of air removal
	SingleVariable                 // 3: one variable
	MultiVariable                  // 4: two or more variables
	Integrating                    // 5: all variables, over a range of temperatures
	Emulating                      // 6: all variables of one stated cycle
)

type indicatorTypes struct{}

func (indicatorTypes) Words() string { return "1|2|3|4|5|6" }

// Info is what is known of a type.
type Info struct {
	Type  Type   `json:"type"`
	Title string `json:"title"`
	Says  string `json:"says"` // what an end point says
	// An indicator must not reach its end point with the time this much shorter, or
	// the temperature this much lower, than stated. Invalid where the type has no
	// such test.
	TimeShort        units.Ratio                 `json:"timeShort,omitzero"`
	TemperatureShort units.TemperatureDifference `json:"temperatureShort,omitzero"`
	// Least are the smallest values that may be stated.
	Least  []Least          `json:"least,omitzero"`
	Source moistheat.Source `json:"source"`
}

// Least is the shortest time that an indicator may state at a temperature.
type Least struct {
	Temperature units.Temperature `json:"temperature"`
	Time        units.Duration    `json:"time"`
	Source      moistheat.Source  `json:"source"`
}

type typesFile struct {
	Format string `json:"format"`
	Types  []Info `json:"types"`
}

//go:embed types.json
var typesData []byte

var typesValue lazy.Value[[]Info]

func types() []Info {
	return typesValue.Get(func() []Info { return strictjson.MustRead[typesFile](typesData, "").Types })
}

// Types returns what is known of each type, in order. The caller owns the result.
func Types() []Info {
	out := slices.Clone(types())
	for i := range out {
		out[i].Least = slices.Clone(out[i].Least)
	}
	return out
}

// Stated is a pair of values that the manufacturer states: at this temperature the end
// point is reached in this time.
type Stated struct {
	Temperature units.Temperature `json:"temperature"`
	Time        units.Duration    `json:"time"`
}

// Rating is the type of an indicator and its stated values, in order of rising
// temperature.
type Rating struct {
	Type   Type     `json:"type"`
	Stated []Stated `json:"stated,omitzero"`
}

// valid returns an error that wraps [moistheat.ErrInvalid] if the type is unknown, the values
// are missing where the type needs them, or they do not fall in time as they rise
// in temperature.
func (r *Rating) valid() error {
	fail := func(format string, args ...any) error {
		return fmt.Errorf("indicator: %w: %s", moistheat.ErrInvalid, fmt.Sprintf(format, args...))
	}
	if r == nil || r.Type < Process || r.Type > Emulating {
		return fail("the type is unknown")
	}
	if r.Type >= SingleVariable && len(r.Stated) == 0 {
		return fail("type %s needs stated values", r.Type)
	}
	for i, s := range r.Stated {
		c, m := s.Temperature.Float64(units.Celsius), s.Time.Float64(units.Minute)
		switch {
		case !(c >= 100 && c <= 160):
			return fail("stated value %d: the temperature is outside 100 °C to 160 °C", i)
		case !(m > 0 && m <= 1440):
			return fail("stated value %d: the time is outside 0 to 24 h", i)
		case i > 0 && r.Stated[i-1].Temperature.Compare(s.Temperature) >= 0:
			return fail("stated value %d: the temperatures do not rise", i)
		case i > 0 && r.Stated[i-1].Time.Compare(s.Time) <= 0:
			return fail("stated value %d: the times do not fall", i)
		}
	}
	return nil
}

// Low returns the stated values that are below the least that may be stated for the
// type, with the figure that says so.
func (r *Rating) Low() (out []Least) {
	if r == nil || r.Type < Process || r.Type > Emulating {
		return nil
	}
	for _, least := range types()[r.Type-1].Least {
		for _, s := range r.Stated {
			if s.Temperature.Compare(least.Temperature) == 0 && s.Time.Compare(least.Time) < 0 {
				out = append(out, least)
			}
		}
	}
	return out
}

// Match is how an indicator fits a cycle.
type Match struct {
	// Time is the stated value at the temperature of the cycle: stated as such, or
	// for type 5 between two stated values, where the logarithm of the time falls
	// evenly; rounded up to 1 ms there. It is invalid if the indicator states
	// nothing for that temperature.
	Time units.Duration `json:"time,omitzero"`
	// Reaches says that the cycle is long enough for the end point: an indicator
	// that does not reach it in such a cycle tells of a fault.
	Reaches moistheat.Answer `json:"reaches,omitzero"`
	// Shows says that an end point needs the whole hold: the stated time is that of
	// the hold or longer. If it is No, an indicator can reach its end point although
	// the hold was too short.
	Shows moistheat.Answer `json:"shows,omitzero"`
	// Proven is how long the hold was at least if the end point is reached, by the
	// test of the type: the stated time less its tolerance, rounded down to 1 ms.
	Proven units.Duration   `json:"proven,omitzero"`
	Source moistheat.Source `json:"source"` // of the tolerance
}

// For returns how the indicator fits a cycle that a table asks for. Types 1 and 2
// fit no cycle of a load: nothing is known then. The error wraps [moistheat.ErrInvalid]:
// the type is unknown, or the stated values are missing where the type needs them or do
// not fall in time as they rise in temperature.
func (r *Rating) For(req cycle.Requirement) (Match, error) {
	if err := r.valid(); err != nil {
		return Match{}, err
	}
	info := types()[r.Type-1]
	m := Match{Source: info.Source}
	if r.Type < SingleVariable || !req.IsValid() || !req.Hold.IsValid() {
		return m, nil
	}
	if m.Time = r.timeAt(req); !m.Time.IsValid() {
		return m, nil
	}
	m.Reaches, m.Shows = ask.AnswerOf(req.Hold.Compare(m.Time) >= 0), ask.AnswerOf(m.Time.Compare(req.Hold) >= 0)
	left := new(big.Rat).Sub(big.NewRat(1, 1), info.TimeShort.Rat())
	ms := left.Mul(left, m.Time.Rat())
	ms.Mul(ms, big.NewRat(1000, 1)) // Rat is in seconds
	m.Proven = units.New(new(big.Int).Quo(ms.Num(), ms.Denom()).Int64(), -3, units.Second)
	return m, nil
}

// Tells returns whether an end point can tell of a cycle that was no hotter than a
// temperature and held for a time. No: the cycle was too cool or too short for it, so that
// the indicator is the wrong one, misread or faulty. Not recorded: that depends on more than
// the two, as in a short cycle that was hotter than stated (the time of type 5 is taken to
// fall there as the least values of the type do: derived), or nothing is known, as of types
// 1 to 3. The error wraps [moistheat.ErrInvalid] as that of [Rating.For] does.
func (r *Rating) Tells(hottest units.Temperature, held units.Duration) (moistheat.Answer, error) {
	if err := r.valid(); err != nil {
		return moistheat.NotRecorded, err
	}
	info := types()[r.Type-1]
	if r.Type < MultiVariable || !hottest.IsValid() || !held.IsValid() {
		return moistheat.NotRecorded, nil
	}
	celsius, seconds := hottest.Float64(units.Celsius), held.Float64(units.Second)
	least := 1 - info.TimeShort.Float64(units.Percent)/100
	long := func(stated units.Duration) bool { return seconds >= stated.Float64(units.Second)*least-1e-6 }
	if at := r.timeAt(cycle.Requirement{Temperature: hottest}); r.Type == Integrating && at.IsValid() {
		if long(at) {
			return moistheat.Yes, nil
		}
		return moistheat.No, nil
	}
	out := moistheat.No
	for _, s := range r.Stated {
		stated := s.Temperature.Float64(units.Celsius)
		switch hotter := celsius > stated; {
		case r.Type != Integrating && celsius < stated-info.TemperatureShort.Float64(units.KelvinDifference)-1e-6:
		case long(s.Time) && (hotter || r.Type != Integrating):
			return moistheat.Yes, nil
		case hotter && r.Type == Integrating && seconds >= s.Time.Float64(units.Second)*least*info.falls(celsius-stated)-1e-6:
			return moistheat.Yes, nil
		case hotter || long(s.Time): // quicker in a hotter cycle, slower in a cooler one
			out = moistheat.NotRecorded
		}
	}
	return out, nil
}

// falls returns by what the time of an indicator falls when it is so much hotter, as it does
// between the first and the last of the least values that may be stated (derived).
func (i *Info) falls(kelvin float64) float64 {
	a, b := i.Least[0], i.Least[len(i.Least)-1]
	span := b.Temperature.Float64(units.Celsius) - a.Temperature.Float64(units.Celsius)
	return math.Pow(b.Time.Float64(units.Second)/a.Time.Float64(units.Second), kelvin/span)
}

func (r *Rating) timeAt(req cycle.Requirement) units.Duration {
	for i, s := range r.Stated {
		at := req.TemperatureIn(s.Temperature.Unit())
		c := s.Temperature.Compare(at)
		if c < 0 {
			continue
		}
		if c == 0 {
			return s.Time
		}
		if i == 0 || r.Type != Integrating {
			return units.Duration{}
		}
		low := r.Stated[i-1]
		from, to := low.Temperature.Float64(units.Celsius), s.Temperature.Float64(units.Celsius)
		share := (at.Float64(units.Celsius) - from) / (to - from)
		a, b := math.Log(low.Time.Float64(units.Second)), math.Log(s.Time.Float64(units.Second))
		return units.FromFloat64(math.Ceil(math.Exp(a+(b-a)*share)*1000)/1000, 3, units.Second)
	}
	return units.Duration{}
}

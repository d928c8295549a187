package units

import (
	"cmp"
	"encoding/json"
	"flag"
	"fmt"
	"math/big"
	"math/rand/v2"
	"os"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// pairs is how many random pairs TestOrderAgreesWithRat compares. Ten million, the
// number to run before a release, take one or two minutes:
//
//	go test ./units -run OrderAgreesWithRat -pairs 10000000
var pairs = flag.Int("pairs", 0, "random pairs to compare with math/big")

// random returns a valid value of dimension d, often near zero, near the ends of the
// range, or near another value.
func random(r *rand.Rand, d Dimension) Value {
	v := Value{unit: uint8(1 + r.IntN(len(dimensions[d].units)-1)), dim: d}
	switch r.IntN(4) {
	case 0:
		v.coef = r.Int64N(7) - 3
	case 1:
		v.coef = maxCoef - r.Int64N(3)
	case 2:
		v.coef = r.Int64N(100_000)
	default:
		v.coef = r.Int64N(2*maxCoef+1) - maxCoef
	}
	switch r.IntN(3) {
	case 0:
		v.exp = int8(minExp + r.IntN(maxExp-minExp+1))
	case 1:
		v.exp = int8(-r.IntN(6))
	}
	if r.IntN(2) == 0 {
		v.coef = -v.coef
	}
	if d == DimSpeciesConcentration {
		v.species = AsSiO2
	}
	return v
}

// near returns a value of another unit that is as close to v as its digits allow.
func near(r *rand.Rand, v Value) Value {
	w := Value{unit: uint8(1 + r.IntN(len(dimensions[v.dim].units)-1)), dim: v.dim, species: v.species}
	t := v.dim.info(w.unit)
	n := rat(v)
	n.Quo(n, t.factor())
	n.Sub(n, new(big.Rat).Mul(new(big.Rat).SetInt64(t.offset), ratPow10(int(t.offExp))))
	for places := 18; places >= -maxExp; places-- {
		if q := round(n, Kilogram, places, Rounding(r.IntN(3))); q.IsValid() {
			w.coef, w.exp = q.coef, q.exp
			return w
		}
	}
	return v
}

// rounds is n, or a part of it outside CI and with -short.
func rounds(n int) int {
	switch {
	case testing.Short():
		return n / 10
	case os.Getenv("CI") == "":
		return n / 4
	}
	return n
}

// rat is v in base units by the definition of its unit, apart from what the package
// computes with.
func rat(v Value) *big.Rat {
	u := v.dim.info(v.unit)
	read := func(n int64, exp int8) *big.Rat {
		x, _ := new(big.Rat).SetString(fmt.Sprintf("%de%d", n, exp))
		return x
	}
	x := read(v.coef, v.exp)
	x.Add(x, read(u.offset, u.offExp))
	x.Mul(x, big.NewRat(u.num, u.den))
	return x.Mul(x, read(1, u.exp))
}

func TestOrderAgreesWithRat(t *testing.T) {
	n := cmp.Or(*pairs, rounds(100_000))
	r := rand.New(rand.NewPCG(1959, 7))
	equal := 0
	for range n {
		d := Dimension(1 + r.IntN(len(dimensions)-1))
		a, b := random(r, d), Value{}
		if r.IntN(2) == 0 {
			b = random(r, d)
		} else {
			b = near(r, a)
		}
		want := rat(a).Cmp(rat(b))
		got, ok := a.Compare(b)
		back, _ := b.Compare(a)
		if !ok || got != want || back != -want {
			t.Fatalf("%s and %s: got %d and %d, want %d", a.Text(), b.Text(), got, back, want)
		}
		if want == 0 {
			equal++
		}
	}
	require.Positive(t, equal, "some pairs must be equal for the test to mean something")
}

// The order is total: whatever three values are, sorted pairs do not contradict.
func TestOrderIsTransitive(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range rounds(20_000) {
		d := Dimension(1 + r.IntN(len(dimensions)-1))
		a := random(r, d)
		b, c := near(r, a), near(r, a)
		ab, _ := a.Compare(b)
		bc, _ := b.Compare(c)
		ac, _ := a.Compare(c)
		if ab <= 0 && bc <= 0 && ac > 0 || ab >= 0 && bc >= 0 && ac < 0 {
			t.Fatalf("%s, %s, %s", a.Text(), b.Text(), c.Text())
		}
	}
}

// Print and parse give back the same digits and unit, in text and in JSON.
func TestPrintAndParse(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range rounds(50_000) {
		a := random(r, DimAbsolutePressure)
		if a.exp > 18 || a.exp < -18 {
			a.exp %= 18 // more is not written, only computed
		}
		q, ok := Of[AbsolutePressureUnit](a)
		require.True(t, ok)
		back, err := Parse[AbsolutePressureUnit](a.Text())
		require.NoError(t, err, a.Text())
		require.Equal(t, q, back, a.Text())
		doc, err := json.Marshal(q)
		require.NoError(t, err)
		require.True(t, json.Valid(doc))
		var fromJSON AbsolutePressure
		require.NoError(t, json.Unmarshal(doc, &fromJSON), "%s", doc)
		require.Equal(t, q, fromJSON)
	}
}

// A conversion that is exact goes back to the same size, and every conversion lies
// within one step of its last digit, on the side that was asked for.
func TestThereAndBack(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	exact := 0
	for range rounds(20_000) {
		v := random(r, DimTemperature)
		v.coef, v.exp = v.coef%1_000_000, int8(-r.IntN(4))
		q, _ := Of[TemperatureUnit](v)
		u := TemperatureUnit(1 + r.IntN(3))
		if there, ok := q.Exactly(u); ok {
			exact++
			require.Zero(t, q.Compare(there), "%s is %s", q, there)
			back, ok := there.Exactly(q.Unit())
			require.True(t, ok)
			require.Zero(t, q.Compare(back))
		}
		places := r.IntN(8)
		down, up, even := q.Convert(u, places, Down), q.Convert(u, places, Up), q.Convert(u, places, TiesToEven)
		require.LessOrEqual(t, down.Compare(q), 0)
		require.GreaterOrEqual(t, up.Compare(q), 0)
		require.True(t, even == down || even == up)
		require.LessOrEqual(t, up.coef-down.coef, int64(1))
		if down != up {
			// The nearer of the two.
			below := new(big.Rat).Sub(q.Rat(), down.Rat())
			above := new(big.Rat).Sub(up.Rat(), q.Rat())
			switch below.Cmp(above) {
			case -1:
				require.Equal(t, down, even)
			case 1:
				require.Equal(t, up, even)
			default:
				require.Zero(t, even.coef%2)
			}
		}
	}
	require.Positive(t, exact)
}

// No input costs more memory than a small multiple of its own size.
func TestParseMemory(t *testing.T) {
	for _, s := range []string{
		strings.Repeat("9", 1<<20) + " Cel",
		"1e" + strings.Repeat("9", 1<<20) + " Cel",
		"1 " + strings.Repeat("x", 1<<20),
		strings.Repeat(" ", 1<<20),
		`{"value":1e1000001,"unit":"Cel"}` + strings.Repeat(" ", 1<<20),
		`{"value":` + strings.Repeat("9", 1<<20),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Parse[TemperatureUnit](s)
		var q Temperature
		errJSON := q.UnmarshalJSON([]byte(s))
		runtime.ReadMemStats(&after)
		require.Error(t, err)
		require.Error(t, errJSON)
		require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(4<<20), "%.20q", s)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"1.50 kg", "-0.05 [lb_av]", "1e18 g", "273 [degF]", "203 kPa gauge", "0.5 mg/L{P2O5}", "1e1000001 kg", " ", "1 °C"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for d := range dimensions {
			v, err := parse(Dimension(d), s)
			if err != nil {
				if len(err.Error()) > 700 {
					t.Fatalf("a message of %d bytes", len(err.Error()))
				}
				continue
			}
			if Dimension(d) == DimSpeciesConcentration {
				continue // needs its species, below
			}
			again, err := parse(Dimension(d), v.Text())
			if err != nil || again != v {
				t.Fatalf("%q prints as %q, which reads as %v, %v", s, v.Text(), again, err)
			}
			if c, ok := v.Compare(again); !ok || c != 0 {
				t.Fatalf("%q is not equal to itself", s)
			}
			_ = v.String()
		}
		if c, err := ParseSpeciesConcentration(s); err == nil {
			if again, err := ParseSpeciesConcentration(c.Value().Text()); err != nil || again != c {
				t.Fatalf("%q prints as %q", s, c.Value().Text())
			}
		}
	})
}

func FuzzJSON(f *testing.F) {
	for _, s := range []string{`{"value":1.50,"unit":"Cel"}`, `{"unit":"[degF]","value":-2e2}`, `{"value":1,"unit":"mg/L{SiO2}"}`, `null`, `{"value":1e1000001,"unit":"K"}`, `{"value":0.00,"unit":"\u004b"}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var q Temperature
		if err := q.UnmarshalJSON(data); err == nil {
			doc, err := q.MarshalJSON()
			if err != nil {
				t.Fatal(err)
			}
			var back Temperature
			if err := back.UnmarshalJSON(doc); err != nil || back != q {
				t.Fatalf("%s writes %s, which reads as %v, %v", data, doc, back, err)
			}
			for u := Kelvin; u <= Fahrenheit; u++ {
				q.Convert(u, 6, TiesToEven)
				q.Rounded(u)
				q.Exactly(u)
				q.Float64(u)
				q.Compare(New(0, 0, u))
			}
		}
		var c SpeciesConcentration
		if err := c.UnmarshalJSON(data); err == nil {
			for s := AsCaCO3; s <= AsNaCl; s++ {
				_, _ = IUPAC2021.Convert(c, s, MilligramPerLitre, 6, Up)
			}
		}
	})
}

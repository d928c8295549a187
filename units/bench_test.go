package units_test

import (
	"math/big"
	"strconv"
	"testing"

	"github.com/shopspring/decimal"

	"example.com/moistheat/units"
)

// The benchmarks read a number and compare it with a limit, beside strconv,
// shopspring/decimal and math/big doing the same to the same digits. What counts is
// the ratio within one run.

var (
	number = "134.25"
	text   = "134.25 Cel"
	doc    = []byte(`{"value":134.25,"unit":"Cel"}`)

	limit           = units.New(1340, -1, units.Celsius)
	limitFloat      = 134.0
	limitDecimal    = decimal.New(1340, -1)
	limitRat        = big.NewRat(134, 1)
	limitFahrenheit = units.New(2732, -1, units.Fahrenheit)
	limitPascal     = units.New(304100, 0, units.Pascal)
	reading         = units.New(13425, -2, units.Celsius)
	readingLike     = units.New(1342, -1, units.Celsius)
	readingPsi      = units.New(441, -1, units.PoundPerSquareInch)

	sink int
)

func BenchmarkParseAndCompare(b *testing.B) {
	b.Run("number", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			q, err := units.ParseNumber(number, units.Celsius)
			if err != nil {
				b.Fatal(err)
			}
			sink += q.Compare(limit)
		}
	})
	b.Run("number-and-unit", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			q, err := units.Parse[units.TemperatureUnit](text)
			if err != nil {
				b.Fatal(err)
			}
			sink += q.Compare(limit)
		}
	})
	b.Run("JSON", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			var q units.Temperature
			if err := q.UnmarshalJSON(doc); err != nil {
				b.Fatal(err)
			}
			sink += q.Compare(limit)
		}
	})
	b.Run("ParseFloat", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			f, err := strconv.ParseFloat(number, 64)
			if err != nil {
				b.Fatal(err)
			}
			if f > limitFloat {
				sink++
			}
		}
	})
	b.Run("decimal", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			d, err := decimal.NewFromString(number)
			if err != nil {
				b.Fatal(err)
			}
			sink += d.Cmp(limitDecimal)
		}
	})
	b.Run("big.Rat", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			r, ok := new(big.Rat).SetString(number)
			if !ok {
				b.Fatal(number)
			}
			sink += r.Cmp(limitRat)
		}
	})
}

func BenchmarkCompare(b *testing.B) {
	b.Run("like-unit-and-digits", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sink += readingLike.Compare(limit)
		}
	})
	b.Run("like-unit", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sink += reading.Compare(limit)
		}
	})
	b.Run("other-scale", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sink += reading.Compare(limitFahrenheit)
		}
	})
	b.Run("other-unit", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sink += readingPsi.Compare(limitPascal)
		}
	})
	d, r := decimal.New(13425, -2), big.NewRat(13425, 100)
	b.Run("decimal", func(b *testing.B) {
		for b.Loop() {
			sink += d.Cmp(limitDecimal)
		}
	})
	b.Run("big.Rat", func(b *testing.B) {
		for b.Loop() {
			sink += r.Cmp(limitRat)
		}
	})
}

func BenchmarkConvert(b *testing.B) {
	b.Run("quantity", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sink += int(reading.Convert(units.Fahrenheit, 2, units.TiesToEven).Unit())
		}
	})
	nine, five, offset := decimal.New(9, 0), decimal.New(5, 0), decimal.New(32, 0)
	d := decimal.New(13425, -2)
	b.Run("decimal", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sink += d.Mul(nine).Div(five).Add(offset).RoundBank(2).Sign()
		}
	})
}

package units

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The quick ways of Float64 and Sum give what exact fractions give.
func TestQuickWaysAreExact(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	all := []MassUnit{Gram, Kilogram, Pound, Milligram}
	for range 20_000 {
		var qs []Mass
		for range 1 + rnd.IntN(5) {
			coef := rnd.Int64N(2_000_000) - 1_000_000
			if rnd.IntN(8) == 0 {
				coef = rnd.Int64()
			}
			qs = append(qs, New(coef>>rnd.IntN(20), rnd.IntN(24)-12, all[rnd.IntN(len(all))]))
		}
		u := all[rnd.IntN(len(all))]
		sum, exact := new(big.Rat), true
		for _, q := range qs {
			if exact = exact && q.IsValid(); !exact {
				break
			}
			sum.Add(sum, q.Rat())
			kg, _ := new(big.Rat).Quo(q.Rat(), New(1, 0, u).Rat()).Float64()
			assert.Equal(t, kg, q.Float64(u), "%v as %v", q, u)
		}
		if got, ok := Sum(qs); exact && ok {
			assert.Zero(t, sum.Cmp(got.Rat()), "%v: %v", qs, got)
		}
	}
}

package units

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// "gr" is written for gram and for grain: whoever reads the error chooses.
func TestGramOrGrain(t *testing.T) {
	for code, want := range map[string]string{
		"gr":    `"gr" is not a UCUM code for mass; write "g" for gram, or "[gr]" for grain`,
		"grain": `"grain" is not a UCUM code for mass; write "[gr]"`,
		"gram":  `"gram" is not a UCUM code for mass; write "g"`,
	} {
		_, err := Parse[MassUnit]("5 " + code)
		assert.ErrorContains(t, err, want)
		var e *UnitError
		assert.ErrorAs(t, err, &e)
		assert.Equal(t, code == "gr", e != nil && e.Use == "", code)
	}
}

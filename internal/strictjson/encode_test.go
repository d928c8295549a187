package strictjson_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat/internal/strictjson"
)

func TestColumn(t *testing.T) {
	for _, test := range []struct {
		column strictjson.Column
		want   string
	}{
		{nil, `[]`},
		{strictjson.Column{}, `[]`},
		{strictjson.Column{0, -1.5, 134.2, 100000}, `[0,-1.5,134.2,100000]`},
		{strictjson.Column{9.3e18, -9.3e18, 1e35}, `[93e17,-93e17,100000000000000000e18]`},
		{strictjson.Column{1e-6, 1e-7, -2.5e-7, 1e-18}, `[0.000001,1e-7,-25e-8,1e-18]`},
		{strictjson.Column{1e-20, 1e-44}, `[0.01e-18,0.00000000000000000000000001e-18]`},
		{strictjson.Column{1e36}, `[999999999999999999e18]`},
	} {
		got, err := json.Marshal(test.column)
		require.NoError(t, err)
		assert.Equal(t, test.want, string(got))
	}
	for _, f := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, 2e36, 5e-324, 1e-46} {
		_, err := json.Marshal(strictjson.Column{f})
		assert.Error(t, err, f)
	}
}

// FuzzColumn: what the reader takes can be written, is taken again, and is the same.
func FuzzColumn(f *testing.F) {
	for _, s := range []string{"0", "-0", "1e36", "999999999999999999e18", "0.00000000000000000000000001e-18", "0.00000000012345678901234567e-18",
		"-12345678901234567e-18", "9.3e18", "123456789012345678", "1e-7", "-0.000000123456789012345e-9", "4.9e-18"} {
		f.Add(s)
	}
	type doc struct {
		Values []float64 `json:"values"`
	}
	decoder := strictjson.NewDecoder[doc]()
	f.Fuzz(func(t *testing.T, number string) {
		first, err := decoder.Decode([]byte(`{"values":[`+number+`]}`), strictjson.Default())
		if err != nil {
			return
		}
		column, err := json.Marshal(strictjson.Column(first.Values))
		if err != nil {
			t.Fatalf("%s: %v", number, err)
		}
		second, err := decoder.Decode([]byte(`{"values":`+string(column)+`}`), strictjson.Default())
		if err != nil {
			t.Fatalf("%s is written as %s: %v", number, column, err)
		}
		for i, f := range first.Values {
			if math.Float64bits(f) != math.Float64bits(second.Values[i]) {
				t.Fatalf("%s is written as %s: %v, want %v", number, column, second.Values[i], f)
			}
		}
	})
}

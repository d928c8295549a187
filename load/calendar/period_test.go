package calendar

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPeriod(t *testing.T) {
	for _, tt := range []struct{ text, from, want string }{
		{"PT48H", "2026-03-09 08:00", "2026-03-11 08:00"},
		{"P7D", "2026-02-25 08:00", "2026-03-04 08:00"},
		{"P1M", "2026-01-31 08:00", "2026-02-28 08:00"},
		{"P6M", "2025-08-31 08:00", "2026-02-28 08:00"},
		{"P1Y", "2028-02-29 08:00", "2029-02-28 08:00"},
		{"P5Y", "2026-03-09 08:00", "2031-03-09 08:00"},
	} {
		p, err := ParsePeriod(tt.text)
		require.NoError(t, err)
		assert.Equal(t, tt.text, p.String())
		assert.Equal(t, local(tt.want), p.After(local(tt.from)), tt.text)
	}
	for _, bad := range []string{"", "P", "PT", "7D", "P7", "P07D", "P0D", "P-1D", "P+1D", "P1W", "PT1M", "P1H", "P10000D", "P1Y2M", "p1y", "P1.5D", "P 1D"} {
		_, err := ParsePeriod(bad)
		assert.Error(t, err, "%q", bad)
	}
	_, err := Period{}.MarshalText()
	assert.Error(t, err)
	assert.Equal(t, "P9999D", mustPeriod("P9999D").String())
	assert.True(t, Period{}.IsZero())
	assert.False(t, mustPeriod("P1D").IsZero())
	assert.Equal(t, "7 days", mustPeriod("P7D").Words())
	assert.Equal(t, "1 year", mustPeriod("P1Y").Words())
}

func mustPeriod(s string) Period {
	p, err := ParsePeriod(s)
	if err != nil {
		panic(err)
	}
	return p
}

func FuzzPeriod(f *testing.F) {
	for _, s := range []string{"P7D", "PT48H", "P9999Y", "PT", "P0D"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := ParsePeriod(s)
		if err == nil && p.String() != s {
			t.Errorf("%q is read as %s", s, p)
		}
	})
}

func local(s string) time.Time {
	t, err := time.ParseInLocation("2006-01-02 15:04", s, time.FixedZone("CET", 3600))
	if err != nil {
		panic(err)
	}
	return t
}

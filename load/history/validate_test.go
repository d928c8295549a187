package history_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
	"example.com/moistheat/units"
)

func problems(err error) (out []*moistheat.DocumentError) {
	if all, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range all.Unwrap() {
			out = append(out, e.(*moistheat.DocumentError))
		}
	}
	return out
}

func TestValidateEventsAndStoredPacks(t *testing.T) {
	e := &history.Event{Format: history.EventFormat, ID: "1", Sterilizer: "S1", Kind: calendar.LeakEvent, Time: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)}
	require.NoError(t, e.Validate())
	e.Kind, e.ID, e.Chamber = 0, "", "brimful"
	var at []string
	for _, p := range problems(e.Validate()) {
		at = append(at, p.Pointer)
		assert.Equal(t, history.EventFormat, p.Format)
	}
	assert.Equal(t, []string{"/id", "", "/chamber"}, at)

	s := &history.StoredPack{Format: history.StoredFormat, Pack: "P1", Layers: 1, Humidity: units.New(40, 0, units.Percent)}
	require.NoError(t, s.Validate())
	s.Pack, s.Layers, s.Humidity = "", -1, units.New(-40, 0, units.Percent)
	assert.Len(t, problems(s.Validate()), 3)
}

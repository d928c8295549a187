package vocabulary_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/units"
)

// What databases give for a boolean: booleans, integers, and text. A false of any of them is
// a no and never what was not recorded.
func TestAnswerFromDatabase(t *testing.T) {
	for _, tt := range []struct {
		src  any
		want moistheat.Answer
	}{
		{nil, moistheat.NotRecorded},
		{true, moistheat.Yes}, {int64(1), moistheat.Yes}, {"yes", moistheat.Yes}, {"true", moistheat.Yes},
		{[]byte("1"), moistheat.Yes},
		{false, moistheat.No}, {int64(0), moistheat.No}, {"no", moistheat.No}, {"false", moistheat.No},
		{[]byte("0"), moistheat.No},
	} {
		a := moistheat.Yes
		require.NoError(t, a.Scan(tt.src), "%v", tt.src)
		assert.Equal(t, tt.want, a, "%v", tt.src)
		v, err := a.Value()
		require.NoError(t, err)
		var back moistheat.Answer
		require.NoError(t, back.Scan(v))
		assert.Equal(t, a, back)
	}
	for _, src := range []any{"", "y", "maybe", int64(2), int64(-1), 1.0, []byte{}, []byte("\x00"), time.Time{},
		[]int{1}} {
		a := moistheat.No
		assert.Error(t, a.Scan(src), "%v", src)
		assert.Equal(t, moistheat.No, a, "what was there stays")
	}
	_, err := moistheat.Answer(7).Value()
	assert.Error(t, err)
	assert.Error(t, (*moistheat.Answer)(nil).Scan(true))
}

func TestDateFromDatabase(t *testing.T) {
	day := moistheat.NewDate(2026, time.March, 9)
	for _, src := range []any{"2026-03-09", []byte("2026-03-09"),
		time.Date(2026, time.March, 9, 23, 30, 0, 0, time.FixedZone("", -8*60*60))} {
		var d moistheat.Date
		require.NoError(t, d.Scan(src))
		assert.Equal(t, day, d)
	}
	d := day
	require.NoError(t, d.Scan(nil))
	assert.False(t, d.IsValid())
	v, err := d.Value()
	require.NoError(t, err)
	assert.Nil(t, v)
	v, err = day.Value()
	require.NoError(t, err)
	assert.Equal(t, "2026-03-09", v)
	for _, src := range []any{"", "9.3.2026", int64(20260309), 1.5} {
		assert.Error(t, d.Scan(src), "%v", src)
	}
	assert.Error(t, (*moistheat.Date)(nil).Scan(nil))
	assert.Error(t, (*moistheat.Date)(nil).Scan("2026-03-09"))
}

func TestQuantityFromDatabase(t *testing.T) {
	var m units.Mass
	require.NoError(t, m.Scan("2.50 kg"))
	text, err := m.MarshalText()
	require.NoError(t, err)
	assert.Equal(t, "2.50 kg", string(text), "digits are kept")
	require.NoError(t, m.Scan(text))
	assert.Equal(t, units.New(250, -2, units.Kilogram), m)
	require.NoError(t, m.Scan(nil))
	assert.False(t, m.IsValid())
	for _, src := range []any{2.5, int64(2), "2.5", "2.5 mm", true} {
		assert.Error(t, m.Scan(src), "%v", src)
	}
	assert.Error(t, (*units.Mass)(nil).Scan(nil))
}

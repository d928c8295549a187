package vocabulary

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
	"example.com/moistheat/load/history"
)

var services = map[moistheat.Service]string{moistheat.InService: "in service", moistheat.OutOfService: "out of service"}

func TestWordString(t *testing.T) {
	for v, word := range services {
		assert.Equal(t, word, v.String())
	}
	assert.Equal(t, "spread, K", history.HoldSpread.String())
	for _, v := range []moistheat.Service{0, 3, 255} {
		assert.Contains(t, v.String(), "invalid", "a value without a word must not read like one")
	}
}

func TestWordMarshal(t *testing.T) {
	for v, word := range services {
		got, err := v.MarshalText()
		assert.NoError(t, err)
		assert.Equal(t, word, string(got))
	}
	got, err := moistheat.Service(0).MarshalText()
	assert.NoError(t, err)
	assert.Empty(t, got)
	for _, v := range []moistheat.Service{3, 255} {
		_, err = v.MarshalText()
		assert.ErrorContains(t, err, "in service, out of service")
	}
}

func TestWordHints(t *testing.T) {
	var got moistheat.Disposition
	assert.EqualError(t, got.UnmarshalText([]byte("raelese")),
		`"raelese" is not in the list release, quarantine, reject; did you mean "release"?`)
}

func TestWordUnmarshal(t *testing.T) {
	for v, word := range services {
		var got moistheat.Service
		assert.NoError(t, got.UnmarshalText([]byte(word)))
		assert.Equal(t, v, got)
	}
	for _, text := range []string{"", "In service", "in service ", "1", "invalid(0)", "in", "in service|out of service"} {
		got := moistheat.OutOfService
		assert.ErrorContains(t, got.UnmarshalText([]byte(text)), "in service, out of service", text)
		assert.Equal(t, moistheat.OutOfService, got, "a refused word changes nothing")
	}
	assert.Error(t, (*moistheat.Service)(nil).UnmarshalText([]byte("in service")))
}

package enum_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat/internal/enum"
)

type phase uint8

const (
	heating phase = iota + 1
	holding
)

var words = []string{"", "heating", "holding time"}

func TestString(t *testing.T) {
	assert.Equal(t, "heating", enum.String(words, heating))
	assert.Equal(t, "holding time", enum.String(words, holding))
	for _, v := range []phase{0, 3, 255} {
		assert.NotContains(t, words, enum.String(words, v), "a value without a word must not read like one")
	}
}

func TestMarshal(t *testing.T) {
	for v, want := range map[phase]string{0: "", heating: "heating", holding: "holding time"} {
		got, err := enum.Marshal(words, v)
		assert.NoError(t, err)
		assert.Equal(t, want, string(got))
	}
	_, err := enum.Marshal(words, phase(3))
	assert.ErrorContains(t, err, "heating, holding time")
}

func TestUnmarshalHints(t *testing.T) {
	var got phase
	assert.EqualError(t, enum.Unmarshal(words, &got, []byte("haeting")),
		`"haeting" is not in the list heating, holding time; did you mean "heating"?`)
}

func TestUnmarshal(t *testing.T) {
	for _, v := range []phase{heating, holding} {
		var got phase
		assert.NoError(t, enum.Unmarshal(words, &got, []byte(words[v])))
		assert.Equal(t, v, got)
	}
	for _, text := range []string{"", "Heating", "heating ", "1", "invalid(0)", "holding"} {
		got := holding
		err := enum.Unmarshal(words, &got, []byte(text))
		assert.ErrorContains(t, err, "heating, holding time", text)
		assert.Equal(t, holding, got, "a refused word changes nothing")
	}
}

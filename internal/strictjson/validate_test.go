package strictjson_test

import (
	"encoding/json"
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

type bounded struct {
	Format string       `json:"format"`
	Name   string       `json:"name" minLength:"2"`
	Note   string       `json:"note,omitzero" minLength:"3"`
	Type   int          `json:"type,omitzero" min:"1" max:"6"`
	Number int          `json:"number"`
	Mass   units.Mass   `json:"mass,omitzero"`
	Shift  units.Length `json:"shift,omitzero" sign:"any"`
	Error  units.PH     `json:"error,omitzero" sign:"none"`
	Times  []float64    `json:"times,omitzero" sign:"none"`
	Parts  []link       `json:"parts,omitzero"`
}

type link struct {
	At   time.Time `json:"at"`
	Next *link     `json:"next,omitzero"`
}

const boundedFormat = "bounded/1"

// What the tags of a field ask is asked of a document and of a value.
func TestBounds(t *testing.T) {
	const good = `"format":"bounded/1","name":"é1","number":0`
	for _, test := range []struct{ more, pointer string }{
		{``, ""},
		{`,"note":"abc"`, ""},
		{`,"note":"ab"`, "/note"},
		{`,"note":""`, "/note"},
		{`,"type":1`, ""},
		{`,"type":6`, ""},
		{`,"type":0`, "/type"},
		{`,"type":7`, "/type"},
		{`,"mass":{"value":0,"unit":"kg"}`, ""},
		{`,"mass":{"unit":"kg","value":-1e-18}`, "/mass/value"},
		{`,"shift":{"value":-1,"unit":"mm"}`, ""},
		{`,"error":{"value":-1,"unit":"[pH]"}`, "/error/value"},
		{`,"times":[0,-0,1]`, ""},
		{`,"times":[0,-1e-9]`, "/times/1"},
		{`,"times":[-1]`, "/times/0"},
	} {
		v, err := strictjson.Read[bounded]([]byte(`{`+good+test.more+`}`), strictjson.Default(), boundedFormat)
		if test.pointer == "" {
			if assert.NoError(t, err, test.more) {
				assert.NoError(t, strictjson.Validate(v, strictjson.Default(), boundedFormat), test.more)
			}
			continue
		}
		var e *moistheat.DocumentError
		if assert.ErrorAs(t, err, &e, test.more) {
			assert.Equal(t, test.pointer, e.Pointer)
			assert.Equal(t, moistheat.ErrShape, e.Kind)
		}
		// The same value, filled without the reader.
		var filled bounded
		require.NoError(t, json.Unmarshal([]byte(`{`+good+test.more+`}`), &filled))
		err = strictjson.Validate(&filled, strictjson.Default(), boundedFormat)
		if filled.Type == 0 && test.pointer == "/type" || filled.Note == "" && test.pointer == "/note" {
			assert.NoError(t, err, "the zero value is one that nobody recorded")
			continue
		}
		var got *moistheat.DocumentError
		if assert.ErrorAs(t, err, &got, test.more) {
			assert.Equal(t, test.pointer, got.Pointer)
			assert.Equal(t, e.Problem, got.Problem)
			assert.Equal(t, int64(-1), got.Offset)
		}
	}
}

func TestBoundsOf(t *testing.T) {
	field := func(tag string) reflect.StructField {
		return reflect.StructField{Name: "F", Tag: reflect.StructTag(tag)}
	}
	whole := strictjson.Bounds{Max: strictjson.MaxWhole, MaxItems: strictjson.MaxItems}
	assert.Equal(t, whole, strictjson.BoundsOf(field("")))
	assert.Equal(t, strictjson.Bounds{Min: 1, Max: 6, MaxItems: 64},
		strictjson.BoundsOf(field(`min:"1" max:"6" maxItems:"64"`)))
	assert.Panics(t, func() { strictjson.BoundsOf(field(`min:"one"`)) })
}

func TestValidateErrors(t *testing.T) {
	assert.Error(t, strictjson.Validate[bounded](nil, strictjson.Default(), boundedFormat))

	v := &bounded{Format: "other/1", Name: "x/y", Parts: make([]link, 30)}
	v.Parts[0] = link{At: time.Now(), Next: &link{}}
	err := strictjson.Validate(v, strictjson.Default(), boundedFormat)
	list := err.(interface{ Unwrap() []error }).Unwrap()
	require.Len(t, list, strictjson.MaxProblems+1)
	first := list[0].(*moistheat.DocumentError)
	assert.Equal(t, "/parts/0/next", first.Pointer)
	assert.Equal(t, `the required member "at" is missing`, first.Problem)
	last := list[strictjson.MaxProblems].(*moistheat.DocumentError)
	assert.Equal(t, "and 6 more problems", last.Problem) // 30 instants and the format
	assert.True(t, errors.Is(err, moistheat.ErrShape))

	// Texts are as long as they are written at least.
	v = &bounded{Format: boundedFormat, Name: strings.Repeat("é", 2048)}
	assert.NoError(t, strictjson.Validate(v, strictjson.Default(), boundedFormat))
	v.Name += "x"
	assert.ErrorIs(t, strictjson.Validate(v, strictjson.Default(), boundedFormat), moistheat.ErrLimit)
	v.Name = strings.Repeat("\x01", 682) // 6 bytes each
	assert.NoError(t, strictjson.Validate(v, strictjson.Default(), boundedFormat))
	v.Name += "\x01"
	assert.ErrorIs(t, strictjson.Validate(v, strictjson.Default(), boundedFormat), moistheat.ErrLimit)

	// A value that leads back to itself is deeper than any document.
	loop := &link{At: time.Now()}
	loop.Next = loop
	v = &bounded{Format: boundedFormat, Name: "xy", Parts: []link{*loop}}
	assert.ErrorIs(t, strictjson.Validate(v, strictjson.Default(), boundedFormat), moistheat.ErrLimit)
}

package vocabulary

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.com/moistheat"
)

// An error says where, what and in what document, and leaves out what is not known.
func TestDocumentError(t *testing.T) {
	for want, e := range map[string]moistheat.DocumentError{
		"moistheat.load/1: /id: want a string (byte 7)": {
			Format: "moistheat.load/1", Pointer: "/id", Offset: 7, Problem: "want a string"},
		"the document: want an object": {Problem: "want an object"},
		"moistheat.load/1: line 3: cut off (byte 9)": {
			Format: "moistheat.load/1", Line: 3, Offset: 9, Problem: "cut off"},
		"CSV: line 3, column 2: the cell is empty": {
			Format: "CSV", Line: 3, Column: 2, Offset: -1, Problem: "the cell is empty"},
		"line 3, /id: want a string (byte 7)": {Line: 3, Pointer: "/id", Offset: 7, Problem: "want a string"},
	} {
		e.Kind = moistheat.ErrShape
		assert.EqualError(t, &e, want)
		assert.True(t, errors.Is(&e, moistheat.ErrShape))
		assert.False(t, errors.Is(&e, moistheat.ErrSyntax))
	}
}

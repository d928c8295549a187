// Package enum writes and reads the words of lists in which the order counts, such as
// that of a worse outcome after a better one. A list's first word is "", the invalid
// zero value. Lists without an order are string types; see internal/words.
package enum

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	wordlist "example.com/moistheat/internal/words"
)

// String returns the word for v, or a text that no list contains.
func String[E ~uint8](words []string, v E) string {
	if int(v) < len(words) && v != 0 {
		return words[v]
	}
	return fmt.Sprintf("invalid(%d)", uint8(v))
}

// Marshal returns the word for v. The zero value gives empty text, so that a
// field with the omitempty or omitzero option can be left out.
func Marshal[E ~uint8](words []string, v E) ([]byte, error) {
	if int(v) < len(words) {
		return []byte(words[v]), nil
	}
	return nil, fmt.Errorf("value %d has no word; the list is %s", uint8(v), strings.Join(list(words), ", "))
}

// Unmarshal sets *v to the value whose word is text, compared exactly. A nil v is
// an error.
func Unmarshal[E ~uint8](words []string, v *E, text []byte) error {
	if v == nil {
		return errors.New("nothing to read into: the pointer is nil")
	}
	for i, w := range words {
		if w != "" && w == string(text) {
			*v = E(i)
			return nil
		}
	}
	return errors.New(wordlist.Refusal(list(words), string(text)))
}

// list leaves out the words of invalid values.
func list(words []string) []string {
	return slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w == "" })
}

package strictjson

import (
	"bytes"

	"example.com/moistheat/internal/guard"
)

// Peek returns the text of a member of the object in data, to choose a reader by
// it: the first one of that name, if it is a string. It is for bytes that nobody has
// checked, so it decides nothing; it finds what is there in every document that
// [Check] accepts, and may find anything or nothing in another.
func Peek(data []byte, name string) (text []byte, ok bool) {
	i := skipSpace(data, 0)
	if i == len(data) || data[i] != '{' {
		return nil, false
	}
	depth, isName := 1, true
	for i++; i < len(data); i++ {
		switch data[i] {
		case '{', '[':
			depth++
		case '}', ']':
			if depth--; depth == 0 {
				return nil, false
			}
		case ',':
			isName = depth == 1
		case '"':
			raw, n := peekString(data[i:])
			if n == 0 {
				return nil, false
			}
			i += n - 1
			if !isName || depth > 1 {
				break
			}
			isName = false
			if string(guard.Unquote(raw)) != name {
				break
			}
			i = skipSpace(data, i+1)
			if i == len(data) || data[i] != ':' {
				return nil, false
			}
			i = skipSpace(data, i+1)
			if i == len(data) || data[i] != '"' {
				return nil, false
			}
			raw, n = peekString(data[i:])
			return guard.Unquote(raw), n > 0
		}
	}
	return nil, false
}

func skipSpace(data []byte, i int) int {
	for i < len(data) && data[i] <= ' ' {
		i++
	}
	return i
}

// peekString returns the inside of the string at the start of b and its length with
// the quotes, or 0 if it has no end.
func peekString(b []byte) (raw []byte, n int) {
	for i := 1; i < len(b); i++ {
		step := bytes.IndexAny(b[i:], `"\`)
		if step < 0 {
			return nil, 0
		}
		if i += step; b[i] == '"' {
			return b[1:i], i + 1
		}
		i++ // what the backslash escapes
	}
	return nil, 0
}

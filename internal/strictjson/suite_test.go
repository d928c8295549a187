package strictjson_test

import (
	_ "embed"
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
)

//go:embed testdata/json-parsing-suite.txt
var parsingSuite string

// suiteFile is one file of the parsing suite, with the verdict on it.
type suiteFile struct {
	name    string
	data    []byte
	verdict string // accept, syntax or limit
	why     string
}

func suite(t testing.TB) (files []suiteFile) {
	t.Helper()
	for line := range strings.Lines(parsingSuite) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		require.True(t, len(cells) == 3 || len(cells) == 4, "%q", line)
		files = append(files, suiteFile{name: cells[0], data: suiteBytes(t, cells[1]), verdict: cells[2]})
		if len(cells) == 4 {
			files[len(files)-1].why = cells[3]
		}
	}
	return files
}

// suiteBytes reads Go strings, each with a *N behind it or none.
func suiteBytes(t testing.TB, s string) (data []byte) {
	t.Helper()
	for s = strings.TrimSpace(s); s != ""; s = strings.TrimSpace(s) {
		quoted, err := strconv.QuotedPrefix(s)
		require.NoError(t, err, s)
		part, err := strconv.Unquote(quoted)
		require.NoError(t, err, s)
		n := 1
		if s = s[len(quoted):]; strings.HasPrefix(s, "*") {
			count, rest, _ := strings.Cut(s[1:], " ")
			n, err = strconv.Atoi(count)
			require.NoError(t, err)
			s = rest
		}
		data = append(data, strings.Repeat(part, n)...)
	}
	return data
}

// The public suite for parsers: what is JSON is accepted unless a limit or one of the
// stricter rules, written beside it, refuses it; what is not JSON is refused.
func TestParsingSuite(t *testing.T) {
	var letters [256]int
	for _, file := range suite(t) {
		t.Run(file.name, func(t *testing.T) {
			letters[file.name[0]]++
			err := strictjson.Check(file.data, strictjson.Default())
			switch file.verdict {
			case "accept":
				assert.NoError(t, err)
				assert.NotEqual(t, byte('n'), file.name[0], "what is not JSON must be refused")
				assert.True(t, json.Valid(file.data), "encoding/json refuses what is accepted")
			case "limit":
				assert.ErrorIs(t, err, moistheat.ErrLimit)
			case "syntax":
				assert.ErrorIs(t, err, moistheat.ErrSyntax)
			default:
				t.Errorf("%q is no verdict", file.verdict)
			}
			if e := (*moistheat.DocumentError)(nil); file.verdict != "accept" && assert.True(t, errors.As(err, &e)) {
				assert.NotEmpty(t, e.Problem)
				assert.LessOrEqual(t, e.Offset, int64(len(file.data)))
			}
			// The verdict follows from the letter, or a reason is given.
			plain := file.name[0] == 'y' && file.verdict == "accept" || file.name[0] == 'n' && file.verdict == "syntax"
			assert.Equal(t, plain, file.why == "", "the reason: %q", file.why)
		})
	}
	assert.Equal(t, []int{95, 188, 35}, []int{letters['y'], letters['n'], letters['i']}, "files that are JSON, that are not, and that may be")
}

// The decoder never panics on them and refuses what the check refuses, whatever it
// reads into.
func TestParsingSuiteDecoded(t *testing.T) {
	objects := strictjson.NewDecoder[struct {
		A []float64 `json:"a,omitzero"`
		B string    `json:"b,omitzero"`
	}]()
	texts := strictjson.NewDecoder[[]string]()
	numbers := strictjson.NewDecoder[[]float64]()
	read := 0
	for _, file := range suite(t) {
		_, err := objects.Decode(file.data, strictjson.Default())
		_, err2 := texts.Decode(file.data, strictjson.Default())
		_, err3 := numbers.Decode(file.data, strictjson.Default())
		if file.verdict != "accept" {
			assert.Error(t, err, file.name)
			assert.Error(t, err2, file.name)
			assert.Error(t, err3, file.name)
		}
		for _, err := range []error{err, err2, err3} {
			if e := (*moistheat.DocumentError)(nil); err != nil {
				assert.True(t, errors.As(err, &e), file.name)
			} else {
				read++
			}
		}
		// What is read as texts or numbers is what encoding/json reads.
		if got, err := texts.Decode(file.data, strictjson.Default()); err == nil {
			var want []string
			require.NoError(t, json.Unmarshal(file.data, &want), file.name)
			assert.Equal(t, want, *got, file.name)
		}
		if got, err := numbers.Decode(file.data, strictjson.Default()); err == nil {
			var want []float64
			require.NoError(t, json.Unmarshal(file.data, &want), file.name)
			assert.Equal(t, want, *got, file.name)
		}
	}
	assert.Greater(t, read, 60)
}

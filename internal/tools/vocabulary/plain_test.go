package vocabulary

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// unwanted are words that say in a homely way what the field has a word for.
var unwanted = regexp.MustCompile(`(?i)\b(can not|germs?|goods|makers?|nobody|somebody|wrote down|condemn(s|ed)?|` +
	`look(s|ed|ing)? (at|over|whether)|good (biological |air removal |leak )?tests?|` +
	`grown|grew|void|spore tests?|flash|air-removal tests?|not certain|said aloud)\b`)

// allowed are words of that sort that stay: the last part of the ID of a rule, members of the
// file of a saved history, the trade's name of a nonwoven, and the description of a study.
// Biological tests and cloth are words of the closed lists of records and stay, too.
var allowed = regexp.MustCompile(`\.void\b|json:"grew\b|flash-spun|spore tests in Saskatchewan`)

// plain returns the unwanted words of a text.
func plain(text string) []string {
	return unwanted.FindAllString(allowed.ReplaceAllString(text, ""), -1)
}

func TestUnwantedWords(t *testing.T) {
	for text, want := range map[string][]string{
		"It can not be said.":                                                 {"can not"},
		"The maker's goods carry germs.":                                      {"maker", "goods", "germs"},
		"Nobody looked at the packs.":                                         {"Nobody", "looked at"},
		"Then 3 good tests in a row.":                                         {"good tests"},
		"It cannot be said. A germicide.":                                     nil,
		"The manufacturer's pacemaker, good.":                                 nil,
		"A spore test whose control grew.":                                    {"spore test", "grew"},
		"The air-removal test is void.":                                       {"air-removal test", "void"},
		"load.biological.void: a flash-spun pouch, with dynamic-air-removal.": nil,
	} {
		assert.Equal(t, want, plain(text), text)
	}
}

// TestPlainWords keeps the words out of what reaches people: rules, schemas, policies and
// their tables, README, package documentation, the strings of code, and the page of the front
// end in TypeScript.
func TestPlainWords(t *testing.T) {
	check := func(where, text string) {
		assert.Empty(t, plain(text), where)
	}
	read := 0
	require.NoError(t, filepath.WalkDir(top, func(path string, d os.DirEntry, err error) error {
		name, _ := filepath.Rel(top, path)
		folder := filepath.ToSlash(filepath.Dir(name))
		switch {
		case err != nil:
			return err
		case d.IsDir():
			if base := d.Name(); name != "." && base[0] == '.' || slices.Contains(skipped, filepath.ToSlash(name)) ||
				base == "testdata" || base == "node_modules" {
				return filepath.SkipDir
			}
		case name == "README.md", strings.HasSuffix(name, ".json"), strings.HasSuffix(name, ".ts"):
			data, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			read++
			for i, line := range strings.Split(string(data), "\n") {
				check(fmt.Sprintf("%s:%d", name, i+1), line)
			}
		case strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") && !slices.Contains(quoting,
			filepath.ToSlash(name)):
			read++
			fset := token.NewFileSet()
			f, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			check(name+", package "+folder, f.Doc.Text())
			ast.Inspect(f, func(n ast.Node) bool {
				if s, ok := n.(*ast.BasicLit); ok && s.Kind == token.STRING {
					check(fset.Position(s.Pos()).String(), s.Value)
				}
				return true
			})
		}
		return nil
	}))
	assert.Greater(t, read, 200, "files")
}

const top = "../../.."

// skipped are folders of what does not reach people, and the corpus, whose stories are told
// in the words of those who were there.
var skipped = []string{"internal/tools", "load/loadtest"}

// quoting are files that name the words to answer them.
var quoting = []string{"internal/words/words.go"}

package main

import (
	"go/parser"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func rewritten(t *testing.T, text string) (string, []mutant) {
	t.Helper()
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "a.go", text, parser.SkipObjectResolution)
	require.NoError(t, err)
	r := rewriter{file: fset.File(f.Pos()), text: text, name: "a.go", next: 1}
	r.all(f)
	out := r.result()
	_, err = parser.ParseFile(token.NewFileSet(), "a.go", out, 0)
	require.NoError(t, err, out)
	return out, r.mutants
}

func TestRewriteNests(t *testing.T) {
	out, mutants := rewritten(t, "package a\n\nfunc f(a, b int, c bool) bool {\n\treturn a < b &&\n\t\t!c || a == 1\n}\n")
	assert.Contains(t, out, "return mutantOr(1, mutantAnd(2, (mutantLess(3, a, b) != mutantOn(4)), func() bool { return ((!c) != mutantOn(5)) }), func() bool { return ((a == 1) != mutantOn(6)) })")
	assert.Len(t, mutants, 6)
}

func TestRewriteLeavesConstantsAndDeclarations(t *testing.T) {
	text := "package a\n\nconst big = 1 < 2\n\nvar x = big && big\n\nfunc f() {\n\tconst y = 1 < 2\n}\n"
	out, mutants := rewritten(t, text)
	assert.Equal(t, text, out)
	assert.Empty(t, mutants)
}

// A line of accepted.txt names a mutant that there is, and says why nothing notices it.
func TestAcceptedMutantsExist(t *testing.T) {
	t.Chdir("../../..")
	there := map[string]bool{} // by the name of the mutant
	read := map[string]bool{}  // by the path of the file
	n := 0
	for line := range strings.Lines(accepted) {
		name, why, ok := strings.Cut(strings.TrimSpace(line), " -- ")
		if !ok || strings.HasPrefix(line, "PACKAGE/") { // the line that explains the others
			continue
		}
		n++
		file, _, _ := strings.Cut(name, " ")
		if !read[file] {
			read[file] = true
			mutants, _, err := rewrite(path.Dir(file), []string{file}, t.TempDir())
			require.NoError(t, err)
			for _, m := range mutants {
				there[m.name(path.Dir(file))] = true
			}
		}
		assert.True(t, there[name], "there is no mutant %q", name)
		assert.NotEmpty(t, why, name)
	}
	assert.NotZero(t, n)
}

// TestWork runs the whole program on a package of its own, whose test looks at one
// side of a limit only.
func TestWork(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"go.mod":    "module a\n\ngo 1.26\n",
		"a.go":      "package a\n\nfunc over(x int) bool {\n\tswitch {\n\tcase x > 6:\n\t\treturn true\n\t}\n\treturn false\n}\n",
		"a_test.go": "package a\n\nimport \"testing\"\n\nfunc TestOver(t *testing.T) {\n\tif !over(7) || over(5) {\n\t\tt.Fail()\n\t}\n}\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	t.Chdir(dir)
	t.Setenv("GOFLAGS", "-mod=mod")
	got, err := work(job{pkg: "."}, "", 2, false)
	require.NoError(t, err)
	assert.Equal(t, score{2, 1, 0}, got, "x >= 6 survives, as nothing asks at the limit")

	better := "package a\n\nimport \"testing\"\n\nfunc TestOver(t *testing.T) {\n\tif !over(7) || over(6) {\n\t\tt.Fail()\n\t}\n}\n"
	require.NoError(t, os.WriteFile("a_test.go", []byte(better), 0o600))
	got, err = work(job{pkg: "."}, "", 2, false)
	require.NoError(t, err)
	assert.Equal(t, score{2, 2, 0}, got)
}

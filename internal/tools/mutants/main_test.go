package main

import (
	"go/parser"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/moistheat/internal/tools/testrun"
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

// Questions compare without an operator: their answers are exchanged and their
// conditions turned round, unless a mutant of the condition's own does that.
func TestRewriteQuestions(t *testing.T) {
	head := "package a\n\nfunc f() {\n\t"
	for text, want := range map[string]string{
		"k.Ask(x, y).When(a).Yes(b)":       "mutantYes(1, k.Ask(x, y).When(((a) != mutantOn(2))), b)",
		"q.\n\t\tNo(b)":                    "mutantNo(1, q, b)",
		"ask.AtMost(q.When(a == b), c, d)": "mutantAtMost(1, q.When(((a == b) != mutantOn(2))), c, d)",
		"q.BrokenIf(a && b)":               "q.BrokenIf(((mutantAnd(2, a, func() bool { return b })) != mutantOn(1)))",
		"q.Given(!a)":                      "q.Given(((!a) != mutantOn(1)))",
		"other.AtMost(a, b)":               "other.AtMost(a, b)",
	} {
		out, _ := rewritten(t, head+text+"\n}\n")
		assert.Equal(t, head+want+"\n}\n", out, text)
	}
}

// Every change is of one rule and leaves a file that reads; an effect that is not there is
// not left out.
func TestChangeRules(t *testing.T) {
	const text = `{"format": "f", "rules": [
		{"id": "a", "severity": "note"},
		{"id": "b", "severity": "fault", "broken": {"load": "reject", "recall": true}, "noWaiver": true}]}`
	mutants, err := changeRules("x", []byte(text))
	require.NoError(t, err)
	var got []string
	for _, m := range mutants {
		got = append(got, m.name())
	}
	assert.Equal(t, []string{
		"x a: noWaiver true", "x b: broken.load left out", "x b: broken.load quarantine", "x b: broken.recall left out",
		"x b: noWaiver false", "x b: severity minor",
	}, got)
	assert.JSONEq(t, `{"format": "f", "rules": [
		{"id": "a", "severity": "note"},
		{"id": "b", "severity": "fault", "broken": {"load": "quarantine", "recall": true}, "noWaiver": true}]}`,
		string(mutants[2].text))

	_, err = changeRules("x", []byte(`{`))
	assert.Error(t, err)
}

func TestChangeRelease(t *testing.T) {
	mutants, err := changeRelease([]byte(`{"format": "f", "rows": [{"row": 1, "rules": ["a", "b"]}, {"row": 2, "rules": []}]}`))
	require.NoError(t, err)
	require.Len(t, mutants, 2)
	assert.Equal(t, "load/data/release.json b: left out of row 1", mutants[1].name())
	assert.JSONEq(t, `{"format": "f", "rows": [{"row": 1, "rules": ["a"]}, {"row": 2, "rules": []}]}`, string(mutants[1].text))
}

// The places that let the data be read changed are there.
func TestDataOverlay(t *testing.T) {
	if !testrun.Full() {
		t.Skip("reads the whole module; in CI")
	}
	t.Chdir("../../..")
	_, err := dataOverlay(t.TempDir())
	assert.NoError(t, err)
	all, err := dataMutants(regexp.MustCompile(""))
	require.NoError(t, err)
	assert.Greater(t, len(all), 500)
}

// A line of accepted.txt names a mutant that there is, and says why nothing notices it.
func TestAcceptedMutantsExist(t *testing.T) {
	if !testrun.Full() {
		t.Skip("reads the whole module; in CI")
	}
	t.Chdir("../../..")
	files := map[string][]string{} // by package
	var names []string
	for line := range strings.Lines(accepted) {
		name, why, ok := strings.Cut(strings.TrimSpace(line), " -- ")
		if !ok || strings.HasPrefix(line, "PACKAGE/") { // the line that explains the others
			continue
		}
		assert.NotEmpty(t, why, name)
		names = append(names, name)
		file, _, _ := strings.Cut(name, " ")
		if pkg := path.Dir(file); !slices.Contains(files[pkg], file) {
			files[pkg] = append(files[pkg], file)
		}
	}
	require.NotEmpty(t, names)
	there := map[string]bool{}
	l, err := list("./...")
	require.NoError(t, err)
	for pkg, list := range files {
		mutants, _, err := l.rewrite(pkg, list, t.TempDir())
		require.NoError(t, err)
		for _, m := range mutants {
			there[m.name(pkg)] = true
		}
	}
	for _, name := range names {
		assert.True(t, there[name], "there is no mutant %q", name)
	}
}

// Samples that pass over others share no mutant with them, and all of them together are all.
func TestSamplesAreDisjoint(t *testing.T) {
	var all []mutant
	for i := range 50 {
		kind := [3]string{"order", "logic", "arithmetic"}[i%3]
		all = append(all, mutant{id: i, kind: kind, file: "a.go", from: strconv.Itoa(i)})
	}
	times := map[int]int{}
	for skip := range 7 {
		for _, m := range sample(all, "a", 7, skip) {
			times[m.id]++
		}
	}
	assert.Len(t, times, len(all))
	for id, n := range times {
		assert.Equal(t, 1, n, id)
	}
	assert.Len(t, sample(all, "a", 1, 0), len(all))
}

// TestWork runs the whole program on a package of its own, whose test looks at one
// side of a limit only.
func TestWork(t *testing.T) {
	if !testrun.Full() {
		t.Skip("builds three programs, in CI")
	}
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
	got, err := work(job{pkg: "."}, options{workers: 2})
	require.NoError(t, err)
	assert.Equal(t, score{2, 1, 0}, got, "x >= 6 survives, as nothing asks at the limit")

	better := "package a\n\nimport \"testing\"\n\nfunc TestOver(t *testing.T) {\n\tif !over(7) || over(6) {\n\t\tt.Fail()\n\t}\n}\n"
	require.NoError(t, os.WriteFile("a_test.go", []byte(better), 0o600))
	got, err = work(job{pkg: "."}, options{workers: 2})
	require.NoError(t, err)
	assert.Equal(t, score{2, 2, 0}, got)
}

// A file of rules.txt is there.
func TestRuleFilesExist(t *testing.T) {
	jobs := ruleJobs(nil)
	require.NotEmpty(t, jobs)
	for _, j := range jobs {
		require.NotEmpty(t, j.files, j.pkg)
		for _, name := range j.files {
			assert.FileExists(t, filepath.Join("../../..", j.pkg, name))
		}
	}
}

// Mutants shows whether the tests notice when a comparison of the rules is wrong.
//
//	go run ./internal/tools/mutants [-list] [-tests PACKAGES] [-run REGEXP] PACKAGE [FILE.go...]
//	go run ./internal/tools/mutants -rules [PACKAGE...]
//
//	go run ./internal/tools/mutants -rules -every 20 -skip 1 # another sample
//	go run ./internal/tools/mutants -data [-list] [-tests PACKAGES] [REGEXP]
//
// The second form tries all files that hold rules and limits, or those of the packages named,
// with the tests named in rules.txt beside this program.
//
// Every <, <=, >, >=, ==, !=, &&, || and ! in the named files (all files of the
// package by default) is made switchable, all in one build: a comparison of order
// once at its boundary (< becomes <=) and once turned round (< becomes >=), an
// equality turned round, && and || exchanged, a ! taken away. Of questions, yes and no, at most and at
// least are exchanged, and conditions turned round. The tests then run
// once for each of these mutants with that one switched on. A mutant that no test
// notices survives. Survivors that cannot be noticed, because the program means the
// same with them, are listed with a reason in the file accepted.txt beside this
// program; any other survivor is printed and the exit code is 1.
//
// The third form changes the rules' data instead: it leaves out or softens each effect of
// each rule, lowers its severity, turns its noWaiver round, and takes it out of each row of
// the table of releases. The vectors of the rule must notice, or else the tests named.
//
// Conditions of case clauses are switched like all others. Tools that choose their
// mutants by a coverage profile pass them over, because the profile does not count
// them; most limits of this library stand there.
package main

import (
	"cmp"
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"hash/fnv"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

//go:embed accepted.txt
var accepted string

//go:embed rules.txt
var ruleFiles string

//go:embed switch.txt
var switches string

//go:embed questions.txt
var questions string

const variable = "MUTANT"

// mutant is one change of one expression.
type mutant struct {
	id       int
	kind     string // order, equality, logic, question, arithmetic or data
	file     string // base name
	function string
	line     int
	from, to string // the expression, and what it becomes
	nth      int    // among the same changes of the same function

	data *dataMutant // of data; of these the fields above but id are not set
	env  []string    // what switches it on
}

// name is how a mutant is called in accepted.txt: it does not change when lines move.
func (m mutant) name(pkg string) string {
	if m.data != nil {
		return m.data.name()
	}
	return fmt.Sprintf("%s/%s %s: %s => %s #%d", pkg, m.file, m.function, m.from, m.to, m.nth)
}

func main() {
	var o options
	flag.BoolVar(&o.list, "list", false, "only list the mutants")
	flag.StringVar(&o.run, "run", "", "only tests that match, in packages without a REGEXP of their own")
	flag.IntVar(&o.every, "every", 1, "try one of so many mutants of each kind, always the same ones")
	flag.IntVar(&o.skip, "skip", 0, "pass over so many such samples: each has mutants of its own")
	flag.IntVar(&o.workers, "workers", runtime.NumCPU(), "tests that run at the same time")
	tests := flag.String("tests", "", "packages whose tests must notice, as PACKAGE, PACKAGE=REGEXP (only those) or "+
		"PACKAGE!REGEXP (all others), separated by spaces and tried in that order; the package itself by default")
	rules := flag.Bool("rules", false, "try all files with rules and limits, or those of the packages named")
	data := flag.Bool("data", false, "change the rules' data instead of code; PACKAGE is a regular expression of the "+
		"changes to try, and all by default")
	flag.Parse()
	var jobs []job
	switch {
	case *data:
		jobs = []job{{data: true, pkg: flag.Arg(0), tests: "load/loadtest " + *tests}}
	case *rules:
		jobs = ruleJobs(flag.Args())
	case flag.NArg() == 0:
		flag.Usage()
		os.Exit(2)
	default:
		jobs = []job{{pkg: flag.Arg(0), files: flag.Args()[1:], tests: *tests}}
	}
	var all score
	for _, j := range jobs {
		got, err := work(j, o)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
		all = score{all.all + got.all, all.noticed + got.noticed, all.explained + got.explained}
	}
	if len(jobs) > 1 && all.all > 0 {
		fmt.Println("together:", all)
	}
	if o.every > 1 && !o.list {
		low, high := all.interval()
		fmt.Printf("of all mutants, 95 in 100 such samples: between %.1f and %.1f %% noticed\n", low, high)
	}
	if !all.ok() {
		os.Exit(1)
	}
}

// options are the same for all jobs.
type options struct {
	run     string
	workers int
	every   int
	skip    int
	list    bool
}

// job is files of one package, or the data that a pattern names, and the tests that must
// notice their mutants.
type job struct {
	pkg   string
	files []string
	tests string
	data  bool
}

// ruleJobs reads rules.txt: PACKAGE FILE.go... | TESTS, a line each, after one that says so.
// It returns the jobs of the packages named, or all.
func ruleJobs(only []string) []job {
	var out []job
	for line := range strings.Lines(ruleFiles) {
		files, tests, ok := strings.Cut(strings.TrimSpace(line), " | ")
		words := strings.Fields(files)
		if ok && words[0] != "PACKAGE" && (len(only) == 0 || slices.Contains(only, words[0])) {
			out = append(out, job{pkg: words[0], files: words[1:], tests: tests})
		}
	}
	return out
}

// score is how one job ended.
type score struct{ all, noticed, explained int }

func (s score) ok() bool { return s.noticed+s.explained == s.all }

func (s score) String() string {
	return fmt.Sprintf("%d mutants, %d noticed (%.1f %%), %d survive: %d with a reason, %d without",
		s.all, s.noticed, 100*float64(s.noticed)/float64(max(1, s.all)), s.all-s.noticed, s.explained, s.all-s.noticed-s.explained)
}

// interval returns between which shares in percent that of all mutants lies with a
// confidence of 95 %, by Wilson's score.
func (s score) interval() (low, high float64) {
	const z = 1.96
	n := float64(max(1, s.all))
	p := float64(s.noticed) / n
	middle, half := p+z*z/(2*n), z*math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return 100 * (middle - half) / (1 + z*z/n), 100 * (middle + half) / (1 + z*z/n)
}

// sample returns one of so many mutants of each kind, at least one, as a hash of their
// names chooses: the others of a file may change without changing the choice much. Those
// of the samples passed over are not among them.
func sample(mutants []mutant, pkg string, every, skip int) []mutant {
	hash := func(m mutant) uint64 {
		h := fnv.New64a()
		h.Write([]byte(m.name(pkg)))
		return h.Sum64()
	}
	of := map[string]int{}
	for _, m := range mutants {
		of[m.kind]++
	}
	byHash := func(a, b mutant) int { return cmp.Compare(hash(a), hash(b)) }
	sorted := slices.SortedStableFunc(slices.Values(mutants), byHash)
	seen := map[string]int{}
	sorted = slices.DeleteFunc(sorted, func(m mutant) bool {
		at := seen[m.kind]
		seen[m.kind]++
		return at/((of[m.kind]+every-1)/every) != skip
	})
	slices.SortFunc(sorted, func(a, b mutant) int { return cmp.Compare(a.id, b.id) })
	return sorted
}

func work(j job, o options) (score, error) {
	dir, err := os.MkdirTemp("", "mutants")
	if err != nil {
		return score{}, err
	}
	defer os.RemoveAll(dir)
	var mutants []mutant
	var overlay string
	pkg := ""
	if j.data {
		mutants, overlay, err = rewriteData(j.pkg, dir)
	} else {
		pkg = clean(j.pkg)
		mutants, overlay, err = rewriteFiles(pkg, j.files, dir)
	}
	if err != nil {
		return score{}, err
	}
	mutants = sample(mutants, pkg, max(1, o.every), o.skip)
	if o.list {
		for _, m := range mutants {
			if !j.data {
				fmt.Printf("%d: ", m.line)
			}
			fmt.Println(m.name(pkg))
		}
		return score{all: len(mutants), noticed: len(mutants)}, nil
	}
	binaries, err := build(strings.Fields(cmp.Or(j.tests, pkg)), o.run, overlay, dir)
	if err != nil {
		return score{}, err
	}
	for i := range binaries {
		if j.data {
			break
		}
		if err := binaries[i].divide(); err != nil {
			return score{}, err
		}
	}
	return report(pkg, mutants, try(binaries, mutants, o.workers)), nil
}

// clean returns the folder of a package with slashes.
func clean(pkg string) string { return strings.TrimPrefix(filepath.ToSlash(filepath.Clean(pkg)), "./") }

// overlay puts files in the place of others for a build.
type overlay struct {
	dir     string
	Replace map[string]string
}

func (o *overlay) put(name, text string) error {
	real, err := filepath.Abs(name)
	if err != nil {
		return err
	}
	o.Replace[real] = filepath.Join(o.dir, strconv.Itoa(len(o.Replace))+"_"+filepath.Base(name))
	return os.WriteFile(o.Replace[real], []byte(text), 0o600)
}

// write writes the file that the go command reads, and returns its name.
func (o *overlay) write() (string, error) {
	data, err := json.Marshal(o)
	if err != nil {
		return "", err
	}
	name := filepath.Join(o.dir, "overlay.json")
	return name, os.WriteFile(name, data, 0o600)
}

// rewriteFiles is rewrite of the named files of a package, or of all.
func rewriteFiles(pkg string, only []string, dir string) ([]mutant, string, error) {
	all, err := filepath.Glob(filepath.Join(pkg, "*.go"))
	if err != nil {
		return nil, "", err
	}
	all = slices.DeleteFunc(all, func(p string) bool {
		return strings.HasSuffix(p, "_test.go") || len(only) > 0 && !slices.Contains(only, filepath.Base(p))
	})
	if len(all) == 0 || len(only) > 0 && len(all) != len(only) {
		return nil, "", fmt.Errorf("%s: want %v, found %v", pkg, only, all)
	}
	l, err := list("./" + pkg)
	if err != nil {
		return nil, "", err
	}
	return l.rewrite(pkg, all, dir)
}

// rewrite writes the switchable sources into dir, with the overlay file that puts
// them in the place of the real ones.
func (l *listing) rewrite(pkg string, names []string, dir string) ([]mutant, string, error) {
	var mutants []mutant
	out := overlay{dir, map[string]string{}}
	more := map[string]string{"mutant_switch.go": switches} // files that the changed ones need
	src, err := l.load(pkg)
	if err != nil {
		return nil, "", err
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			return nil, "", err
		}
		f := src.files[filepath.Base(name)]
		if f == nil {
			return nil, "", fmt.Errorf("%s is not built here", name)
		}
		r := rewriter{
			source: src, file: src.fset.File(f.Pos()), text: string(text), name: filepath.Base(name), next: len(mutants) + 1,
		}
		r.all(f)
		mutants = append(mutants, r.mutants...)
		changed := r.result()
		if r.asks {
			more["mutant_questions.go"] = questions
			if slices.ContainsFunc(f.Imports, func(s *ast.ImportSpec) bool { return path.Base(s.Path.Value) == `ask"` }) {
				changed += "\nvar _ ask.Question // the import stays in use\n"
			}
		}
		if err := out.put(name, changed); err != nil {
			return nil, "", err
		}
	}
	for name, text := range more {
		if err := out.put(filepath.Join(pkg, name), "package "+src.pkg.Name()+"\n"+text); err != nil {
			return nil, "", err
		}
	}
	seen := map[string]int{}
	for i := range mutants {
		key := mutants[i].name(pkg)
		seen[key]++
		mutants[i].nth = seen[key]
	}
	file, err := out.write()
	return mutants, file, err
}

// rewriter makes the expressions of one file switchable by edits of its text.
type rewriter struct {
	source   *source // nil where only conditions are switched
	file     *token.File
	text     string
	name     string
	function string
	next     int
	mutants  []mutant
	edits    []edit
	asks     bool              // an edit calls what is in questions.txt
	steps    map[ast.Stmt]bool // of loops
}

// edit replaces text[from:to].
type edit struct {
	from, to int
	with     string
}

func (r *rewriter) all(f *ast.File) {
	r.steps = map[ast.Stmt]bool{}
	for _, d := range f.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Body != nil {
			r.function = fn.Name.Name
			r.walk(fn.Body)
		}
	}
}

// walk visits the tree so that edits at one place come in the right order: outer
// before inner where expressions start, inner before outer where they end.
func (r *rewriter) walk(n ast.Node) {
	var ends []func()
	ast.Inspect(n, func(n ast.Node) bool {
		if n == nil {
			end := ends[len(ends)-1]
			ends = ends[:len(ends)-1]
			if end != nil {
				end()
			}
			return true
		}
		if d, ok := n.(*ast.GenDecl); ok && d.Tok == token.CONST {
			return false
		}
		var end func()
		switch n := n.(type) {
		case *ast.ForStmt:
			r.steps[n.Post] = true
		case ast.Expr:
			end = r.start(n)
		case ast.Stmt:
			end = r.step(n)
		}
		ends = append(ends, end)
		return true
	})
}

// start makes the edits before and inside an expression, and returns those after it.
func (r *rewriter) start(e ast.Expr) func() {
	from, to := r.file.Offset(e.Pos()), r.file.Offset(e.End())
	source := strings.Join(strings.Fields(r.text[from:to]), " ")
	line := r.file.Line(e.Pos())
	switch e := e.(type) {
	case *ast.SelectorExpr:
		r.pick(e)
	case *ast.CallExpr:
		r.extreme(e, source)
		if s, ok := e.Fun.(*ast.SelectorExpr); ok && len(e.Args) > 0 {
			at := r.file.Offset(s.Sel.Pos())
			return r.question(e, s, strings.Join(strings.Fields(r.text[at:to]), " "), r.file.Line(s.Sel.Pos()))
		}
	case *ast.UnaryExpr:
		if e.Op == token.NOT {
			return r.turn(from, to, r.add("logic", source, "without !", line))
		}
	case *ast.BinaryExpr:
		x, y := r.file.Offset(e.X.End()), r.file.Offset(e.Y.Pos())
		switch op := operators[e.Op]; {
		case op.boundary != "":
			bound, turned := r.add("order", source, op.boundary, line), r.add("order", source, op.opposite, line)
			r.insert(from, fmt.Sprintf("(mutant%s(%d, ", op.function, bound))
			r.edits = append(r.edits, edit{x, y, ", "})
			return func() { r.insert(to, fmt.Sprintf(") != mutantOn(%d))", turned)) }
		case op.function != "":
			r.insert(from, fmt.Sprintf("mutant%s(%d, ", op.function, r.add("logic", source, op.opposite, line)))
			r.edits = append(r.edits, edit{x, y, ", func() bool { return "})
			return func() { r.insert(to, " })") }
		case op.opposite != "":
			return r.turn(from, to, r.add("equality", source, op.opposite, line))
		}
		return r.operate(e, from, to, source, line)
	}
	return nil
}

// turn lets a mutant turn a condition round.
func (r *rewriter) turn(from, to, id int) func() {
	r.insert(from, "((")
	return func() { r.insert(to, fmt.Sprintf(") != mutantOn(%d))", id)) }
}

// operators are those that are switched: the function of switch.txt that does it, what a
// comparison of order becomes at its boundary, and what takes the operator's place.
var operators = map[token.Token]struct{ function, boundary, opposite string }{
	token.LSS: {"Less", "<=", ">="}, token.LEQ: {"LessEqual", "<", ">"},
	token.GTR: {"Greater", ">=", "<="}, token.GEQ: {"GreaterEqual", ">", "<"},
	token.LAND: {"And", "", "||"}, token.LOR: {"Or", "", "&&"},
	token.EQL: {"", "", "!="}, token.NEQ: {"", "", "=="},
}

func (r *rewriter) insert(at int, text string) { r.edits = append(r.edits, edit{at, at, text}) }

// Answers that are exchanged, and conditions that are turned round, of questions. These
// compare where the source shows no operator.
var (
	exchanged  = map[string]string{"Yes": "No", "No": "Yes", "AtMost": "AtLeast", "AtLeast": "AtMost"}
	conditions = []string{"When", "Given", "Known", "BrokenIf", "BrokenWhen", "MetWhen", "OpenWhen"}
)

// question is start for a call of a method of a question or of a function that answers one.
func (r *rewriter) question(e *ast.CallExpr, s *ast.SelectorExpr, source string, line int) func() {
	x, open := r.file.Offset(s.X.End()), r.file.Offset(e.Lparen)+1
	name := s.Sel.Name
	pkg, _ := s.X.(*ast.Ident)
	function := pkg != nil && pkg.Name == "ask"
	switch to := exchanged[name]; {
	case to != "" && function == strings.HasPrefix(name, "At"):
		from := r.file.Offset(e.Pos())
		with := fmt.Sprintf("mutant%s(%d, ", name, r.add("question", source, to, line))
		r.asks = true
		if function {
			r.edits = append(r.edits, edit{from, open, with})
			return nil
		}
		r.insert(from, with)
		r.edits = append(r.edits, edit{x, open, ", "})
	case !function && slices.Contains(conditions, name) && !switchable(e.Args[0]) && r.boolean(e.Args[0]):
		id := r.add("question", source, "with the condition turned round", line)
		return r.turn(open, r.file.Offset(e.Args[0].End()), id)
	}
	return nil
}

// boolean reports whether an expression is a condition, as far as its type is known.
func (r *rewriter) boolean(e ast.Expr) bool {
	if r.source == nil {
		return true
	}
	b, ok := r.source.info.Types[e].Type.Underlying().(*types.Basic)
	return ok && b.Info()&types.IsBoolean != 0
}

// switchable reports whether an expression is turned round by a mutant of its own.
func switchable(e ast.Expr) bool {
	switch e := e.(type) {
	case *ast.UnaryExpr:
		return e.Op == token.NOT
	case *ast.BinaryExpr:
		return e.Op != token.LAND && e.Op != token.LOR
	}
	return false
}

func (r *rewriter) add(kind, source, to string, line int) int {
	id := r.next
	r.next++
	r.mutants = append(r.mutants,
		mutant{id: id, kind: kind, file: r.name, function: r.function, line: line, from: source, to: to})
	return id
}

// result returns the text with all edits made. Edits at one place keep their order,
// but an operator comes after what ends before it.
func (r *rewriter) result() string {
	slices.SortStableFunc(r.edits, func(a, b edit) int {
		return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(min(1, a.to-a.from), min(1, b.to-b.from)))
	})
	var out strings.Builder
	at := 0
	for _, e := range r.edits {
		out.WriteString(r.text[at:e.from] + e.with)
		at = e.to
	}
	return out.String() + r.text[at:]
}

// binary is the built tests of one package.
type binary struct {
	path, dir, run, skip string

	parts []part // of the tests, quick ones first; nil: not known
}

// part is tests that run alone: one, or a table of one that takes long.
type part struct {
	run     string
	took    time.Duration
	reaches map[int]bool // mutants
}

func build(packages []string, run, overlay, dir string) ([]binary, error) {
	var out []binary
	for i, p := range packages {
		p, skip, without := strings.Cut(p, "!")
		p, only, with := strings.Cut(p, "=")
		if !with && !without {
			only = run
		}
		p = clean(p)
		to := filepath.Join(dir, fmt.Sprintf("tests%d", i))
		cmd := exec.Command("go", "test", "-c", "-overlay", overlay, "-o", to, "./"+p)
		if text, err := cmd.CombinedOutput(); err != nil {
			return nil, fmt.Errorf("building the tests of %s: %w\n%s", p, err, text)
		}
		out = append(out, binary{path: to, dir: p, run: only, skip: skip})
	}
	return out, nil
}

// command runs tests of a binary until one fails, on one processor, as several go side by side.
func (b *binary) command(ctx context.Context, run string, env ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, b.path, "-test.short", "-test.failfast", "-test.run="+run, "-test.skip="+b.skip)
	cmd.Dir = b.dir
	cmd.Env = append(append(os.Environ(), "GOMAXPROCS=1"), env...)
	return cmd
}

// passes reports whether tests pass within a time.
func (b *binary) passes(run string, limit time.Duration, env ...string) bool {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	return b.command(ctx, run, env...).Run() == nil
}

// pass reports whether all tests pass with a mutant on.
func pass(binaries []binary, m mutant) bool {
	env := append(m.env, variable+"="+strconv.Itoa(m.id))
	for i, b := range binaries {
		if m.data != nil {
			run := b.run
			if i == 0 {
				run = "^TestCorpus$/.*/^" + regexp.QuoteMeta(m.data.rule) + ":" // the vectors of the rule
			}
			if !b.passes(run, 10*time.Minute, env...) {
				return false
			}
			continue
		}
		for _, p := range b.parts {
			if p.reaches[m.id] && !b.passes(p.run, 5*p.took+10*time.Second, env...) {
				return false
			}
		}
	}
	return true
}

// divide runs the tests of a binary without a mutant, each alone, and notes how long they
// take and which mutants they reach.
func (b *binary) divide() error {
	cmd := exec.Command(b.path, "-test.list="+cmp.Or(b.run, "."))
	cmd.Dir = b.dir
	out, err := cmd.Output()
	if err != nil {
		return err
	}
	skip, err := regexp.Compile(b.skip)
	if err != nil {
		return err
	}
	for name := range strings.FieldsSeq(string(out)) {
		if b.skip != "" && skip.MatchString(name) || !testName.MatchString(name) {
			continue
		}
		p, tables, err := b.alone("^" + name + "$")
		if err != nil {
			return err
		}
		if p.took < 2*time.Second || len(tables) < 2 {
			b.parts = append(b.parts, p)
			continue
		}
		for _, t := range tables {
			if p, _, err = b.alone("^" + name + "$/^" + t + "$"); err != nil {
				return err
			}
			b.parts = append(b.parts, p)
		}
	}
	slices.SortStableFunc(b.parts, func(x, y part) int { return cmp.Compare(x.took, y.took) })
	return nil
}

var (
	testName = regexp.MustCompile(`^(Test|Example|Fuzz)`)
	subtest  = regexp.MustCompile(`(?m)^=== RUN   \w+/([^/\n]*)$`)
	simple   = regexp.MustCompile(`^[\w-]+$`)
)

// alone runs one test, or a table of it, and returns the names of its tables if all are simple.
func (b *binary) alone(run string) (p part, tables []string, err error) {
	log := b.path + ".log"
	if err := os.RemoveAll(log); err != nil {
		return p, nil, err
	}
	cmd := b.command(context.Background(), run, "MUTANT_LOG="+log)
	cmd.Args = append(cmd.Args, "-test.v")
	start := time.Now()
	out, err := cmd.Output()
	if err != nil {
		return p, nil, fmt.Errorf("%s of %s fails without any mutant: %w", run, b.dir, err)
	}
	p = part{run: run, took: time.Since(start), reaches: map[int]bool{}}
	ids, err := os.ReadFile(log)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return p, nil, err
	}
	for id := range strings.FieldsSeq(string(ids)) {
		n, err := strconv.Atoi(id)
		if err != nil {
			return p, nil, err
		}
		p.reaches[n] = true
	}
	for _, m := range subtest.FindAllStringSubmatch(string(out), -1) {
		if !simple.MatchString(m[1]) {
			return p, nil, nil
		}
		tables = append(tables, m[1])
	}
	return p, tables, nil
}

// try returns the mutants that the tests did not notice.
func try(binaries []binary, mutants []mutant, workers int) []mutant {
	var wait sync.WaitGroup
	var next atomic.Int64
	noticed := make([]bool, len(mutants))
	for range workers {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(mutants); i = int(next.Add(1)) - 1 {
				if i > 0 && i%50 == 0 {
					fmt.Fprintf(os.Stderr, "%d of %d tried\n", i, len(mutants))
				}
				noticed[i] = !pass(binaries, mutants[i])
			}
		})
	}
	wait.Wait()
	var lived []mutant
	for i, m := range mutants {
		if !noticed[i] {
			lived = append(lived, m)
		}
	}
	return lived
}

// report prints the survivors and the score, with the reasons counted.
func report(pkg string, mutants, lived []mutant) score {
	reasons := map[string]string{}
	for line := range strings.Lines(accepted) {
		if name, why, ok := strings.Cut(strings.TrimSpace(line), " -- "); ok {
			reasons[name] = why
		}
	}
	got := score{all: len(mutants), noticed: len(mutants) - len(lived)}
	for _, m := range lived {
		if _, known := reasons[m.name(pkg)]; known {
			got.explained++
			continue
		}
		fmt.Printf("survives, line %d: %s\n", m.line, m.name(pkg))
	}
	fmt.Printf("%s: %s\n", pkg, got)
	return got
}

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/schema"
)

func TestExitCodes(t *testing.T) {
	broken := filepath.Join(t.TempDir(), "broken.json")
	require.NoError(t, os.WriteFile(broken, []byte(`{"format":`), 0o600))
	good, err := demo.ReadFile("demo/1-all-good.json")
	require.NoError(t, err)
	line := strings.ReplaceAll(string(good), "\n", "")
	const policy = "-policy=us-cdc-2003"
	for _, tt := range []struct {
		name, stdin string
		args        []string
		code        int
	}{
		{"nothing", "", nil, 2},
		{"help", "", []string{"-help"}, 0},
		{"the version", "", []string{"-version"}, 0},
		{"the demonstration day", "", []string{"-demo"}, 0},
		{"the demonstration day elsewhere", "", []string{"-demo", "-policy", "germany"}, 0},
		{"all released", "", []string{policy, "demo/1-all-good.json"}, 0},
		{"flags behind the file", "", []string{"demo/1-all-good.json", policy}, 0},
		{"a pack rejected", "", []string{policy, "demo/2-damp-pouch.json"}, 1},
		{"unreadable", "", []string{policy, broken}, 2},
		{"unreadable counts most", "", []string{policy, broken, "demo/2-damp-pouch.json"}, 2},
		{"no such file", "", []string{policy, "nowhere.json"}, 2},
		{"no policy", "", []string{"demo/1-all-good.json"}, 2},
		{"no such policy", "", []string{"-policy", "nowhere", "-"}, 2},
		{"no such flag", "", []string{"-colour"}, 2},
		{"-all without -json", "", []string{policy, "-all", "-"}, 2},
		{"a policy by name and as a file", "", []string{policy, "-policy-file", broken, "-"}, 2},
		{"standard input", string(good), []string{policy, "-"}, 0},
		{"one record a line", line + "\n" + line + "\n", []string{policy, "-json", "-"}, 0},
		{"a bad line among good ones", line + "\n{\"x\":1}\n" + line + "\n", []string{policy, "-"}, 2},
		{"a good form", string(good), []string{"-validate", "-"}, 0},
		{"a bad form", `{"format":"moistheat.load/1"}`, []string{"-validate", "-"}, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var out, problems bytes.Buffer
			assert.Equal(t, tt.code, run(t.Context(), tt.args, strings.NewReader(tt.stdin), &out, &problems))
			if tt.code == 2 {
				assert.NotEmpty(t, problems.String())
			} else {
				assert.Empty(t, problems.String())
				assert.NotEmpty(t, out.String())
			}
		})
	}
}

// A language is one of the library's or a file; a name that is neither is answered with the nearest.
func TestLanguages(t *testing.T) {
	const policy = "-policy=us-cdc-2003"
	own := filepath.Join(t.TempDir(), "fr.json")
	doc := `{"format":"moistheat.language/1","language":"fr","texts":{"What the physical record shows":"Ce que montre la mesure"}}`
	require.NoError(t, os.WriteFile(own, []byte(doc), 0o600))
	for _, tt := range []struct {
		lang, out, problem string
		code               int
	}{
		{"en", "What the physical record shows", "", 0},
		{"de", "Regelwerk", "", 0},
		{own, "Ce que montre la mesure", "texts stay English, the first: ", 0},
		{"EN-us", "What the physical record shows", "", 0},
		{"eng", "", "did you mean en?", 2},
		{"deutsh", "", "did you mean de?", 2},
		{"fr.json", "", "want en, de or the name of a file", 2},
		{"demo/1-all-good.json", "", "/format", 2},
	} {
		var out, problems bytes.Buffer
		code := run(t.Context(), []string{policy, "-lang", tt.lang, "demo/1-all-good.json"}, nil, &out, &problems)
		assert.Equal(t, tt.code, code, "%s: %s", tt.lang, problems.String())
		assert.Contains(t, out.String(), tt.out, tt.lang)
		assert.Contains(t, problems.String(), tt.problem, tt.lang)
	}
	var out, problems bytes.Buffer
	assert.Equal(t, 0, run(t.Context(), []string{"-validate", own}, nil, &out, &problems), problems.String())
	assert.Equal(t, 1, run(t.Context(), []string{"-validate", "-"}, strings.NewReader(strings.Replace(doc, "texts", "text", 1)),
		&out, &problems), out.String())
}

// many puts a document on many lines.
func many(doc []byte) string {
	var out bytes.Buffer
	if err := json.Indent(&out, doc, "", "  "); err != nil {
		panic(err)
	}
	return out.String()
}

// What the flags for other questions answer, on documents of the conformance corpus.
func TestOtherQuestions(t *testing.T) {
	record, err := json.Marshal(loadtest.Pouches())
	require.NoError(t, err)
	closed, err := json.Marshal(loadtest.Pouches(func(r *load.Record) { r.Packs[0].Seal.Pierced = moistheat.Yes }))
	require.NoError(t, err)
	stored, err := json.Marshal(loadtest.Stored())
	require.NoError(t, err)
	dropped, err := json.Marshal(loadtest.Stored(func(s *history.StoredPack) { s.Dropped = moistheat.Yes }))
	require.NoError(t, err)
	const policy, clinic, evening = "-policy=us-cdc-2003", "-catalogue=clinic/catalogue.json", "2026-03-09T18:00:00+01:00"
	log, err := os.ReadFile("clinic/log.json")
	require.NoError(t, err)
	handled := strings.Replace(string(log), `"unloading": {`, `"unloading": {"cooledInChamber": true,`, 1)
	own := filepath.Join(t.TempDir(), "own.json")
	require.NoError(t, os.WriteFile(own, []byte(`{"format": "moistheat.policy/1", "name": "ours", "title": "ours", "base": "us-cdc-2003"}`), 0o600))
	for _, tt := range []struct {
		name, stdin string
		args        []string
		code        int
		says        string
	}{
		{"a plan", string(record), []string{policy, "-plan", "-"}, 0, "Nothing is open."},
		{"a plan with a pierced pack", string(closed), []string{policy, "-plan", "-"}, 1, "packaging.closure.pierced [fault]"},
		{"what protects", string(closed), []string{policy, "-plan", "-"}, 1, "    WARNING: sharp. Wear"},
		{"the closing line", string(closed), []string{policy, "-plan", "-"}, 1, "local codes come first."},
		{"the same as JSON", string(closed), []string{policy, "-plan", "-json", "-"}, 1, `"warnings":[{"hazard":"sharp"`},
		{"as JSON", string(closed), []string{policy, "-plan", "-json", "-"}, 1, `"pointer":"/packs/0/seal/pierced"`},
		{"as JSON, with words", string(closed), []string{policy, "-plan", "-json", "-"}, 1, `"message":"The pack was closed or marked with a staple, pin or clip."`},
		{"a stored pack", string(stored), []string{policy, "-stored", "2026-03-20", "-"}, 0, "Nothing is open."},
		{"one that was dropped", string(dropped), []string{policy, "-stored", "2026-03-20", "-"}, 1, "load.storage.event [fault]"},
		{"a pack on many lines", many(stored), []string{policy, "-stored", "2026-03-20", "-"}, 0, "Nothing is open."},
		{"a bad document on many lines", "{\n\"x\": 1}\n", []string{policy, "-stored", "2026-03-20", "-"}, 2, ""},
		{"a bad line and a good one", "{\n" + string(stored), []string{policy, "-stored", "2026-03-20", "-"}, 2, "Nothing is open."},
		{"a record is no stored pack", string(record), []string{policy, "-stored", "2026-03-20", "-"}, 2, ""},
		{"no such day", string(stored), []string{policy, "-stored", "2026-02-30", "-"}, 2, ""},
		{"a history", string(record), []string{policy, "-history", evening, "-json", "-"}, 1, `"rule":"load.history.overdue"`},
		{"a history as text", string(record), []string{policy, "-history", evening, "-"}, 1, "WARNING: biological. "},
		{"its closing line", string(record), []string{policy, "-history", evening, "-"}, 1, "local codes come first."},
		{"no such instant", string(record), []string{policy, "-history", "yesterday", "-"}, 2, ""},
		{"two questions", string(record), []string{policy, "-plan", "-stored", "2026-03-20", "-"}, 2, ""},
		{"no file", "", []string{policy, "-plan"}, 2, ""},
		{"a policy of our own", string(record), []string{"-policy-file", own, "-json", "-"}, 0, `"name":"ours"`},
		{"no such policy", string(record), []string{"-policy-file", own + "x", "-"}, 2, ""},
		{"a log", "", []string{policy, "clinic/log.json"}, 1, "QUARANTINE"},
		{"with its catalogue", "", []string{policy, clinic, "clinic/log.json"}, 0,
			"Rests on standing practice: 59 answers (hinges and ratchets are opened; "},
		{"at which a practice was not kept", handled, []string{policy, clinic, "-"}, 0, "otherwise: packs cool before"},
		{"in a history", "", []string{policy, clinic, "-history", evening, "-json", "clinic/log.json"}, 1,
			`"rule":"load.history.overdue"`},
		{"a plan of it", "", []string{policy, clinic, "-plan", "clinic/log.json"}, 1, "What is not recorded (2)"},
		{"no catalogue", "", []string{policy, "-catalogue", "clinic/log.json", "clinic/log.json"}, 2, ""},
		{"a catalogue that is not there", "", []string{policy, "-catalogue", own + "x", "clinic/log.json"}, 2, ""},
		{"a catalogue for stored packs", string(stored), []string{policy, clinic, "-stored", "2026-03-20", "-"}, 2, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var out, problems bytes.Buffer
			assert.Equal(t, tt.code, run(t.Context(), tt.args, strings.NewReader(tt.stdin), &out, &problems), problems.String())
			assert.Contains(t, out.String(), tt.says)
			assert.Equal(t, tt.code == 2, problems.Len() > 0)
		})
	}
}

// A document that was cut off, or is wrong somewhere, is one document, and the line is said.
func TestBrokenDocuments(t *testing.T) {
	doc, err := demo.ReadFile("demo/1-all-good.json")
	require.NoError(t, err)
	lines := strings.SplitAfter(string(doc), "\n")
	wrong := slices.Clone(lines)
	wrong[6] = strings.Replace(wrong[6], ":", "", 1)
	for _, tt := range []struct{ name, in, says string }{
		{"cut off", strings.Join(lines[:40], ""), "-: line 40, /packs/0: the document ends too early; it was cut off"},
		{"cut off at once", "{\n\n", "-: line 1: the document ends too early; it was cut off"},
		{"a colon is missing", strings.Join(wrong, ""), "-: line 7, /load/preparedBy: want a colon after a name"},
		{"two documents", string(doc) + string(doc), ": something follows the end of the document"},
		{"a policy", `{"format":"moistheat.policy/1"}`, "-: line 1: this is a policy; use -policy-file"},
		{"a report", `{"format":"moistheat.report/1"}`, "which is an answer and no record"},
		{"known", `{"format":"moistheat.known/1"}`, "use -known"},
	} {
		for _, question := range []string{"-policy=us-cdc-2003", "-validate"} {
			if question == "-validate" && strings.HasPrefix(tt.in, `{"format"`) {
				continue // it takes them
			}
			var out, problems bytes.Buffer
			code := run(t.Context(), []string{question, "-"}, strings.NewReader(tt.in), &out, &problems)
			assert.Equal(t, unreadable, code)
			assert.Contains(t, problems.String(), tt.says, tt.name)
			assert.Equal(t, 1, strings.Count(problems.String(), "\n"), "%s: said once", tt.name)
			assert.Empty(t, out.String(), tt.name)
		}
	}
}

// What is wrong with the form stands under the file, and the line where there are several.
func TestValidateNamesTheFile(t *testing.T) {
	line, err := json.Marshal(loadtest.Stored())
	require.NoError(t, err)
	two := filepath.Join(t.TempDir(), "two.ndjson")
	require.NoError(t, os.WriteFile(two, []byte(string(line)+"\n{}\n"), 0o600))
	var out, problems bytes.Buffer
	assert.Equal(t, open, run(t.Context(), []string{"-validate", "demo/1-all-good.json", two}, nil, &out, &problems))
	assert.Empty(t, problems.String())
	said := out.String()
	assert.True(t, strings.HasPrefix(said, "demo/1-all-good.json\n- Nothing is wrong with the form.\n"), said)
	assert.Contains(t, said, "two.ndjson, line 1\n- Nothing is wrong")
	assert.Contains(t, said, "two.ndjson, line 2\n- the document: ")
	out.Reset()
	run(t.Context(), []string{"-validate", "-json", two}, nil, &out, &problems)
	assert.Contains(t, out.String(), `two.ndjson","line":2,"format":""`)
}

// What is not there is answered with what was probably meant, and what makes no sense refused.
func TestCallsThatMakeNoSense(t *testing.T) {
	dir := t.TempDir()
	own := filepath.Join(dir, "own.json")
	require.NoError(t, os.WriteFile(own, []byte(`{"format":"moistheat.policy/1","name":"ours","title":"ours",
		"base":"us-cdc-2003","rules":[{"id":"load.pack.wett","inForce":true}]}`), 0o600))
	const policy = "-policy=us-cdc-2003"
	for says, args := range map[string][]string{
		"did you mean germany? Local rules decide which policy":  {"-policy", "germny", "-"},
		"did you mean one of us-cdc-2003, us-cdc-2008? Local":    {"-policy", "us-cdc", "-"},
		`no rule "load.pack.wett"; did you mean "load.pack.wet"`: {"-policy-file", own, "-"},
		"there is no flag -polcy; did you mean -policy?":         {"-polcy", "x"},
		"there is no flag -zzz; -help lists them":                {"-zzz"},
		"-validate checks the form alone":                        {"-validate", policy, "-"},
		"-all is for checking":                                   {"-validate", "-all", "-json", "-"},
		"-known is for checking records":                         {"-demo", "-known", own},
	} {
		var out, problems bytes.Buffer
		assert.Equal(t, unreadable, run(t.Context(), args, strings.NewReader(""), &out, &problems), says)
		assert.Contains(t, problems.String(), says)
		assert.Empty(t, out.String())
	}
}

// Colours stand around words that say the same without them.
func TestColour(t *testing.T) {
	var out bytes.Buffer
	p := &program{stdout: &out, colour: true}
	p.print("Verdict: REJECT.\n    WARNING: sharp. REJECT\n  Nothing\n")
	const want = "Verdict: \x1b[1;31mREJECT\x1b[0m.\n    \x1b[1;33mWARNING:\x1b[0m sharp. REJECT\n  Nothing\n"
	assert.Equal(t, want, out.String())
	assert.False(t, coloured(&out), "no terminal")
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	require.NoError(t, err)
	defer null.Close()
	t.Setenv("TERM", "xterm")
	t.Setenv("NO_COLOR", "")
	assert.True(t, coloured(null), "a device")
	t.Setenv("NO_COLOR", "1")
	assert.False(t, coloured(null))
}

// What people often take for a file of records is named for what it is.
func TestForeignFiles(t *testing.T) {
	stored, err := json.Marshal(loadtest.Stored())
	require.NoError(t, err)
	for _, tt := range []struct{ name, in, says string }{
		{"nothing", "", "the file is empty"},
		{"blanks", " \n\n", "the file is empty"},
		{"gzip", "\x1f\x8b\x08\x00", "compressed (gzip)"},
		{"a spreadsheet", "PK\x03\x04", "a zip archive or a spreadsheet"},
		{"UTF-16", "\xff\xfe{\x00", "UTF-16"},
		{"UTF-16 without a mark", "{\x00\"\x00", "UTF-16"},
		{"a byte order mark", "\ufeff{}", "byte order mark"},
		{"an array", "\n [{}]", "a JSON array"},
		{"CSV", "load;temperature\n1;134\n", "a table of a spreadsheet or recorder (CSV)"},
		{"CSV with commas", "time,load,\"a, b\"\n08:00,134.1,3\n", "(CSV)"},
		{"PDF", "%PDF-1.7\n%\xe2\xe3\n", "a PDF"},
		{"XML", "<?xml version=\"1.0\"?>\n<load/>\n", "XML"},
		{"a printout", "CYCLE 12\nTEMP 134.1\n", "not JSON"},
		{"an event that is not complete", `{"format":"moistheat.event/1","id":"x"}`, "this is an event of a sterilizer; use -history"},
		{"a batch that is not complete", `{"format":"moistheat.cleaning/1"}`, "this is a batch of cleaning; use -history"},
		{"a record that is not complete", `{"format":"moistheat.load/1"}`, "line 1: the required member"},
		{"a pack in store", string(stored), "this is a pack in store; use -stored or -history"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var out, problems bytes.Buffer
			assert.Equal(t, unreadable, run(t.Context(), []string{"-policy=us-cdc-2003", "-json", "-"}, strings.NewReader(tt.in), &out, &problems))
			assert.Contains(t, problems.String(), tt.says)
			assert.Contains(t, out.String(), tt.says)
			assert.NotContains(t, out.String(), "(byte 0)")
		})
	}
}

// A bad line is reported in the output with file and line and is not the end of the run.
func TestBadLine(t *testing.T) {
	good, err := json.Marshal(loadtest.Pouches())
	require.NoError(t, err)
	name := filepath.Join(t.TempDir(), "day.ndjson")
	lines := bytes.Join([][]byte{good, []byte(`{"format":"moistheat.load/1","id":7}`), good}, []byte("\n"))
	require.NoError(t, os.WriteFile(name, lines, 0o600))
	var out, problems bytes.Buffer
	assert.Equal(t, unreadable, run(t.Context(), []string{"-policy=us-cdc-2003", "-json", name}, nil, &out, &problems))
	said := strings.Split(strings.TrimSpace(out.String()), "\n")
	require.Len(t, said, 3)
	var bad problem
	require.NoError(t, json.Unmarshal([]byte(said[1]), &bad))
	assert.Equal(t, problem{File: name, Line: 2, Pointer: "/id", Error: bad.Error}, bad)
	assert.Contains(t, said[2], `"verdict"`)
}

// A line is answered before the next one has come, and an interruption ends a run that
// waits for it.
func TestStream(t *testing.T) {
	good, err := json.Marshal(loadtest.Pouches())
	require.NoError(t, err)
	in, feed := io.Pipe()
	out, answers := io.Pipe()
	ctx, interrupt := context.WithCancel(t.Context())
	code := make(chan int)
	go func() {
		code <- run(ctx, []string{"-policy=us-cdc-2003", "-json", "-"}, in, answers, io.Discard)
	}()
	said := bufio.NewReader(out)
	for range 3 {
		_, err = feed.Write(append(good, '\n'))
		require.NoError(t, err)
		line, err := said.ReadString('\n')
		require.NoError(t, err)
		assert.Contains(t, line, `"verdict"`)
	}
	interrupt()
	assert.Equal(t, interrupted, <-code)
}

// full is a disk that is full, or a pipe that nobody reads any more.
type full struct{ left int }

func (f *full) Write(b []byte) (int, error) {
	if f.left--; f.left < 0 {
		return 0, syscall.ENOSPC
	}
	return len(b), nil
}

// Where nothing can be written, the run ends and says so: an exit code of 0 or 1 promises
// that every document was answered.
func TestFullDisk(t *testing.T) {
	good, err := json.Marshal(loadtest.Pouches())
	require.NoError(t, err)
	line := append(good, '\n')
	var read atomic.Int64 // a reader may still be at its last read when the run is over
	in := readerFunc(func(b []byte) (int, error) { read.Add(1); return copy(b, line), nil })
	for _, flag := range []string{"-policy=us-cdc-2003 -json", "-policy=us-cdc-2003 -plan", "-validate"} {
		var problems bytes.Buffer
		args := append(strings.Fields(flag), "-")
		assert.Equal(t, unreadable, run(t.Context(), args, in, &full{left: 3}, &problems))
		assert.Contains(t, problems.String(), syscall.ENOSPC.Error())
	}
	assert.Less(t, read.Load(), int64(1000))
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(b []byte) (int, error) { return f(b) }

func TestProgress(t *testing.T) {
	assert.Equal(t, "documents: 50, 10 a second", progress(50, 100, 0, 5*time.Second))
	assert.Equal(t, "documents: 50, 10 a second, 25 %, 15s left", progress(50, 100, 400, 5*time.Second))
	assert.Equal(t, "documents: 1, 1 a second", progress(1, 500, 400, time.Second), "a file that grew")
}

// A line of findings has a published form, and lists what is open; with -all, everything.
func TestFindingsAreOpenAndPublished(t *testing.T) {
	const week, at = "../badweek/week.ndjson", "2026-05-15T18:00:00-07:00"
	stored, err := json.Marshal(loadtest.Stored(func(s *history.StoredPack) { s.Dropped = moistheat.Yes }))
	require.NoError(t, err)
	pack := filepath.Join(t.TempDir(), "pack.json")
	require.NoError(t, os.WriteFile(pack, stored, 0o600))
	type line struct {
		Format, Language string
		Policy           struct{ Name, Title, Digest string }
		Findings         []struct{ Outcome moistheat.Outcome }
	}
	for _, lang := range []string{"en", "de"} {
		for _, args := range [][]string{
			{"-history", at, week}, {"-stored", "2026-03-20", pack}, {"-plan", "demo/3-powered-handpieces.json"},
		} {
			read := func(more ...string) (l line) {
				out, problems := call(t, slices.Concat([]string{"-policy=us-cdc-2003", "-json", "-lang", lang}, more, args))
				require.Empty(t, problems)
				require.NoError(t, json.Unmarshal([]byte(out), &l))
				found, err := schema.Validate(schema.Findings, []byte(out))
				require.NoError(t, err)
				assert.Empty(t, found, "%v", args)
				return l
			}
			short, all := read(), read("-all")
			assert.Equal(t, "moistheat.findings/1", short.Format)
			assert.Equal(t, lang == "de", short.Language == "de")
			assert.Equal(t, "us-cdc-2003", short.Policy.Name)
			require.NotEmpty(t, short.Findings)
			opened := 0
			for _, f := range all.Findings {
				if f.Outcome >= moistheat.Undetermined {
					opened++
				}
			}
			assert.Len(t, short.Findings, opened)
			assert.Greater(t, len(all.Findings), opened, "%v", args)
			for _, f := range short.Findings {
				assert.GreaterOrEqual(t, f.Outcome, moistheat.Undetermined)
			}
		}
	}
	var out, problems bytes.Buffer
	said, _ := call(t, []string{"-policy=us-cdc-2003", "-json", "-plan", "demo/3-powered-handpieces.json"})
	code := run(t.Context(), []string{"-validate", "-"}, strings.NewReader(said), &out, &problems)
	assert.Equal(t, good, code, out.String())
}

// Whether a pack may be opened has a published form, which prints what the text says.
func TestOpeningIsPublished(t *testing.T) {
	const week, pack = "../badweek/week.ndjson", "A-421-2@2026-05-15T18:00:00-07:00"
	for _, lang := range []string{"en", "de"} {
		args := []string{"-policy=us-cdc-2003", "-lang", lang, "-open", pack, week}
		text, problems := call(t, args)
		require.Empty(t, problems)
		data, problems := call(t, append([]string{"-json"}, args...))
		require.Empty(t, problems)
		found, err := schema.Validate(schema.Opening, []byte(data))
		require.NoError(t, err)
		assert.Empty(t, found)
		var read history.Opening
		require.NoError(t, json.Unmarshal([]byte(data), &read))
		assert.NotEmpty(t, read.Warnings)
		assert.Greater(t, strings.Count(read.Text(), "\n"), 40)
		assert.True(t, strings.HasSuffix(text, read.Text()), read.Text())
	}
}

// A text says whose documents decided it, and as of when.
func TestTextsSayWhoseDocuments(t *testing.T) {
	const week, at = "../badweek/week.ndjson", "2026-05-15T18:00:00-07:00"
	stored, err := json.Marshal(loadtest.Stored())
	require.NoError(t, err)
	pack := filepath.Join(t.TempDir(), "pack.json")
	require.NoError(t, os.WriteFile(pack, stored, 0o600))
	const whose = "ssessed against: the CDC guidelines of 2003 for dental settings (United States)"
	for _, tt := range []struct {
		says string
		args []string
	}{
		{"Load 0309-1, a" + whose + "\n", []string{"demo/1-all-good.json"}},
		{"A" + whose + "\n", []string{"-plan", "demo/1-all-good.json"}},
		{"A" + whose + "; as of 20 March 2026\n", []string{"-stored", "2026-03-20", pack}},
		{"A" + whose + "; as of 15 May 2026, 18:00\n", []string{"-history", at, week}},
		{"A" + whose + "; as of 15 May 2026, 18:00\n", []string{"-open", "none@" + at, week}},
		{"A" + whose + "; as of 15 May 2026, 18:00\n", []string{"-agenda", at, week}},
	} {
		out, _ := call(t, append([]string{"-policy=us-cdc-2003", "-width=200"}, tt.args...))
		assert.Contains(t, "\n"+out, "\n"+tt.says, "%v", tt.args)
	}
	out, _ := call(t, []string{"-policy=us-cdc-2003", "-lang=de", "-width=200", "-history", at, week})
	assert.Regexp(t, "^Bewertungsgrundlage: .*CDC.*; Stand: 15. Mai 2026", out)
	said, _ := call(t, []string{"-policy=us-cdc-2003", "-json", "-history", at, week})
	assert.Contains(t, said, `"at":"`+at+`"`)
	said, _ = call(t, []string{"-policy=us-cdc-2003", "-json", "-stored", "2026-03-20", pack})
	assert.Contains(t, said, `"on":"2026-03-20"`)
}

// What is wrong with the form is said in the language, with the name that was probably meant.
func TestFormInGerman(t *testing.T) {
	name := filepath.Join(t.TempDir(), "two.ndjson")
	const doc = `{"format":"moistheat.load/1","id":1,"pakcs":[],"release":{"time":"2026-02-30"}}`
	require.NoError(t, os.WriteFile(name, []byte(doc+"\n"+`{"format":"moistheat.load/2"}`+"\n"), 0o600))
	out, problems := call(t, []string{"-validate", "-lang=de", name})
	for _, says := range []string{
		"two.ndjson, Zeile 1\n- das Dokument: ", "/id: Gefordert ist ein Text in Anführungszeichen; hier steht eine Zahl.",
		`kein Feld "pakcs" (gemeint ist vielleicht "packs").`, "wie 2026-03-09T08:15:00+01:00.",
	} {
		assert.Contains(t, out, says)
	}
	for _, english := range []string{" such as ", " line ", "the ", "did you"} {
		assert.NotContains(t, out, english)
	}
	assert.Contains(t, problems, `the format is "moistheat.load/2"; did you mean "moistheat.load/1"?`)
	out, _ = call(t, []string{"-validate", "-lang=de", "demo/1-all-good.json"})
	assert.Contains(t, out, "\n- An der Form ist nichts zu beanstanden.\n")
}

// The list of rules is in the language that was asked for, as JSON too.
func TestRulesInGerman(t *testing.T) {
	text, _ := call(t, []string{"-rules", "-lang=de"})
	data, _ := call(t, []string{"-rules", "-lang=de", "-json"})
	english, _ := call(t, []string{"-rules", "-json"})
	type list struct {
		Language string
		Rules    []moistheat.Rule
	}
	var de, en list
	require.NoError(t, json.Unmarshal([]byte(data), &de))
	require.NoError(t, json.Unmarshal([]byte(english), &en))
	assert.Equal(t, "de", de.Language)
	assert.Empty(t, en.Language)
	require.Len(t, de.Rules, len(en.Rules))
	for i, r := range de.Rules {
		assert.Contains(t, text, r.ID+": "+r.Title+"\n")
		assert.NotEqual(t, en.Rules[i].Why, r.Why, r.ID)
		assert.Equal(t, en.Rules[i].Sources, r.Sources)
	}
	found, err := schema.Validate(schema.RuleList, []byte(data))
	require.NoError(t, err)
	assert.Empty(t, found)
}

// The order of the day ends with what its warnings rest on and what it is for, has a published form,
// and is not all well where a sterilizer is out of service.
func TestAgenda(t *testing.T) {
	const week, at = "../badweek/week.ndjson", "2026-05-15T18:00:00-07:00"
	const rests = "The safety instructions of the sterilizer come before the warnings above, which rest on:"
	ask := func(args ...string) (string, int) {
		var out, problems bytes.Buffer
		code := run(t.Context(), append([]string{"-policy=us-cdc-2003"}, args...), strings.NewReader(""), &out, &problems)
		require.Empty(t, problems.String())
		return out.String(), code
	}
	text, code := ask("-agenda", at, week)
	flat := strings.Join(strings.Fields(text), " ")
	assert.Equal(t, open, code, "both are out of service")
	assert.Less(t, strings.Index(flat, "run no load for patients"), strings.Index(flat, rests+" - burn: "))
	assert.True(t, strings.HasSuffix(flat, moistheat.Disclaimer), flat)
	text, code = ask("-agenda", "2026-05-04T06:00:00-07:00", "demo/1-all-good.json")
	assert.Equal(t, good, code)
	assert.Contains(t, text, "check that the chamber is clean")
	for _, lang := range []string{"en", "de"} {
		data, code := ask("-agenda", at, "-json", "-lang", lang, week)
		assert.Equal(t, open, code)
		found, err := schema.Validate(schema.Agenda, []byte(data))
		require.NoError(t, err)
		assert.Empty(t, found)
		var day struct {
			Format     string
			At         time.Time
			Policy     struct{ Name string }
			Tasks      []history.Task
			Warnings   []load.Warning
			Disclaimer string
		}
		require.NoError(t, json.Unmarshal([]byte(data), &day))
		assert.Equal(t, "moistheat.agenda/1", day.Format)
		assert.Equal(t, at, day.At.Format(time.RFC3339))
		assert.Equal(t, "us-cdc-2003", day.Policy.Name)
		assert.NotEmpty(t, day.Disclaimer)
		require.NotEmpty(t, day.Tasks)
		for _, task := range day.Tasks {
			for _, h := range task.Hazards {
				assert.True(t, slices.ContainsFunc(day.Warnings, func(w load.Warning) bool {
					return w.Hazard == h && w.Sentence != "" && w.Sources.Len() > 0
				}), h)
			}
		}
		assert.Equal(t, lang == "de", strings.Contains(data, "Sterilisator"))
	}
}

// Checkload checks load records and prints what may be released, and why.
//
//	go run ./examples/checkload -policy NAME|-policy-file FILE [-known FILE] [-json [-all]] [FILE...|-]
//	go run ./examples/checkload -history INSTANT|-stored DAY|-plan -policy ... [-json] FILE...|-
//
// Without a file it checks six loads of one day in an invented podiatry and
// minor-surgery clinic. Which policy applies is for the local rules: there is no default. A file holds one record, or one a line (NDJSON); - is
// standard input. With -known it knows what a file says of the sterilizer, a document
// "moistheat.known/1". With -json it prints what is not met; with -all, too, also what is
// met. The exit code is 0 if everything may be released, 1 if something
// is held or rejected, and 2 if something could not be checked.
//
// Three flags ask something else, and the exit code is 1 if something is broken or
// undetermined. With -history INSTANT the records, tests and
// stored packs of all files are one history, judged at that instant. With -stored DAY
// each line is a stored pack, judged on that day. With -plan each line is a record,
// asked what can be asked before its cycle is run. A single document may span lines
// here, too. With -json each of them gives one line with the findings of its document.
package main

import (
	"bytes"
	"embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"iter"
	"os"
	"strings"

	"example.com/moistheat/load"
)

//go:embed demo/*.json
var demo embed.FS

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

const usage = `checkload -policy NAME|-policy-file FILE [-known FILE] [-json [-all]] [FILE...|-]
checkload -history INSTANT|-stored DAY|-plan -policy ... [-json] FILE...|-

A file holds one document, or one a line; - is standard input. Without a file six
loads of an invented clinic are checked. The exit code is 0 if everything may be
released, 1 if something is held, rejected or open, 2 if something could not be read.

`

// maxFile bounds what this program reads at once. The library itself streams: see
// load.Records.
const maxFile = 64 << 20

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("checkload", flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.Usage = func() {
		fmt.Fprint(stderr, usage)
		flags.PrintDefaults()
	}
	name := flags.String("policy", "", "whose documents apply, by the local rules: "+strings.Join(load.Policies(), ", "))
	file := flags.String("policy-file", "", "a facility's own policy, instead of a built-in one")
	known := flags.String("known", "", "what is known of the sterilizer, a file; absent: nothing")
	asJSON := flags.Bool("json", false, "print one JSON report a line")
	all := flags.Bool("all", false, "with -json: list also what is met")
	history := flags.String("history", "", "judge a history at this instant, as in 2026-03-15T12:00:00+01:00")
	stored := flags.String("stored", "", "judge stored packs on this day, as in 2026-03-20")
	plan := flags.Bool("plan", false, "ask what can be asked before a cycle is run")
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return 0
		}
		return 2
	}
	m := mode{json: *asJSON, plan: *plan, stdin: stdin, stdout: stdout, stderr: stderr}
	var err error
	if m.policy, err = policyOf(*name, *file); err != nil {
		m.fail(err)
		return m.code
	}
	if *history != "" || *stored != "" || *plan {
		return m.run(flags.Args(), *history, *stored)
	}
	k, err := knownOf(*known)
	if err != nil {
		fmt.Fprintln(stderr, err)
		return 2
	}
	check := load.CheckKnowing
	if *all {
		check = load.ExplainKnowing
	}
	for src, err := range sources(flags.Args(), stdin) {
		if err != nil {
			m.fail(err)
			continue
		}
		for record, err := range src.records() {
			if err != nil {
				m.fail(fmt.Errorf("%s: %w", src.name, err))
				continue
			}
			report := check(record, m.policy, k)
			if err := show(stdout, report, *asJSON); err != nil {
				m.fail(err)
				return m.code
			}
			if !report.Released() {
				m.code = max(m.code, 1)
			}
		}
	}
	return m.code
}

// policyOf returns the policy in a file, if one is named, or the built-in one.
func policyOf(name, file string) (*load.Policy, error) {
	if file == "" {
		return load.PolicyFor(name)
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return load.ParsePolicy(data)
}

// knownOf returns what a file says of a sterilizer, or nothing where none is named.
func knownOf(file string) (load.Known, error) {
	if file == "" {
		return load.Known{}, nil
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return load.Known{}, err
	}
	return load.DecodeKnown(data)
}

func show(w io.Writer, r *load.Report, asJSON bool) error {
	if asJSON {
		return json.NewEncoder(w).Encode(r)
	}
	_, err := fmt.Fprintln(w, r.Text())
	return err
}

type source struct {
	name string
	data []byte    // one record, or
	r    io.Reader // one a line
}

func (s source) records() iter.Seq2[*load.Record, error] {
	if s.r != nil {
		return load.Records(s.r)
	}
	return func(yield func(*load.Record, error) bool) {
		yield(load.Decode(s.data))
	}
}

// sources yields the embedded day, or the named files.
func sources(names []string, stdin io.Reader) iter.Seq2[source, error] {
	return func(yield func(source, error) bool) {
		if len(names) == 0 {
			entries, _ := demo.ReadDir("demo")
			for _, e := range entries {
				data, err := demo.ReadFile("demo/" + e.Name())
				if !yield(source{name: e.Name(), data: data}, err) {
					return
				}
			}
			return
		}
		for _, name := range names {
			src, err := open(name, stdin)
			if !yield(src, err) {
				return
			}
		}
	}
}

// open reads a file and tells whether it holds one record or one a line.
func open(name string, stdin io.Reader) (source, error) {
	r := stdin
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return source{}, err
		}
		defer f.Close()
		r = f
	}
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return source{}, err
	}
	if len(data) > maxFile {
		return source{}, fmt.Errorf("%s is larger than %d bytes; split it", name, maxFile)
	}
	// A single record may span many lines, but none of them starts with a brace.
	_, rest, _ := bytes.Cut(bytes.TrimSpace(data), []byte("\n"))
	if bytes.HasPrefix(bytes.TrimLeft(rest, "\r\n"), []byte("{")) {
		return source{name: name, r: bytes.NewReader(data)}, nil
	}
	return source{name: name, data: data}, nil
}

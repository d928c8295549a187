package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

// mode is how the program was called, and the exit code so far. Its methods judge what is
// no load that was run: a history, stored packs, or plans.
type mode struct {
	policy         *load.Policy
	json, plan     bool
	stdin          io.Reader
	stdout, stderr io.Writer
	code           int
}

// fail tells an error. The program goes on where it can.
func (m *mode) fail(err error) {
	fmt.Fprintln(m.stderr, err)
	m.code = 2
}

func (m *mode) run(files []string, until, store string) int {
	var at time.Time
	var on moistheat.Date
	var err error
	switch {
	case until != "" && store != "" || m.plan && (until != "" || store != ""):
		err = errors.New("give one of -history, -stored and -plan")
	case len(files) == 0:
		err = errors.New("name a file, or - for standard input")
	case until != "":
		at, err = time.Parse(time.RFC3339, until)
	case store != "":
		on, err = moistheat.ParseDate(store)
	}
	if err != nil {
		m.fail(err)
		return m.code
	}
	h := history.New(m.policy)
	for _, name := range files {
		m.file(name, func(e history.Entry) error {
			switch {
			case until != "":
				h.AddEntry(e)
			case store != "" && e.Stored != nil:
				m.show(e.Stored.Pack, history.CheckStored(e.Stored, m.policy, on))
			case m.plan && e.Record != nil:
				out := load.CheckPacking(e.Record, m.policy)
				if c := e.Record.Cycle; c != nil {
					out = append(out, load.CycleObjections(e.Record, m.policy, c.Settings, c.Type)...)
				}
				m.show(e.Record.ID, out)
			default:
				return errors.New("the line holds something else than what was asked for")
			}
			return nil
		})
	}
	if until != "" {
		m.show("", h.Findings(at))
	}
	return m.code
}

// file reads one file, or standard input, document by document.
func (m *mode) file(name string, each func(history.Entry) error) {
	in := m.stdin
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			m.fail(err)
			return
		}
		defer f.Close()
		in = f
	}
	for e, err := range history.Entries(lines(in)) {
		if err == nil {
			err = each(e)
		}
		if err != nil {
			m.fail(fmt.Errorf("%s: %w", name, err))
		}
	}
}

// lines returns r with a single document that spans lines put on one. Anything else
// is left as it is and streams.
func lines(r io.Reader) io.Reader {
	in := bufio.NewReader(r)
	head, _ := in.Peek(2)
	if first := bytes.TrimSpace(head); string(first) != "{" { // a line has more on its first line
		return in
	}
	data, err := io.ReadAll(io.LimitReader(in, maxFile))
	var line bytes.Buffer
	if err == nil && json.Compact(&line, data) == nil {
		return &line
	}
	return io.MultiReader(bytes.NewReader(data), in)
}

// finding is a finding as a report writes it.
type finding struct {
	moistheat.Finding
	Message string `json:"message"`
}

// show prints findings: with -json as one object a line, otherwise the open ones.
func (m *mode) show(id string, findings []moistheat.Finding) {
	said := make([]finding, 0, len(findings))
	var open []finding
	for _, f := range findings {
		rule, _ := m.policy.Rule(f.Rule)
		said = append(said, finding{f, rule.Message(f)})
		if f.Open() {
			open = append(open, said[len(said)-1])
			m.code = max(m.code, 1)
		}
	}
	if m.json {
		err := json.NewEncoder(m.stdout).Encode(struct {
			ID       string    `json:"id,omitempty"`
			Policy   string    `json:"policy"`
			Findings []finding `json:"findings"`
		}{id, m.policy.Name(), said})
		if err != nil {
			m.fail(err)
		}
		return
	}
	if id != "" {
		fmt.Fprintln(m.stdout, id)
	}
	for _, f := range open {
		fmt.Fprintf(m.stdout, "- %s: %s\n    %s [%s]\n", f.Pointer, f.Message, f.Rule, f.Outcome)
	}
	if open == nil {
		fmt.Fprintln(m.stdout, "- nothing is open")
	}
}

// Badweek replays a bad week of an invented podiatry clinic and prints, on one page,
// what its lead nurse needs to know: which sterilizer may be used, what to do next,
// which packs to find, and what is due.
//
//	go run ./examples/badweek -policy NAME [-at TIME] [FILE...]
//
// Without a file it reads the week that comes with it. A file holds load records,
// events and stored packs, one a line (NDJSON), in any order. The exit code is 0 if
// nothing has to be recalled and every sterilizer may be used, 1 if not, and 2 if
// something could not be read.
package main

import (
	"bytes"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

//go:embed week.ndjson
var week []byte

// friday is the evening on which the page is printed.
const friday = "2026-05-15T18:00:00-07:00"

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("badweek", flag.ContinueOnError)
	flags.SetOutput(stderr)
	name := flags.String("policy", "", "whose documents apply, by the local rules: "+strings.Join(load.Policies(), ", "))
	when := flags.String("at", friday, "the time of the page")
	if err := flags.Parse(args); err != nil {
		return 2
	}
	if *name == "" {
		fmt.Fprintln(stderr, "badweek: name the policy that your clinic follows with -policy; local rules decide which: "+
			strings.Join(load.Policies(), ", "))
		return 2
	}
	policy, err := load.PolicyFor(*name)
	if err != nil {
		fmt.Fprintln(stderr, err)
		return 2
	}
	at, err := time.Parse(time.RFC3339, *when)
	if err != nil {
		fmt.Fprintln(stderr, err)
		return 2
	}
	h := history.New(policy)
	code := 0
	for i := range max(1, flags.NArg()) {
		data := week
		if flags.NArg() > 0 {
			if data, err = os.ReadFile(flags.Arg(i)); err != nil {
				fmt.Fprintln(stderr, err)
				code = 2
				continue
			}
		}
		for entry, err := range history.Entries(bytes.NewReader(data)) {
			if err != nil {
				fmt.Fprintln(stderr, err)
				code = 2
				continue
			}
			h.AddEntry(entry)
		}
	}
	if page(stdout, h, at) && code == 0 {
		code = 1
	}
	return code
}

// page prints the page and reports whether somebody has to act at once.
func page(w io.Writer, h *history.History, at time.Time) (act bool) {
	fmt.Fprintf(w, "STERILIZERS ON %s\njudged by %s\n", strings.ToUpper(at.Format("Monday 2 January 2006, 15:04")), h.Policy().Title())

	findings := h.Findings(at)
	warn(w, h.Policy(), findings)

	fmt.Fprintln(w, "\nMAY IT BE USED?")
	for _, s := range h.Status() {
		if s.Service == moistheat.InService {
			line(w, name(s.Sterilizer), "YES, after the tests below that are due before a load")
			continue
		}
		act = true
		line(w, name(s.Sterilizer), "NO")
		for _, b := range s.Because {
			line(w, "", b)
		}
		for _, p := range h.Procedures() {
			if p.Sterilizer == s.Sterilizer && p.State != history.Finished {
				line(w, "", "What ends it: "+p.Ends())
			}
		}
	}

	suspects := h.Recall()
	act = find(w, suspects) || act

	fmt.Fprintln(w, "\nWHY")
	var reasons []string
	loads := map[string][]string{} // of each reason
	for _, s := range suspects {
		for _, b := range s.Because {
			if loads[b] == nil {
				reasons = append(reasons, b)
			}
			loads[b] = append(loads[b], name(s.Number))
		}
	}
	for i, b := range reasons {
		line(w, fmt.Sprint(i+1), loadsOf(loads[b])+": "+b)
	}
	if len(reasons) == 0 {
		line(w, "", "nothing failed")
	}

	fmt.Fprintln(w, "\nTESTS")
	for _, d := range h.Due(at) {
		line(w, name(d.Sterilizer), fmt.Sprintf("%s test %s: %s", d.Duty.Test, strings.ToUpper(string(d.State)), d.Why))
	}

	fmt.Fprintln(w, "\nWHAT ELSE THE WEEK SHOWS")
	told := map[string]bool{}
	for _, f := range findings {
		if f.Outcome != moistheat.Broken || strings.HasPrefix(f.Rule, "load.recall.") && f.Rule != "load.recall.unlabelled" && f.Rule != "load.recall.prion" || strings.HasPrefix(f.Rule, "load.positive.open") {
			continue
		}
		if text := h.Message(f); !told[text] {
			told[text] = true
			line(w, f.Severity.String(), place(f.Pointer)+text)
		}
	}
	fmt.Fprintln(w)
	line(w, "", moistheat.Disclaimer)
	return act
}

// warn says what protects those who do what the page asks for, before it asks.
func warn(w io.Writer, p *load.Policy, findings []moistheat.Finding) {
	broken := slices.DeleteFunc(slices.Clone(findings), func(f moistheat.Finding) bool { return f.Outcome < moistheat.Broken })
	_, warnings := p.Reasons(broken)
	if len(warnings) == 0 {
		return
	}
	fmt.Fprintln(w)
	for _, warning := range warnings {
		line(w, "", "WARNING: "+string(warning.Hazard)+". "+warning.Sentence)
	}
	line(w, "", "The safety instructions of the sterilizer come first.")
}

// find prints which packs must be found and reports whether any must be taken back.
func find(w io.Writer, suspects []history.SuspectLoad) bool {
	fmt.Fprintln(w, "\nFIND THESE PACKS")
	take := 0
	for _, s := range suspects {
		if s.Action != history.Recall {
			continue
		}
		take++
		head := "recall"
		if s.Implants == moistheat.Yes {
			head = "IMPLANT"
		}
		line(w, head, fmt.Sprintf("load %s of sterilizer %s, %s",
			name(s.Number), name(s.Sterilizer), s.Started.Format("Mon 2 Jan 15:04")))
		lost := 0
		for _, p := range s.Packs {
			switch p.Where {
			case history.Used:
				line(w, "", fmt.Sprintf("%s was used on %s, patient %s",
					name(p.ID), p.Used.Format("Mon 2 Jan"), name(p.Patient)))
			case history.InStore:
				line(w, "", name(p.ID)+" is in store")
			default:
				lost++
			}
		}
		if lost > 0 {
			line(w, "", fmt.Sprintf("%d of %d packs: location not recorded", lost, len(s.Packs)))
		}
	}
	if take == 0 {
		line(w, "", "none")
	}
	for _, a := range []struct {
		action history.RecallAction
		text   string
	}{{history.Quarantine, "quarantine stored packs of loads "}, {history.Trace, "no action yet; locate packs of loads "}} {
		var numbers []string
		for _, s := range suspects {
			if s.Action == a.action {
				numbers = append(numbers, name(s.Number))
			}
		}
		if len(numbers) > 0 {
			line(w, "also", a.text+strings.Join(numbers, ", "))
		}
	}
	return take > 0
}

// loadsOf names one load or several.
func loadsOf(numbers []string) string {
	if len(numbers) == 1 {
		return "Load " + numbers[0]
	}
	return "Loads " + strings.Join(numbers, ", ")
}

// place names what a finding of a history points to.
func place(pointer string) string {
	kind, id, _ := strings.Cut(strings.TrimPrefix(pointer, "/"), "/")
	if kind == "" {
		return ""
	}
	return strings.TrimSuffix(kind, "s") + " " + name(strings.NewReplacer("~1", "/", "~0", "~").Replace(id)) + ": "
}

// name returns an id as it came in a file, in quotes where it could be taken for more than one.
func name(id string) string {
	if strings.ContainsAny(id, " ,;:") {
		return `"` + strings.ReplaceAll(id, `"`, "'") + `"`
	}
	return id
}

// line writes a margin note and a text in lines of at most 80 columns. What came in with a
// file can neither begin a line nor steer a terminal.
func line(w io.Writer, note, text string) {
	const margin, width = 11, 80
	note, text = moistheat.Visible(note), moistheat.Visible(text)
	out := fmt.Sprintf("  %-*s", margin-2, note)
	column := margin
	for i, word := range strings.Fields(text) {
		switch n := len([]rune(word)); {
		case i > 0 && column+1+n > width:
			out += "\n" + strings.Repeat(" ", margin) + word
			column = margin + n
		case i > 0:
			out += " " + word
			column += 1 + n
		default:
			out += word
			column += n
		}
	}
	fmt.Fprintln(w, strings.TrimRight(out, " "))
}

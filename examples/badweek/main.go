// Badweek replays a bad week of an invented podiatry clinic and prints, on one page,
// what its lead nurse needs to know: which packs to find, which sterilizer may be used, what to
// do next, and what is due.
//
//	go run ./examples/badweek -policy NAME [-at TIME] [-lang en|de|FILE] [-patients] [FILE...]
//
// Without a file it reads the week that comes with it. A file holds load records,
// events and stored packs, one a line (NDJSON), in any order. The exit code is 0 if
// nothing has to be recalled and every sterilizer may be used, 1 if not, and 2 if
// something could not be read. Keys of patients are shown with -patients alone.
package main

import (
	"bytes"
	_ "embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/examples/internal/page"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

//go:embed week.ndjson
var week []byte

// friday is the evening on which the page is printed.
const friday = "2026-05-15T18:00:00-07:00"

const usage = `Badweek prints a bad week of an invented podiatry clinic on one page.

  badweek -policy NAME [-at TIME] [-lang en|de|FILE] [-patients] [FILE...]

  -policy NAME  guideline or standard to assess against (local rules say which), one of
                %s
  -at TIME      date and time of the report (RFC 3339); otherwise %s
  -lang NAME    language of the page: en, de or the name of a file "moistheat.language/1"
  -patients     show the keys of the patients on whom packs were used

Without a file it reads the week that comes with it. Exit codes: 0 nothing has to be
recalled and every sterilizer may be used, 1 if not, 2 something could not be read.
`

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("badweek", flag.ContinueOnError)
	flags.SetOutput(io.Discard) // Parse returns what it would print
	name, when := flags.String("policy", "", ""), flags.String("at", friday, "")
	lang, patients := flags.String("lang", "en", ""), flags.Bool("patients", false, "")
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprintf(stdout, usage, strings.Join(load.Policies(), ", "), friday)
		return 0
	case err != nil:
		fmt.Fprintln(stderr, "badweek:", err)
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
	in, err := page.LanguageOf(*lang, german)
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
	p := sheet{Page: page.Page{W: stdout, In: in}, patients: *patients}
	if p.print(h, at) && code == 0 {
		code = 1
	}
	return code
}

// sheet is the page that is printed of a history.
type sheet struct {
	page.Page
	patients bool // the keys of patients are shown
}

//go:embed german.json
var german []byte // the library's German with the texts of the page

// print prints the page and reports whether an action is due at once.
func (p *sheet) print(h *history.History, at time.Time) (act bool) {
	fmt.Fprintln(p.W, p.Say("STERILIZERS ON {at:date}", "at", at.Format(time.RFC3339)))
	fmt.Fprint(p.W, h.Policy().In(p.In).Heading(""))

	findings := h.Findings(at)
	p.warn(h.Policy(), findings)

	suspects := h.Recall()
	for i := range suspects {
		suspects[i] = suspects[i].In(p.In)
	}
	unlisted := func(f moistheat.Finding) bool { return f.Effect.Recall && !amongLoads(f, suspects) }
	recalled := pick(findings, func(f moistheat.Finding) bool { return isOther(f) && unlisted(f) })
	act = p.find(h.Policy(), suspects, recalled)
	act = p.status(h) || act
	p.why(suspects)

	p.Heading("TESTS")
	for _, d := range h.Due(at) {
		p.line("", d.In(p.In).String())
	}

	p.Heading("OTHER FINDINGS")
	others := pick(findings, func(f moistheat.Finding) bool { return isOther(f) && !unlisted(f) })
	fmt.Fprint(p.W, h.Policy().In(p.In).Text(others))
	return act
}

func pick(findings []moistheat.Finding, want func(moistheat.Finding) bool) []moistheat.Finding {
	return slices.DeleteFunc(slices.Clone(findings), func(f moistheat.Finding) bool { return !want(f) })
}

// isOther reports whether a finding is broken and says what neither the loads to recall nor the
// status of a sterilizer say.
func isOther(f moistheat.Finding) bool {
	switch f.Rule {
	case "load.recall.unlabelled", "load.recall.prion":
	default:
		if strings.HasPrefix(f.Rule, "load.recall.") || f.Rule == "load.positive.open" {
			return false
		}
	}
	return f.Outcome == moistheat.Broken
}

// amongLoads reports whether a finding is about a load that is on the list to recall.
func amongLoads(f moistheat.Finding, suspects []history.SuspectLoad) bool {
	return slices.ContainsFunc(suspects, func(s history.SuspectLoad) bool {
		return s.Action == history.Recall && f.Pointer == "/loads/"+escape.Replace(s.Record)
	})
}

// The ID in a pointer, and back.
var escape, unescape = strings.NewReplacer("~", "~0", "/", "~1"), strings.NewReplacer("~1", "/", "~0", "~")

func (p *sheet) message(policy *load.Policy, f moistheat.Finding) string {
	rule, _ := policy.Rule(f.Rule)
	return p.In.Message(rule, f)
}

// status prints which sterilizers may be used, and reports whether any may not.
func (p *sheet) status(h *history.History) (act bool) {
	p.Heading("STERILIZER STATUS")
	for _, s := range h.Status() {
		if s.Service == moistheat.InService {
			p.line(page.Name(s.Sterilizer),
				p.Say("YES")+", "+p.Say("in use, after the tests below that are due before a load"))
			continue
		}
		act = true
		p.line(page.Name(s.Sterilizer), p.Say("NO"))
		for _, b := range s.In(p.In).Because {
			p.line("", b)
		}
		for _, c := range h.Procedures() {
			if c.Sterilizer == s.Sterilizer && c.State != history.Finished {
				c = c.In(p.In)
				p.line("", p.Say("What ends it: {ends}", "ends", c.Ends()))
			}
		}
	}
	return act
}

// place names what a finding of a history points to.
func (p *sheet) place(f moistheat.Finding) string {
	kind, id, _ := strings.Cut(strings.TrimPrefix(f.Pointer, "/"), "/")
	text, known := map[string]string{"loads": "Load {id}", "events": "Event {id}", "sterilizers": "Sterilizer {id}",
		"packs": "Pack {pack}"}[kind]
	if !known {
		return ""
	}
	id = page.Name(unescape.Replace(id))
	return p.Say(text, "id", id, "pack", id) + ": "
}

// warn says what protects those who do what the page asks for, before it asks.
func (p *sheet) warn(by *load.Policy, findings []moistheat.Finding) {
	broken := slices.DeleteFunc(slices.Clone(findings), func(f moistheat.Finding) bool { return f.Outcome < moistheat.Broken })
	warnings := by.In(p.In).Reasons(broken).Warnings
	if len(warnings) == 0 {
		return
	}
	fmt.Fprintln(p.W)
	for _, w := range warnings {
		p.Warning(strings.Repeat(" ", 12), w.Hazard, w.Sentence)
	}
	p.line("", p.Say("The safety instructions of the sterilizer come first."))
}

// find prints which packs must be found, by load and by what else was found, and reports whether
// any must be taken back.
func (p *sheet) find(policy *load.Policy, suspects []history.SuspectLoad, others []moistheat.Finding) bool {
	p.Heading("RECALL LIST")
	take := 0
	for _, s := range suspects {
		if s.Action != history.Recall {
			continue
		}
		take++
		head := p.Say("recall")
		if s.Implants == moistheat.Yes {
			head = p.Say("IMPLANT")
		}
		p.line(head, p.Say("load {load} of sterilizer {sterilizer}, {at:date}", "load", page.Name(s.Number),
			"sterilizer", page.Name(s.Sterilizer), "at", s.Started.Format(time.RFC3339)))
		var lost []string
		for _, pack := range s.Packs {
			switch {
			case pack.Where == history.InStore:
				p.line("", p.Say("{pack} is in store", "pack", page.Name(pack.ID)))
			case pack.Where != history.Used:
				lost = append(lost, page.Name(pack.ID))
			case p.patients:
				p.line("", p.Say("{pack} was used on {day:date}, patient {patient}", "pack", page.Name(pack.ID),
					"day", moistheat.DateOf(pack.Used).String(), "patient", page.Name(pack.Patient)))
			default:
				p.line("", p.Say("{pack} was used on {day:date}", "pack", page.Name(pack.ID),
					"day", moistheat.DateOf(pack.Used).String()))
			}
		}
		if len(lost) > 0 {
			p.line("", p.Say("location not recorded: {packs}", "packs", strings.Join(lost, ", ")))
		}
	}
	for _, f := range others {
		take++
		p.line(p.Say("recall"), p.place(f)+p.message(policy, f))
	}
	if take == 0 {
		p.line("", p.Say("nothing to list"))
	}
	for _, a := range []struct {
		action history.RecallAction
		text   string
	}{{history.Quarantine, "quarantine stored packs of loads {loads}"},
		{history.Trace, "no action yet; locate packs of loads {loads}"}} {
		var numbers []string
		for _, s := range suspects {
			if s.Action == a.action {
				numbers = append(numbers, page.Name(s.Number))
			}
		}
		if len(numbers) > 0 {
			p.line(p.Say("also"), p.Say(a.text, "loads", strings.Join(numbers, ", ")))
		}
	}
	return take > 0
}

// why prints each reason with the loads that it is one for.
func (p *sheet) why(suspects []history.SuspectLoad) {
	p.Heading("WHY")
	var reasons []string
	loads := map[string][]string{} // of each reason
	for _, s := range suspects {
		for _, b := range s.Because {
			if loads[b] == nil {
				reasons = append(reasons, b)
			}
			loads[b] = append(loads[b], page.Name(s.Number))
		}
	}
	for i, b := range reasons {
		text := "Loads {loads}: {why}"
		if len(loads[b]) == 1 {
			text = "Load {loads}: {why}"
		}
		p.line(fmt.Sprint(i+1), p.Say(text, "loads", strings.Join(loads[b], ", "), "why", b))
	}
	if len(reasons) == 0 {
		p.line("", p.Say("nothing failed"))
	}
}

// line writes a margin note and a text beside it.
func (p *sheet) line(note, text string) {
	const margin = 12
	p.Line(fmt.Sprintf("  %-*s ", margin-3, moistheat.Visible(note)), strings.Repeat(" ", margin), text)
}

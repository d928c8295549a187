// Badweek replays a bad week of an invented podiatry clinic and prints, on one page,
// what its lead nurse needs to know: which sterilizer may be used, what to do next,
// which packs to find, and what is due.
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
	lang := flags.String("lang", "en", "language of the page: en, de or the name of a file \"moistheat.language/1\"")
	patients := flags.Bool("patients", false, "show the keys of the patients on whom packs were used")
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
	in, err := languageOf(*lang)
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
	p := page{w: stdout, in: in, patients: *patients}
	if p.print(h, at) && code == 0 {
		code = 1
	}
	return code
}

// page is what is printed of a history.
type page struct {
	w        io.Writer
	in       moistheat.Language
	patients bool // the keys of patients are shown
}

//go:embed german.json
var german []byte // the library's German with the texts of the page

// languageOf returns the language of a name, or that of a file.
func languageOf(name string) (moistheat.Language, error) {
	switch name {
	case "en":
		return moistheat.Language{}, nil
	case "de":
		return moistheat.ParseLanguage(german)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return moistheat.Language{}, fmt.Errorf("-lang: want en, de or the name of a file: %w", err)
	}
	return moistheat.ParseLanguage(data)
}

// say returns a text of the page in its language. The values of its parameters follow their
// names.
func (p *page) say(text string, pairs ...string) string {
	var params []moistheat.Param
	for i := 0; i+1 < len(pairs); i += 2 {
		params = append(params, moistheat.Param{Name: pairs[i], Value: pairs[i+1]})
	}
	return p.in.Text(text, params...)
}

func (p *page) heading(text string) { fmt.Fprintf(p.w, "\n%s\n", p.say(text)) }

// print prints the page and reports whether an action is due at once.
func (p *page) print(h *history.History, at time.Time) (act bool) {
	fmt.Fprintln(p.w, p.say("STERILIZERS ON {at:date}", "at", at.Format(time.RFC3339)))
	fmt.Fprintln(p.w, p.say("judged by {policy}", "policy", p.in.Text(h.Policy().Title())))

	findings := h.Findings(at)
	p.warn(h.Policy(), findings)

	p.heading("STERILIZER STATUS")
	for _, s := range h.Status() {
		if s.Service == moistheat.InService {
			p.line(name(s.Sterilizer),
				p.say("YES")+", "+p.say("in use, after the tests below that are due before a load"))
			continue
		}
		act = true
		p.line(name(s.Sterilizer), p.say("NO"))
		for _, b := range s.In(p.in).Because {
			p.line("", b)
		}
		for _, c := range h.Procedures() {
			if c.Sterilizer == s.Sterilizer && c.State != history.Finished {
				c = c.In(p.in)
				p.line("", p.say("What ends it: {ends}", "ends", c.Ends()))
			}
		}
	}

	suspects := h.Recall()
	for i := range suspects {
		suspects[i] = suspects[i].In(p.in)
	}
	act = p.find(suspects) || act
	p.why(suspects)

	p.heading("TESTS")
	for _, d := range h.Due(at) {
		p.line("", d.In(p.in).String())
	}

	p.heading("OTHER FINDINGS")
	told := map[string]bool{}
	for _, f := range findings {
		if f.Outcome != moistheat.Broken || strings.HasPrefix(f.Rule, "load.recall.") && f.Rule != "load.recall.unlabelled" && f.Rule != "load.recall.prion" || strings.HasPrefix(f.Rule, "load.positive.open") {
			continue
		}
		rule, _ := h.Policy().Rule(f.Rule)
		if text := p.in.Message(rule, f); !told[text] {
			told[text] = true
			p.line(p.in.Word("moistheat.Severity", f.Severity.String()), p.place(f)+text)
		}
	}
	fmt.Fprintln(p.w)
	p.line("", p.in.Text(moistheat.Disclaimer))
	return act
}

// place names what a finding of a history points to.
func (p *page) place(f moistheat.Finding) string {
	kind, id, _ := strings.Cut(strings.TrimPrefix(f.Pointer, "/"), "/")
	text, known := map[string]string{"loads": "Load {id}", "events": "Event {id}", "sterilizers": "Sterilizer {id}",
		"packs": "Pack {pack}"}[kind]
	if !known {
		return ""
	}
	id = name(strings.NewReplacer("~1", "/", "~0", "~").Replace(id))
	return p.say(text, "id", id, "pack", id) + ": "
}

// warn says what protects those who do what the page asks for, before it asks.
func (p *page) warn(by *load.Policy, findings []moistheat.Finding) {
	broken := slices.DeleteFunc(slices.Clone(findings), func(f moistheat.Finding) bool { return f.Outcome < moistheat.Broken })
	_, warnings := by.In(p.in).Reasons(broken)
	if len(warnings) == 0 {
		return
	}
	fmt.Fprintln(p.w)
	for _, w := range warnings {
		p.line("", p.say("WARNING: {hazard:moistheat.Hazard}. {sentence}", "hazard", string(w.Hazard),
			"sentence", w.Sentence))
	}
	p.line("", p.say("The safety instructions of the sterilizer come first."))
}

// find prints which packs must be found and reports whether any must be taken back.
func (p *page) find(suspects []history.SuspectLoad) bool {
	p.heading("RECALL LIST")
	take := 0
	for _, s := range suspects {
		if s.Action != history.Recall {
			continue
		}
		take++
		head := p.say("recall")
		if s.Implants == moistheat.Yes {
			head = p.say("IMPLANT")
		}
		p.line(head, p.say("load {load} of sterilizer {sterilizer}, {at:date}", "load", name(s.Number),
			"sterilizer", name(s.Sterilizer), "at", s.Started.Format(time.RFC3339)))
		var lost []string
		for _, pack := range s.Packs {
			switch {
			case pack.Where == history.InStore:
				p.line("", p.say("{pack} is in store", "pack", name(pack.ID)))
			case pack.Where != history.Used:
				lost = append(lost, name(pack.ID))
			case p.patients:
				p.line("", p.say("{pack} was used on {day:date}, patient {patient}", "pack", name(pack.ID),
					"day", moistheat.DateOf(pack.Used).String(), "patient", name(pack.Patient)))
			default:
				p.line("", p.say("{pack} was used on {day:date}", "pack", name(pack.ID),
					"day", moistheat.DateOf(pack.Used).String()))
			}
		}
		if len(lost) > 0 {
			p.line("", p.say("location not recorded: {packs}", "packs", strings.Join(lost, ", ")))
		}
	}
	if take == 0 {
		p.line("", p.say("nothing to list"))
	}
	for _, a := range []struct {
		action history.RecallAction
		text   string
	}{{history.Quarantine, "quarantine stored packs of loads {loads}"},
		{history.Trace, "no action yet; locate packs of loads {loads}"}} {
		var numbers []string
		for _, s := range suspects {
			if s.Action == a.action {
				numbers = append(numbers, name(s.Number))
			}
		}
		if len(numbers) > 0 {
			p.line(p.say("also"), p.say(a.text, "loads", strings.Join(numbers, ", ")))
		}
	}
	return take > 0
}

// why prints each reason with the loads that it is one for.
func (p *page) why(suspects []history.SuspectLoad) {
	p.heading("WHY")
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
		text := "Loads {loads}: {why}"
		if len(loads[b]) == 1 {
			text = "Load {loads}: {why}"
		}
		p.line(fmt.Sprint(i+1), p.say(text, "loads", strings.Join(loads[b], ", "), "why", b))
	}
	if len(reasons) == 0 {
		p.line("", p.say("nothing failed"))
	}
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
func (p *page) line(note, text string) {
	const margin, width = 12, 80
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
	fmt.Fprintln(p.w, strings.TrimRight(out, " "))
}

// Year prints what an invented podiatry clinic kept, as a page: a good year in which all was done
// that is asked, or a bad quarter.
//
//	go run ./examples/year [-policy NAME] [-lang en|de|FILE] good|bad
//
// Both are made by the program, from the chairside to the inspection: documents in a log, a
// history from it, and at the end a proof for one patient, verified. The exit code is 0 if
// nothing is to be done, 1 if something is, and 2 if the log could not be read.
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
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/proof"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	act, err := tellAll(args, stdout, stderr)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return 0
	case err != nil:
		fmt.Fprintln(stderr, "year:", err)
		return 2
	case act:
		return 1
	}
	return 0
}

func tellAll(args []string, stdout, stderr io.Writer) (act bool, err error) {
	flags := flag.NewFlagSet("year", flag.ContinueOnError)
	flags.SetOutput(stderr)
	policy := flags.String("policy", "en-13060", "whose documents apply: "+strings.Join(load.Policies(), ", "))
	lang := flags.String("lang", "en", "language of the page: en, de or the name of a file \"moistheat.language/1\"")
	if err := flags.Parse(args); err != nil {
		return false, err
	}
	stories := map[string]func() (*logFile, error){"good": goodYear, "bad": badQuarter}
	tell := stories[flags.Arg(0)]
	if tell == nil {
		return false, errors.New("name the story: good or bad")
	}
	p := &page{w: stdout}
	if p.in, err = languageOf(*lang); err != nil {
		return false, err
	}
	if p.policy, err = load.PolicyFor(*policy); err != nil {
		return false, err
	}
	file, err := tell()
	if err != nil {
		return false, err
	}
	if err := p.read(file); err != nil {
		return false, err
	}
	return p.print(file)
}

// page is what is printed of a log.
type page struct {
	w       io.Writer
	in      moistheat.Language
	policy  *load.Policy
	history *history.History
	loads   []*load.Report
	used    map[time.Month]int
	patient string // the last one on whom a pack was used
	at      time.Time
}

// read takes in a log. A load is judged by what was known when it was entered.
func (p *page) read(file *logFile) error {
	p.history, p.used = history.New(p.policy), map[time.Month]int{}
	var log proof.Log
	for line, err := range log.Read(bytes.NewReader(file.data)) {
		if err != nil {
			return err
		}
		p.at = line.Kept.In(zone)
		if c, err := load.DecodeCatalogue([]byte(line.Document)); err == nil {
			facts, err := c.Facts()
			if err != nil {
				return err
			}
			p.history.UseCatalogue(facts)
			continue
		}
		for e, err := range history.Entries(strings.NewReader(line.Document)) {
			if err != nil {
				return err
			}
			if e.Record != nil {
				p.loads = append(p.loads, p.history.Check(e.Record))
			}
			if s := e.Stored; s != nil && s.Use != nil {
				p.patient = s.Use.Patient
				p.used[s.Use.Time.Month()]++
			}
			p.history.AddEntry(e)
		}
	}
	return nil
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
func (p *page) say(text string, pairs ...any) string {
	var params []moistheat.Param
	for i := 0; i+1 < len(pairs); i += 2 {
		params = append(params, moistheat.Param{Name: fmt.Sprint(pairs[i]), Value: fmt.Sprint(pairs[i+1])})
	}
	return p.in.Text(text, params...)
}

func (p *page) heading(text string) { fmt.Fprintf(p.w, "\n%s\n", p.say(text)) }

// print prints the page and reports whether something is to be done.
func (p *page) print(file *logFile) (act bool, err error) {
	fmt.Fprintln(p.w, p.say("HERON STREET FOOT CLINIC, UP TO {day:date}", "day", moistheat.DateOf(p.at)))
	fmt.Fprintln(p.w, p.say("judged by {policy}", "policy", p.in.Text(p.policy.Title())))
	p.months()
	act = p.refused()

	p.heading("REQUIREMENTS NOT MET")
	act = p.findings() || act

	p.heading("OUT OF SERVICE")
	outages := p.history.OutOfService()
	for _, o := range outages {
		fmt.Fprintln(p.w, "-", o.In(p.in))
		act = act || o.To.IsZero()
	}
	p.none(len(outages))
	p.heading("PACKS TO BE FOUND")
	act = p.suspects() || act
	day := moistheat.DateOf(p.at)
	p.heading("OPENING OF THE LAST DAY")
	p.tasks(clock(day, 6, 30), history.BeforeFirstLoad)
	p.heading("CLOSING OF THE LAST DAY")
	p.tasks(clock(day, 18, 0), history.Closing)
	p.heading("TESTS")
	for _, d := range p.history.Due(p.at) {
		fmt.Fprintln(p.w, "-", d.In(p.in))
	}
	return act, p.inspection(file)
}

// tasks prints what the order of the day has in a part of it.
func (p *page) tasks(at time.Time, part history.Part) {
	of := slices.DeleteFunc(p.history.Agenda(at), func(t history.Task) bool { return t.Part != part })
	fmt.Fprint(p.w, of.In(p.in).Text())
	p.none(len(of))
}

func (p *page) none(n int) {
	if n == 0 {
		fmt.Fprintln(p.w, p.say("nothing to list"))
	}
}

// months prints a line a month.
func (p *page) months() {
	p.heading("MONTH        LOADS   RELEASED    NOT RELEASED      PACKS USED")
	for m := time.January; m <= time.December; m++ {
		n, released := 0, 0
		for _, r := range p.loads {
			if strings.HasPrefix(r.Record, fmt.Sprintf("2026-%02d-", m)) {
				n++
				if r.Verdict.Load == moistheat.Release {
					released++
				}
			}
		}
		if n > 0 {
			month := fmt.Sprintf("2026-%02d", m)
			fmt.Fprintf(p.w, "%-9s %8d %10d %15d %15d\n", month, n, released, n-released, p.used[m])
		}
	}
}

// refused prints the loads and packs that may not be released, and why: those together that
// have one reason.
func (p *page) refused() bool {
	p.heading("LOADS AND PACKS NOT TO BE RELEASED")
	loads := map[string][]string{}
	var order []string
	for _, r := range p.loads {
		if r.Released() {
			continue
		}
		own := r.In(p.in)
		var why []string
		for _, at := range append(slices.Clone(own.Decided.Load), decidedPacks(own)...) {
			if text := own.Message(own.Findings[at]); !slices.Contains(why, text) {
				why = append(why, text)
			}
		}
		verdict := r.Verdict.Load
		if verdict == moistheat.Release { // of the load; what is printed is about packs
			verdict = worst(r)
		}
		text := p.in.Word("moistheat.Disposition", verdict.String()) + ": " + strings.Join(why, " ")
		if loads[text] == nil {
			order = append(order, text)
		}
		loads[text] = append(loads[text], r.Record)
	}
	for _, text := range order {
		fmt.Fprintln(p.w, "- "+some(loads[text])+": "+text)
	}
	p.none(len(order))
	return len(order) > 0
}

// worst returns the worst that may become of a pack.
func worst(r *load.Report) (w moistheat.Disposition) {
	for _, v := range r.Packs {
		w = max(w, v.Disposition)
	}
	return w
}

// some names the first and the last of several loads.
func some(ids []string) string {
	if n := len(ids); n > 2 {
		return fmt.Sprintf("%s … %s (%d)", ids[0], ids[n-1], n)
	}
	return strings.Join(ids, ", ")
}

// findings prints each rule that the history breaks, what protects from its hazards before what
// is to be done, and how often it is broken.
func (p *page) findings() bool {
	broken := slices.DeleteFunc(p.history.Findings(p.at), func(f moistheat.Finding) bool {
		return f.Outcome != moistheat.Broken
	})
	count := map[string]int{}
	for _, f := range broken {
		count[f.Rule]++
	}
	rules, warnings := p.policy.In(p.in).Reasons(broken)
	for _, w := range warnings {
		fmt.Fprintln(p.w, p.say("WARNING: {hazard:moistheat.Hazard}. {sentence}", "hazard", w.Hazard,
			"sentence", w.Sentence))
	}
	for _, r := range rules {
		fmt.Fprintln(p.w, p.say("- not kept {count} ×: {rule}", "count", count[r.ID], "rule", r.Title))
		fmt.Fprintf(p.w, "  %s\n", r.Remedy)
	}
	p.none(len(rules))
	return len(rules) > 0
}

// decidedPacks returns the places of the findings that decided about single packs.
func decidedPacks(r *load.Report) (at []int) {
	for _, v := range r.Packs {
		if v.Disposition != moistheat.Release {
			at = append(at, v.DecidedBy...)
		}
	}
	return at
}

// suspects prints how many packs are to be found, and reports whether any is.
func (p *page) suspects() bool {
	loads, packs, used := 0, 0, 0
	for _, s := range p.history.Recall() {
		if s.Action == history.Recall {
			loads++
			for _, pack := range s.Packs {
				packs++
				if pack.Where == history.Used {
					used++
				}
			}
		}
	}
	if packs == 0 {
		p.none(0)
		return false
	}
	fmt.Fprintln(p.w, p.say("{packs} packs of {loads} loads: {used} used, {other} in store or not on record",
		"packs", packs, "loads", loads, "used", used, "other", packs-used))
	return true
}

// inspection proves what was used on one patient.
func (p *page) inspection(file *logFile) error {
	p.heading("INSPECTION")
	if p.patient == "" {
		p.none(0)
		return nil
	}
	shown, err := proof.Make(bytes.NewReader(file.data), p.policy, proof.Subject{Patient: p.patient}, p.at)
	if err != nil {
		return err
	}
	if err := shown.Verify(nil); err != nil {
		return err
	}
	fmt.Fprintln(p.w, p.say("The proof of what was used on one patient: lines {lines}, loads {loads}, no key. "+
		"Computed anew: all of it holds.", "lines", len(shown.Lines), "loads", len(shown.Loads)))
	return nil
}

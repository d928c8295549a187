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
	"example.com/moistheat/examples/internal/page"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/load/proof"
)

const usage = `Year prints what an invented podiatry clinic kept, as a page.

  year [-policy NAME] [-lang en|de|FILE] good|bad

  good          a good year
  bad           a bad quarter
  -policy NAME  guideline or standard to assess against, en-13060 if none is named; one of
                %s
  -lang NAME    language of the page: en, de or the name of a file "moistheat.language/1"

Exit codes: 0 nothing is to be done, 1 something is, 2 the log could not be read.
`

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	act, err := tellAll(args, stdout)
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

func tellAll(args []string, stdout io.Writer) (act bool, err error) {
	flags := flag.NewFlagSet("year", flag.ContinueOnError)
	flags.SetOutput(io.Discard) // Parse returns what it would print
	policy, lang := flags.String("policy", "en-13060", ""), flags.String("lang", "en", "")
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			fmt.Fprintf(stdout, usage, strings.Join(load.Policies(), ", "))
		}
		return false, err
	}
	stories := map[string]func() (*logFile, error){"good": goodYear, "bad": badQuarter}
	tell := stories[flags.Arg(0)]
	if tell == nil {
		return false, errors.New("name the story: good or bad")
	}
	p := &sheet{Page: page.Page{W: stdout}}
	if p.In, err = page.LanguageOf(*lang, german); err != nil {
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

// sheet is the page that is printed of a log.
type sheet struct {
	page.Page
	policy  *load.Policy
	history *history.History
	loads   []*load.Report
	used    map[time.Month]int
	patient string // the last one on whom a pack was used
	at      time.Time
}

// read takes in a log. A load is judged by what was known when it was entered.
func (p *sheet) read(file *logFile) error {
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

// print prints the page and reports whether something is to be done.
func (p *sheet) print(file *logFile) (act bool, err error) {
	p.Line("", "  ", p.Say("HERON STREET FOOT CLINIC, UP TO {day:date}", "day", moistheat.DateOf(p.at)))
	fmt.Fprint(p.W, p.policy.In(p.In).Heading(""))
	broken := slices.DeleteFunc(p.history.Findings(p.at), func(f moistheat.Finding) bool {
		return f.Outcome != moistheat.Broken
	})
	reasons := p.policy.In(p.In).Reasons(broken)
	if len(reasons.Warnings) > 0 {
		fmt.Fprintln(p.W)
	}
	for _, w := range reasons.Warnings {
		p.Warning("", w.Hazard, w.Sentence)
	}
	p.Heading("PACKS TO BE FOUND")
	act = p.suspects()
	act = p.refused() || act

	p.Heading("REQUIREMENTS NOT MET")
	act = p.findings(broken, reasons.Rules) || act

	p.Heading("OUT OF SERVICE")
	outages := p.history.OutOfService()
	for _, o := range outages {
		p.Line("- ", "  ", o.In(p.In).String())
		act = act || o.To.IsZero()
	}
	p.none(len(outages))
	p.months()
	day := moistheat.DateOf(p.at)
	p.Heading("OPENING OF THE LAST DAY")
	p.tasks(clock(day, 6, 30), history.BeforeFirstLoad)
	p.Heading("CLOSING OF THE LAST DAY")
	p.tasks(clock(day, 18, 0), history.Closing)
	p.Heading("TESTS")
	for _, d := range p.history.Due(p.at) {
		p.Line("- ", "  ", d.In(p.In).String())
	}
	if err := p.inspection(file); err != nil {
		return act, err
	}
	fmt.Fprint(p.W, "\n", p.policy.In(p.In).Closing(reasons.Warnings...))
	return act, nil
}

// tasks prints what the order of the day has in a part of it.
func (p *sheet) tasks(at time.Time, part history.Part) {
	of := slices.DeleteFunc(p.history.Agenda(at), func(t history.Task) bool { return t.Part != part })
	fmt.Fprint(p.W, of.In(p.In).Text())
	p.none(len(of))
}

func (p *sheet) none(n int) {
	if n == 0 {
		p.Line("", "  ", p.Say("nothing to list"))
	}
}

// months prints a line a month.
func (p *sheet) months() {
	fmt.Fprintf(p.W, "\n%s\n", p.Say("MONTH        LOADS   RELEASED    NOT RELEASED      PACKS USED")) // above columns
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
			fmt.Fprintf(p.W, "%-9s %8d %10d %15d %15d\n", month, n, released, n-released, p.used[m])
		}
	}
}

// refused prints the loads and packs that may not be released, and why: those together that
// have one reason, the rejected ones first.
func (p *sheet) refused() bool {
	p.Heading("LOADS AND PACKS NOT TO BE RELEASED")
	loads := map[string][]string{}
	var order []string
	rejected := map[string]bool{}
	for _, r := range p.loads {
		if r.Released() {
			continue
		}
		own := r.In(p.In)
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
		text := p.In.Word("moistheat.Disposition", verdict.String()) + ": " + strings.Join(why, " ")
		if loads[text] == nil {
			order = append(order, text)
			rejected[text] = verdict == moistheat.Reject
		}
		loads[text] = append(loads[text], r.Record)
	}
	slices.SortStableFunc(order, func(a, b string) int {
		switch {
		case rejected[a] == rejected[b]:
			return 0
		case rejected[a]:
			return -1
		}
		return 1
	})
	for _, text := range order {
		p.Line("- ", "  ", some(loads[text])+": "+text)
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

// findings prints each rule that the history breaks, how often, what is to be done and on what it rests: what recalls packs first, then what keeps packs or the sterilizer back.
func (p *sheet) findings(broken []moistheat.Finding, rules []load.NamedRule) bool {
	count, effect := map[string]int{}, map[string]moistheat.Effect{}
	for _, f := range broken {
		count[f.Rule]++
		effect[f.Rule] = effect[f.Rule].Worst(f.Effect)
	}
	rank := func(r load.NamedRule) int {
		switch e := effect[r.ID]; {
		case e.Recall:
			return 0
		case e != moistheat.Effect{}:
			return 1
		}
		return 2
	}
	slices.SortStableFunc(rules, func(a, b load.NamedRule) int { return rank(a) - rank(b) })
	for _, r := range rules {
		p.Line("- ", "  ", p.Say("not kept {count} ×: {rule}", "count", count[r.ID], "rule", r.Title))
		p.Rule("    ", r)
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
func (p *sheet) suspects() bool {
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
	p.Line("", "  ", p.Say("{packs} packs of {loads} loads: {used} used, {other} in store or not on record",
		"packs", packs, "loads", loads, "used", used, "other", packs-used))
	return true
}

// inspection proves what was used on one patient.
func (p *sheet) inspection(file *logFile) error {
	p.Heading("INSPECTION")
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
	p.Line("", "  ", p.Say("The proof of what was used on one patient: lines {lines}, loads {loads}, no key. "+
		"Computed anew: all of it holds.", "lines", len(shown.Lines), "loads", len(shown.Loads)))
	return nil
}

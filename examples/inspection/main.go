// Inspection keeps the documents of a clinic in a log that shows changes, and proves to an inspector
// what became of a load, an item or what was used on a patient.
//
//	go run ./examples/inspection -demo
//	go run ./examples/inspection -keep LOG [-at INSTANT] FILE...
//	go run ./examples/inspection -policy NAME -load|-item|-patient ID [-from DAY] [-until DAY]
//	    [-at INSTANT] [-json] [-lang de] LOG
//	go run ./examples/inspection -verify PROOF
//
// The first shows the demonstration: a clinic kept its catalogue, a load and the use of a pack, and
// proves what was used on that patient. The second adds documents to a log, the third proves
// something from it, as a page or, with -json, as a file that the fourth verifies anywhere,
// without the log. The exit code is 0, 1 if something does not hold, 2 if something could not be read.
package main

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/proof"
)

//go:embed demo.log
var demo []byte

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

func run(args []string, stdout, stderr io.Writer) int {
	code, err := inspect(args, stdout)
	if err != nil {
		fmt.Fprintln(stderr, "inspection:", err)
	}
	return code
}

func inspect(args []string, stdout io.Writer) (int, error) {
	flags := flag.NewFlagSet("inspection", flag.ContinueOnError)
	flags.SetOutput(stdout)
	show := flags.Bool("demo", false, "prove what the demonstration used on a patient")
	keep := flags.String("keep", "", "the log to which the files are added")
	verify := flags.Bool("verify", false, "verify the proof in the file")
	policy := flags.String("policy", "", "whose documents apply: "+strings.Join(load.Policies(), ", "))
	var s proof.Subject
	flags.StringVar(&s.Record, "load", "", "id of the record of a load")
	flags.StringVar(&s.Item, "item", "", "id of an item")
	flags.StringVar(&s.Patient, "patient", "", "key of a patient; it is not shown")
	flags.TextVar(&s.From, "from", moistheat.Date{}, "first day of the loads")
	flags.TextVar(&s.Until, "until", moistheat.Date{}, "first day that is too late")
	at := time.Now()
	flags.Func("at", "when the files are kept, or as of when something is proved, if not now: 2026-03-10T12:00:00Z",
		func(text string) (err error) { at, err = time.Parse(time.RFC3339, text); return err })
	asJSON := flags.Bool("json", false, "print the proof itself, for -verify")
	lang := flags.String("lang", "en", "language of the page")
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		return 0, nil
	} else if err != nil {
		return 2, err
	}
	file := io.ReadSeeker(bytes.NewReader(demo))
	switch {
	case *show:
		*policy, s = "en-13060", proof.Subject{Patient: "HS-2207"}
	case flags.NArg() == 0:
		return 2, errors.New("name a file; -help says which")
	case *keep != "":
		return add(*keep, at, flags.Args())
	case *verify:
		return check(stdout, flags.Arg(0))
	default:
		f, err := os.Open(flags.Arg(0))
		if err != nil {
			return 2, err
		}
		defer f.Close()
		file = f
	}
	in, err := moistheat.LanguageFor(*lang)
	if err != nil {
		return 2, err
	}
	by, err := load.PolicyFor(*policy)
	if err != nil {
		return 2, err
	}
	p, err := proof.Make(file, by, s, at)
	if err != nil {
		return 2, err
	}
	if *asJSON {
		return 0, json.NewEncoder(stdout).Encode(p)
	}
	_, err = io.WriteString(stdout, p.In(in).Text())
	return 0, err
}

// add keeps files in a log, which is made if it is not there.
func add(name string, at time.Time, files []string) (int, error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o600)
	if err != nil {
		return 2, err
	}
	defer f.Close()
	var log proof.Log
	for _, err := range log.Read(f) { // Append goes on behind what is wrong; this program does not
		if err != nil {
			return 2, fmt.Errorf("nothing is added to a log with which something is wrong: %w", err)
		}
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err == nil {
			err = log.Append(f, at, data)
		}
		if err != nil {
			return 2, fmt.Errorf("%s: %w", file, err)
		}
	}
	return 0, f.Close()
}

// check verifies a proof.
func check(w io.Writer, name string) (int, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return 2, err
	}
	p, err := proof.Decode(data)
	if err != nil {
		return 2, err
	}
	if err := p.Verify(nil); err != nil {
		return 1, err
	}
	hidden := 0
	for _, l := range p.Lines {
		if l.Hidden {
			hidden++
		}
	}
	fmt.Fprintf(w, "All of it holds: lines %d, reports computed anew %d, gaps %d.\n",
		len(p.Lines), len(p.Loads), len(p.Gaps))
	if hidden > 0 {
		fmt.Fprintf(w, "Lines in which numbers stand for keys of patients: %d. "+
			"That they say what was kept, only the log shows.\n", hidden)
	}
	return 0, nil
}

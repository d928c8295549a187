// Checkload checks load records and prints what may be released, and why.
//
//	go run ./examples/checkload -demo
//	go run ./examples/checkload -policy NAME FILE...
//
// The first checks six loads of one day in an invented podiatry and minor-surgery clinic.
// -help says the rest: other questions than release, and what the exit codes mean.
//
// A file holds one document, or one a line (NDJSON); it is read as a stream, so a line is
// judged before the next one has come, and memory does not grow with the file. A document
// that cannot be read is reported with its file and line and ends nothing.
package main

import (
	"context"
	"embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/words"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
)

//go:embed demo/*.json
var demo embed.FS

const demoPolicy = "us-cdc-2003"

// Exit codes.
const (
	good        = 0
	open        = 1   // something is quarantined, rejected or open
	unreadable  = 2   // something could not be read, or the call makes no sense
	interrupted = 130 // as a shell calls a program that was interrupted
)

const usage = `Checkload checks load records and prints what may be released, and why.

  checkload -demo
  checkload -policy NAME [-catalogue FILE] [-known FILE] [-json [-all]] FILE...
  checkload -policy NAME -history INSTANT [-catalogue FILE] [-json] FILE...
  checkload -policy NAME -agenda INSTANT [-catalogue FILE] [-json] FILE...
  checkload -policy NAME -open PACK@INSTANT [-catalogue FILE] [-json] FILE...
  checkload -policy NAME -stored DAY [-json] FILE...
  checkload -policy NAME -plan [-catalogue FILE] [-json] FILE...
  checkload -propose DAY [-catalogue FILE] FILE...
  checkload -validate FILE...
  checkload -rules [-policy NAME] [-json]

A file holds one document, or one a line; - is standard input. Flags may stand anywhere.

  -demo             check six loads of an invented clinic, by us-cdc-2003 if no policy is named
  -policy NAME      whose documents apply: %s
  -policy-file FILE a facility's own policy, instead
  -catalogue FILE   what the facility says once, a document "moistheat.catalogue/1": records
                    may refer to it, and rest on the practices that the policy takes
  -known FILE       what is known of the sterilizer, a document "moistheat.known/1"
  -history INSTANT  judge records, tests and stored packs as one history at an instant,
                    as in 2026-03-15T12:00:00+01:00
  -agenda INSTANT   print the order of the day at an instant, by the same files
  -open PACK@INSTANT
                    say whether a pack may be opened then, by the records, tests and stored
                    packs, as in 4-1@2026-03-02T16:00:00+01:00
  -stored DAY       judge stored packs on a day, as in 2026-03-20
  -propose DAY      print what records agree on as a catalogue whose entries are in force from
                    a day, to be read and signed; on standard error which habits were kept,
                    and which packs hold something else than their set. With -catalogue only
                    what that does not have, and what records state otherwise than it does
  -plan             ask what can be asked before a cycle is run
  -rules            list the rules, as a policy has them if one is named
  -validate         list everything that is wrong with the form of each document
  -lang NAME        print in a language: en or de, or that of a file "moistheat.language/1"
  -width N          lines of text of at most N columns, from %d on; otherwise those of the
                    terminal or of COLUMNS, and 80 in a file
  -json             print one line of JSON a document
  -all              with -json: list also what is met, and what does not apply
  -version          print the version
  -help             print this

Exit codes: 0 everything may be released (-demo: always), 1 something is quarantined,
rejected or open, a sterilizer is out of service (-agenda), or its form is wrong, 2 something could not be read or the call makes no
sense, 130 interrupted.

On a terminal verdicts and warnings are in colour, unless NO_COLOR is set.
`

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// program is how the program was called, and the exit code so far.
type program struct {
	policy     *load.Policy
	language   moistheat.Language
	known      load.Known
	facts      *load.Facts // nil: no catalogue
	json, all  bool
	only       string // format of what is asked about; "": any
	mayBeEmpty bool   // a history in which nothing has happened yet is one
	ctx        context.Context
	stdin      io.Reader
	stdout     io.Writer
	stderr     io.Writer
	code       int
	wroteError error // of stdout, which ends the run
	colour     bool
	width      int    // of lines; 0: none was asked for, and it is no terminal
	name       string // of the file at hand
	spans      bool   // which is one document on many lines
}

// options are the flags.
type options struct {
	show, plan, form, rules, version bool
	name, file, known, until, day    string
	agenda                           string
	catalogue, propose, open         string
	lang                             string
	width                            string
}

func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	p := &program{ctx: ctx, stdin: stdin, stdout: stdout, stderr: stderr, colour: coloured(stdout),
		width: widthOf(stdout)}
	flags, o := flag.NewFlagSet("checkload", flag.ContinueOnError), options{}
	flags.SetOutput(io.Discard) // Parse returns what it would print
	for name, to := range map[string]*bool{"demo": &o.show, "plan": &o.plan, "validate": &o.form, "rules": &o.rules,
		"version": &o.version, "json": &p.json, "all": &p.all} {
		flags.BoolVar(to, name, false, "")
	}
	for name, to := range map[string]*string{"policy": &o.name, "policy-file": &o.file, "known": &o.known,
		"catalogue": &o.catalogue, "propose": &o.propose, "history": &o.until, "agenda": &o.agenda, "stored": &o.day,
		"open": &o.open} {
		flags.StringVar(to, name, "", "")
	}
	flags.StringVar(&o.lang, "lang", "en", "")
	flags.StringVar(&o.width, "width", "", "")
	files, err := parse(flags, args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprintf(stdout, usage, wrap(load.Policies(), 20, 80), narrowest)
		return good
	case err != nil:
		return p.refuse(nearestFlag(flags, err))
	case o.version:
		fmt.Fprintln(stdout, "checkload", moistheat.Version)
		return good
	}
	if err := o.conflict(p, files); err != nil {
		return p.refuse(err)
	}
	if p.language, err = p.languageOf(o.lang); err != nil {
		return p.refuse(err)
	}
	if err := p.wide(o.width); err != nil {
		return p.refuse(err)
	}
	if o.form {
		return p.each(files, anything(p.validate))
	}
	if o.show && o.name == "" && o.file == "" {
		o.name = demoPolicy
	}
	if o.propose != "" {
		return p.propose(o.propose, o.catalogue, files)
	}
	if !o.rules || o.name != "" || o.file != "" {
		if p.policy, err = policyOf(o.name, o.file); err != nil {
			return p.refuse(err)
		}
	}
	if p.known, err = knownOf(o.known); err != nil {
		return p.refuse(err)
	}
	if p.facts, err = factsOf(o.catalogue); err != nil {
		return p.refuse(err)
	}
	return p.answer(&o, files)
}

// answer answers what is asked of the files.
func (p *program) answer(o *options, files []string) int {
	switch {
	case o.rules:
		p.rules()
		return p.code
	case o.show:
		return p.demonstrate()
	case o.until+o.agenda != "":
		at, _ := time.Parse(time.RFC3339, o.until+o.agenda) // tried before
		if h := p.history(files); h != nil && o.agenda != "" {
			p.agenda(h.Agenda(at), at)
		} else if h != nil {
			p.findings(answer{At: at.Format(time.RFC3339)}, h.Findings(at))
		}
		return p.code
	case o.open != "":
		pack, at, _ := packAt(o.open) // tried before
		h := p.history(files)
		switch {
		case h == nil:
		case p.code == unreadable: // what could not be read may speak against the pack
			fmt.Fprintln(p.stderr, "no answer about the pack: something could not be read")
		default:
			p.opening(h.MayOpen(pack, at), at)
		}
		return p.code
	case o.day != "":
		on, _ := moistheat.ParseDate(o.day) // tried before
		p.only = history.StoredFormat
		return p.each(files, entries(func(e history.Entry) error { return p.stored(e, on) }))
	case o.plan:
		p.only = load.Format
		return p.each(files, entries(p.plan))
	}
	p.only = load.Format
	return p.each(files, entries(p.check))
}

// history returns the history that files hold, or nil where reading it was interrupted.
func (p *program) history(files []string) *history.History {
	p.mayBeEmpty = true
	h := history.New(p.policy)
	h.UseCatalogue(p.facts)
	if p.each(files, entries(func(e history.Entry) error {
		h.AddEntry(e)
		return nil
	})) == interrupted {
		return nil
	}
	return h
}

// packAt returns the ID of a pack and the instant behind it.
func packAt(s string) (pack string, at time.Time, err error) {
	i := strings.LastIndexByte(s, '@')
	if i > 0 {
		at, err = time.Parse(time.RFC3339, s[i+1:])
	}
	if i <= 0 || err != nil {
		return "", at, fmt.Errorf("-open %q: want a pack and an instant, as in 4-1@2026-03-02T16:00:00+01:00", s)
	}
	return s[:i], at, nil
}

// conflict says which flags cannot be given together, or have an effect on nothing.
func (o *options) conflict(p *program, files []string) error {
	questions := 0
	for _, asked := range []bool{o.show, o.until != "", o.agenda != "", o.open != "", o.day != "", o.propose != "",
		o.plan, o.form, o.rules} {
		if asked {
			questions++
		}
	}
	switch {
	case questions > 1:
		return errors.New("give one of -demo, -history, -agenda, -open, -stored, -propose, -plan, -validate and -rules")
	case o.name != "" && o.file != "":
		return errors.New("give one of -policy and -policy-file")
	case o.form && o.name+o.file != "":
		return errors.New("-validate checks the form alone, which no policy changes; leave the policy out")
	case o.propose != "" && (o.name+o.file+o.known != "" || p.json):
		return errors.New("-propose takes a day, -catalogue and files alone")
	case p.all && !p.json:
		return errors.New("-all is for -json")
	case p.all && (o.form || o.rules):
		return errors.New("-all is for checking; -validate and -rules list all that they have")
	case o.known != "" && questions > 0:
		return errors.New("-known is for checking records; a history knows it by itself")
	case o.catalogue != "" && (o.show || o.day != "" || o.form || o.rules):
		return errors.New("-catalogue is for records")
	case (o.show || o.rules) && len(files) > 0:
		return errors.New("-demo and -rules take no file")
	case o.until != "" && errs(time.Parse(time.RFC3339, o.until)):
		return fmt.Errorf("-history %q: want an instant with its offset, as in 2026-03-15T12:00:00+01:00", o.until)
	case o.agenda != "" && errs(time.Parse(time.RFC3339, o.agenda)):
		return fmt.Errorf("-agenda %q: want an instant with its offset, as in 2026-03-15T12:00:00+01:00", o.agenda)
	case o.open != "" && unread(packAt(o.open)) != nil:
		return unread(packAt(o.open))
	case o.day != "" && errs(moistheat.ParseDate(o.day)):
		return fmt.Errorf("-stored %q: want a day, as in 2026-03-20", o.day)
	case o.propose != "" && errs(moistheat.ParseDate(o.propose)):
		return fmt.Errorf("-propose %q: want a day, as in 2026-03-20", o.propose)
	case !o.show && !o.rules && len(files) == 0:
		return errors.New("name a file, or - for standard input; -demo shows an example")
	}
	return nil
}

// nearestFlag says of a flag that there is none of which one it was probably meant to be.
func nearestFlag(flags *flag.FlagSet, err error) error {
	name, unknown := strings.CutPrefix(err.Error(), "flag provided but not defined: -")
	if !unknown {
		return err
	}
	var all []string
	flags.VisitAll(func(f *flag.Flag) { all = append(all, f.Name) })
	if w := words.Nearest(append(all, "help"), name); w != "" {
		return fmt.Errorf("there is no flag -%.40s; did you mean -%s?", name, w)
	}
	return fmt.Errorf("there is no flag -%.40s; -help lists them", name)
}

func unread(_ string, _ time.Time, err error) error { return err }

func errs[T any](_ T, err error) bool { return err != nil }

// parse parses flags that stand before, between or after the files.
func parse(flags *flag.FlagSet, args []string) (files []string, err error) {
	for len(args) > 0 {
		if err := flags.Parse(args); err != nil {
			return nil, err
		}
		rest := flags.Args()
		if len(rest) == 0 {
			break
		}
		if len(rest) < len(args) && args[len(args)-len(rest)-1] == "--" {
			return append(files, rest...), nil
		}
		files, args = append(files, rest[0]), rest[1:]
	}
	return files, nil
}

// wrap puts words on lines of at most width runes, of which all but the first begin
// with an indent.
func wrap(words []string, indent, width int) string {
	var b strings.Builder
	column := indent + len("whose documents apply: ")
	for i, w := range words {
		if i > 0 {
			b.WriteByte(',')
			column++
			if column+1+len(w) >= width {
				b.WriteString("\n" + strings.Repeat(" ", indent))
				column = indent
			} else {
				b.WriteByte(' ')
				column++
			}
		}
		b.WriteString(w)
		column += len(w)
	}
	return b.String()
}

// policyOf returns the policy in a file, if one is named, or the built-in one.
func policyOf(name, file string) (*load.Policy, error) {
	switch {
	case file != "":
		data, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		return load.ParsePolicy(data)
	case name == "":
		return nil, fmt.Errorf("name the policy that your clinic follows with -policy, one of %s; local rules decide which",
			strings.Join(load.Policies(), ", "))
	}
	return load.PolicyFor(name)
}

// short returns the name of a language of the library that people call something else, too.
func short(language string) string {
	if strings.HasPrefix(language, "de") || language == "german" {
		return "de"
	}
	return "en"
}

// languageOf returns the language of a name, or that of a file, and says on standard error
// what that lacks.
func (p *program) languageOf(name string) (moistheat.Language, error) {
	if l, err := moistheat.LanguageFor(name); err == nil {
		return l, nil
	}
	data, err := os.ReadFile(name)
	known := []string{"en", "de", "en-US", "de-DE", "english", "deutsch", "german"}
	if near := words.Nearest(known, name); err != nil && near != "" {
		err = fmt.Errorf("-lang %.40q: there is no such language; did you mean %s?", name, short(near))
		return moistheat.Language{}, err
	}
	if err != nil {
		return moistheat.Language{}, fmt.Errorf("-lang %.40q: want en, de or the name of a file: %w", name, err)
	}
	l, err := moistheat.ParseLanguage(data)
	if missing := l.Missing(); len(missing) > 0 {
		fmt.Fprintf(p.stderr, "%s: %d texts stay English, the first: %q\n", name, len(missing), missing[0])
	}
	return l, err
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

// factsOf returns the facts of the catalogue in a file, or nothing where none is named.
func factsOf(file string) (*load.Facts, error) {
	catalogue, err := catalogueOf(file)
	if catalogue == nil || err != nil {
		return nil, err
	}
	return catalogue.Facts()
}

// catalogueOf returns the catalogue in a file, or nothing where none is named.
func catalogueOf(file string) (*load.Catalogue, error) {
	if file == "" {
		return nil, nil
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return load.DecodeCatalogue(data)
}

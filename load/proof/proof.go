package proof

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/history"
	"example.com/moistheat/packaging"
)

// Format is the value of a proof's "format" member.
const Format = "moistheat.proof/1"

// Subject is what a proof is about: exactly one of a load, an item and a patient, and of the
// last two on which days.
type Subject struct {
	Record  string         `json:"record,omitzero"`  // id of the record of a load
	Item    string         `json:"item,omitzero"`    // id of an item
	Patient string         `json:"patient,omitzero"` // the facility's key; in a proof, the number that stands for it
	From    moistheat.Date `json:"from,omitzero"`    // first day of the loads
	Until   moistheat.Date `json:"until,omitzero"`   // first day that is too late
}

// Proof is what a log says of a subject, with all that is needed to judge it again. It holds no
// key of a patient that a document gives as one: "patient 1" stands for it, the same number for the same
// patient. Where such a key stands by itself elsewhere, as in a note, the number stands there too,
// unless the key is shorter than four characters or has no digit.
type Proof struct {
	Format  string    `json:"format"`  // [Format]
	Library string    `json:"library"` // version that made it
	At      time.Time `json:"at"`      // lines kept later were left out
	Subject Subject   `json:"subject"`
	Log     Log       `json:"log"`            // the whole log, as of At
	Policy  Named     `json:"policy"`         //
	Lines   []Line    `json:"lines,omitzero"` // of the log, in its order
	Loads   []Judged  `json:"loads,omitzero"` // in the order of their lines
	Gaps    []Gap     `json:"gaps,omitzero"`

	in moistheat.Language
}

// Named is the policy by which a proof judges.
type Named struct {
	Name   string `json:"name"`
	Digest string `json:"digest"`        // [load.Policy.Digest]
	File   string `json:"file,omitzero"` // of a facility's own policy, its document
}

// Judged is a load with its report. Known and Report are documents, as text.
type Judged struct {
	Line      int      `json:"line" min:"1"`         // of the record
	Catalogue int      `json:"catalogue,omitzero"`   // line of the catalogue that it was resolved with; 0: none
	Packs     []string `json:"packs,omitzero"`       // that the subject is about; none: all
	Known     string   `json:"known,omitzero"`       // [load.Known]; "": the history knew nothing
	Report    string   `json:"report" minLength:"1"` // [load.Report]
}

// Gap is something that is missing from a proof.
type Gap struct {
	Row  int     `json:"row,omitzero"`  // of the file
	Line int     `json:"line,omitzero"` // of the log
	Pack string  `json:"pack,omitzero"`
	What Missing `json:"what"`
}

// Missing is why something is missing. The zero Missing is invalid.
type Missing string

// What can be missing.
const (
	Unreadable Missing = "the row cannot be read"
	Tampered   Missing = "the line was changed, or does not follow the line before it"
	Erased     Missing = "the document was erased"
	Unknown    Missing = "the document is of no kind that is known"
	NoLoad     Missing = "no record of the load of the pack"
	NoSubject  Missing = "no line of the log is about it" // the subject: the proof shows nothing
)

// Make makes the proof of a subject from a log as it was at an instant, judged by a policy. It
// reads the log from its beginning, several times. Made again from the same log it is the
// same. What cannot be read of the log is a gap, and no error. So is a subject that no line
// is about, of which nothing is shown: [Proof.Verify] says so too.
func Make(log io.ReadSeeker, p *load.Policy, s Subject, at time.Time) (*Proof, error) {
	named := 0
	for _, name := range [...]string{s.Record, s.Item, s.Patient} {
		named += min(len(name), 1)
	}
	switch {
	case log == nil || p == nil:
		return nil, fmt.Errorf("proof: there is no log or no policy: %w", moistheat.ErrInvalid)
	case named != 1:
		return nil, fmt.Errorf("proof: name one of a load, an item and a patient: %w", moistheat.ErrInvalid)
	}
	m := builder{p: p, s: s, at: at, history: history.New(p), uses: map[packOf]bool{}, patients: map[string]string{},
		kept: map[int]bool{}, digests: map[string]bool{}, tests: map[testOf]bool{}, ids: map[string]bool{},
		batches: map[string]bool{},
		out: &Proof{Format: Format, Library: moistheat.Version, At: at, Subject: s,
			Policy: Named{Name: p.Name(), Digest: p.Digest()}}}
	if own, err := load.PolicyFor(p.Name()); err != nil || own.Digest() != p.Digest() {
		file, err := json.Marshal(p)
		if err != nil {
			return nil, err
		}
		m.out.Policy.File = string(file)
	}
	for _, take := range []func(*read) error{m.first, m.second, m.third, m.fourth, m.fifth} {
		if err := m.pass(log, take); err != nil {
			return nil, err
		}
	}
	for use, met := range m.uses {
		if !met {
			pack, _ := m.without(use.pack)
			m.out.Gaps = append(m.out.Gaps, Gap{Pack: pack, What: NoLoad})
		}
	}
	if len(m.out.Loads)+len(m.uses) == 0 {
		m.out.Gaps = append(m.out.Gaps, Gap{What: NoSubject})
	}
	slices.SortFunc(m.out.Gaps, func(a, b Gap) int {
		return cmp.Or(cmp.Compare(a.Row, b.Row), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Pack, b.Pack))
	})
	if s.Patient != "" {
		m.out.Subject.Patient = m.number(s.Patient)
	}
	if err := m.out.Validate(); err != nil {
		return nil, err
	}
	return m.out, nil
}

// packOf is a pack as a store knows it.
type packOf struct{ record, sterilizer, load, pack string }

// read is a line as it was read.
type read struct {
	Line
	history.Entry
	catalogue *load.Catalogue
	gap       Missing
}

// testOf is a test of a sterilizer.
type testOf struct {
	sterilizer string
	kind       calendar.EventKind
	at         int64
}

type builder struct {
	p        *load.Policy
	s        Subject
	at       time.Time
	history  *history.History
	facts    *load.Facts       // of the newest catalogue
	from     int               // its line
	uses     map[packOf]bool   // packs used on the patient; true: the record of the load was met
	patients map[string]string // numbers of their keys; "": none yet
	kept     map[int]bool      // lines
	digests  map[string]bool   // that amendments have for them
	tests    map[testOf]bool   // that the loads rest on
	ids      map[string]bool   // of events that speak against them
	batches  map[string]bool   // that cleaned what is in them
	packs    []ofLoad          // of the loads
	numbered int               // patients
	out      *Proof
}

// pass reads the log once.
func (m *builder) pass(file io.ReadSeeker, take func(*read) error) error {
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	var log Log
	m.out.Gaps = nil
	for line, err := range log.Read(file) {
		row := (*moistheat.DocumentError)(nil)
		switch errors.As(err, &row); {
		case err != nil && row == nil, err != nil && row.Line == 0:
			return err
		case err != nil && line.N == 0:
			m.out.Gaps = append(m.out.Gaps, Gap{Row: row.Line, What: Unreadable})
			continue
		case line.Kept.After(m.at):
			continue
		case err != nil:
			m.out.Gaps = append(m.out.Gaps, Gap{Row: row.Line, Line: line.N, What: Tampered})
			continue
		}
		m.out.Log = Log{Lines: line.N, Sum: line.Sum}
		r := open(line)
		if r.gap != "" {
			m.out.Gaps = append(m.out.Gaps, Gap{Line: line.N, What: r.gap})
		}
		if err := take(r); err != nil {
			return err
		}
	}
	return nil
}

// open reads the document of a line.
func open(line Line) *read {
	r := &read{Line: line}
	if line.Document == "" {
		r.gap = Erased
		return r
	}
	if format, _ := strictjson.Peek([]byte(line.Document), "format"); string(format) == load.CatalogueFormat {
		var err error
		if r.catalogue, err = load.DecodeCatalogue([]byte(line.Document)); err != nil {
			r.gap = Unknown
		}
		return r
	}
	var row bytes.Buffer
	if json.Compact(&row, []byte(line.Document)) == nil {
		for e, err := range history.Entries(&row) {
			if err == nil {
				r.Entry = e
				return r
			}
		}
	}
	r.gap = Unknown
	return r
}

// first finds the newest catalogue.
func (m *builder) first(r *read) error {
	if r.catalogue != nil {
		if facts, err := r.catalogue.Facts(); err == nil {
			m.facts, m.from = facts, r.N
		}
	}
	return nil
}

// second makes the history, and finds who the patients are and what was used on the one.
func (m *builder) second(r *read) error {
	e := r.Entry
	e.Record = m.facts.Resolve(e.Record, m.p)
	m.history.AddEntry(e)
	for _, key := range keysOf(r.Entry) {
		m.patients[*key] = ""
	}
	if s := r.Stored; s != nil && s.Use != nil && m.s.Patient != "" && s.Use.Patient == m.s.Patient {
		m.uses[packOf{s.Record, s.Sterilizer, s.Load, s.Pack}] = false
	}
	return nil
}

// third judges the loads that the subject is about.
func (m *builder) third(r *read) error {
	if r.Record == nil {
		return nil
	}
	packs, about := m.about(r.Record)
	if !about {
		return nil
	}
	m.mark(r)
	m.hide(r)
	record := m.facts.Resolve(r.Record, m.p)
	known, text, err := m.known(record)
	if err != nil {
		return err
	}
	report, err := load.CheckKnowing(record, m.p, known).JSON()
	if err != nil {
		return err
	}
	j := Judged{Line: r.N, Packs: packs, Report: string(report)}
	if record != r.Record {
		j.Catalogue = m.from
		m.kept[m.from] = true
	}
	j.Known = text
	for _, t := range slices.Concat(known.Tests, known.Pending) {
		m.tests[testOf{known.Sterilizer, t.Test, t.Time.UnixNano()}] = true
	}
	for _, o := range known.Outages {
		m.ids[o.Event] = true
	}
	for _, s := range known.Suspicions {
		m.ids[s.ID] = true
	}
	for _, q := range known.Qualified {
		m.ids[q.Event] = true
	}
	for _, b := range known.Batches {
		m.batches[b.Batch.ID] = true
	}
	m.out.Loads = append(m.out.Loads, j)
	for _, p := range record.Packs {
		if packs == nil || slices.Contains(packs, p.ID) {
			m.packs = append(m.packs, ofLoad{record, p.ID})
		}
	}
	return nil
}

// known returns what the history knows, without keys of patients, and its text; "": nothing.
func (m *builder) known(r *load.Record) (load.Known, string, error) {
	known := m.history.Known(r)
	if known.Digest() == "" {
		return known, "", nil
	}
	data, err := json.Marshal(known)
	if err != nil {
		return known, "", err
	}
	text, hidden := m.without(string(data))
	if hidden {
		known, err = load.DecodeKnown([]byte(text))
	}
	return known, text, err
}

// fourth finds what else is to be kept: the packs in store, the batches of cleaning and the events.
func (m *builder) fourth(r *read) error {
	if s := r.Stored; s != nil && slices.ContainsFunc(m.packs, func(p ofLoad) bool { return p.is(s) }) {
		m.mark(r)
	}
	if b := r.Cleaning; b != nil && m.batches[b.ID] {
		m.mark(r)
	}
	if e := r.Event; e != nil && (m.ids[e.ID] || m.tests[testOf{e.Sterilizer, e.Kind, e.Time.UnixNano()}]) {
		m.mark(r)
	}
	return nil
}

// fifth keeps the lines, and the amendments of what is kept.
func (m *builder) fifth(r *read) error {
	if a := r.Amendment; a != nil && slices.ContainsFunc(a.Lines, func(d string) bool { return m.digests[d] }) {
		m.kept[r.N] = true
	}
	if m.kept[r.N] {
		m.hide(r)
		m.out.Lines = append(m.out.Lines, r.Line)
	}
	return nil
}

// mark says that a line is kept.
func (m *builder) mark(r *read) { m.kept[r.N], m.digests[r.Entry.Digest()] = true, true }

// ofLoad is a pack of a load that is judged.
type ofLoad struct {
	record *load.Record
	pack   string
}

// is reports whether what is in store, or was used, may be the pack.
func (p ofLoad) is(s *history.StoredPack) bool {
	if s.Pack != p.pack {
		return false
	}
	return p.made(packOf{s.Record, s.Sterilizer, s.Load, s.Pack})
}

// made reports whether the load may be the one of a pack in store.
func (p ofLoad) made(s packOf) bool {
	if s.record != "" {
		return s.record == p.record.ID
	}
	numbers := []string{p.record.Load.Number, p.record.Load.Cycle}
	if p.record.Cycle != nil {
		numbers = append(numbers, p.record.Cycle.Number)
	}
	return (s.sterilizer == "" || s.sterilizer == p.record.Sterilizer.ID) &&
		(s.load == "" || slices.Contains(numbers, s.load))
}

// about says whether the subject is about a load, and about which of its packs: nil is all.
func (m *builder) about(r *load.Record) (packs []string, about bool) {
	day := dayOf(r)
	if m.s.Record != "" {
		return nil, r.ID == m.s.Record
	}
	if day.IsValid() && !day.Within(m.s.From, m.s.Until) { // of a load without a day it is not known
		return nil, false
	}
	for _, p := range r.Packs {
		found := slices.ContainsFunc(p.Items, func(i packaging.Item) bool {
			return m.s.Item != "" && i.ID == m.s.Item ||
				m.s.Patient != "" && (i.UsedOn == m.s.Patient || i.MeantFor == m.s.Patient)
		})
		for use := range m.uses {
			if use.pack == p.ID && (ofLoad{r, p.ID}).made(use) {
				m.uses[use], found = true, true
			}
		}
		if found {
			packs = append(packs, p.ID)
		}
	}
	return packs, packs != nil
}

// keysOf returns the keys of patients in a document.
func keysOf(e history.Entry) (keys []*string) {
	if s := e.Stored; s != nil && s.Use != nil && s.Use.Patient != "" {
		keys = append(keys, &s.Use.Patient)
	}
	if r := e.Record; r != nil {
		for i := range r.Packs {
			for j := range r.Packs[i].Items {
				for _, key := range [...]*string{&r.Packs[i].Items[j].UsedOn, &r.Packs[i].Items[j].MeantFor} {
					if *key != "" {
						keys = append(keys, key)
					}
				}
			}
		}
	}
	return keys
}

// numbered stands before the number of a patient.
const numbered = "patient "

// number returns what stands for the key of a patient.
func (m *builder) number(key string) string {
	if m.patients[key] == "" {
		m.numbered++
		m.patients[key] = numbered + strconv.Itoa(m.numbered)
	}
	return m.patients[key]
}

// hide puts numbers in the place of the keys of patients: in the members that are for them,
// and wherever else such a key stands by itself in a string, if it is not too short to tell.
func (m *builder) hide(r *read) {
	var doc any
	switch {
	case r.Record != nil:
		doc = r.Record
	case r.Stored != nil:
		doc = r.Stored
	case r.Event != nil:
		doc = r.Event
	case r.Cleaning != nil:
		doc = r.Cleaning
	case r.Amendment != nil:
		doc = r.Amendment
	default:
		return
	}
	hidden := false
	for _, key := range keysOf(r.Entry) {
		*key, hidden = m.number(*key), true
	}
	data, err := json.Marshal(doc)
	if err != nil {
		return // it was read from a document
	}
	text, more := m.without(string(data))
	if !hidden && !more {
		return
	}
	if more { // what is judged is what is shown
		line := r.Line
		line.Document = text
		*r = *open(line)
	}
	r.Document, r.Hidden = text, true
}

// without returns the text of a document with numbers for the keys of patients that stand in it,
// the longest first. A key that has no digit or fewer than four characters may be a word.
func (m *builder) without(text string) (string, bool) {
	keys := slices.SortedFunc(maps.Keys(m.patients), func(a, b string) int {
		return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(a, b))
	})
	was := text
	for _, key := range keys {
		if len(key) < 4 || !strings.ContainsAny(key, "0123456789") || !strings.Contains(text, key) {
			continue
		}
		var out strings.Builder
		rest := text
		for {
			i := strings.Index(rest, key)
			if i < 0 {
				break
			}
			end := i + len(key)
			alone := (i == 0 || !word(rest[i-1])) && (end == len(rest) || !word(rest[end]))
			out.WriteString(rest[:i])
			if alone {
				out.WriteString(m.number(key))
			} else {
				out.WriteString(key)
			}
			rest = rest[end:]
		}
		out.WriteString(rest)
		text = out.String()
	}
	return text, text != was
}

// word reports whether a byte is of a word or a number.
func word(b byte) bool {
	return b >= '0' && b <= '9' || b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b >= 0x80
}

package history

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/internal/ndjson"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/units"
)

// TraceFormat is the value of the "format" member of a line of a saved history.
const TraceFormat = "moistheat.trace/1"

// Saved is how far a history is kept in a file. The zero Saved is that of an empty file.
type Saved struct {
	Lines    int     // number of the newest line
	Problems []error // lines that were cut, changed or out of their order, one error each

	last digest
	have map[digest]bool // what is kept already
	cut  bool            // the file ends within a line
}

// savedLine is a line of a file: one thing that a document says, the digest of the line
// before it and its own, so that a changed file, a lost line and a second writer show.
type savedLine struct {
	Format    string      `json:"format"`
	N         int         `json:"n" min:"1"`
	Before    string      `json:"before,omitzero"`
	Trace     *savedTrace `json:"trace,omitzero"`
	Stored    *savedPack  `json:"stored,omitzero"`
	Cleaning  *savedBatch `json:"cleaning,omitzero"`
	Amendment *Amendment  `json:"amendment,omitzero"`
	Sum       string      `json:"sum"`
}

type savedTrace struct {
	Policy      string               `json:"policy,omitzero"` // digest of the one that a load was judged under
	Sterilizer  string               `json:"sterilizer"`
	Device      string               `json:"device,omitzero"` // instead
	Upkeep      *savedUpkeep         `json:"upkeep,omitzero"`
	Said        []savedPlace         `json:"said"`
	Kind        calendar.EventKind   `json:"kind,omitzero"`
	ID          string               `json:"id,omitzero"`
	Site        string               `json:"site,omitzero"`
	Number      string               `json:"number,omitzero"`
	Load        string               `json:"load,omitzero"`
	Date        moistheat.Date       `json:"date,omitzero"`
	Start       time.Time            `json:"start,omitzero"`
	End         time.Time            `json:"end,omitzero"`
	AirRemoval  moistheat.AirRemoval `json:"airRemoval,omitzero"`
	Temperature units.Temperature    `json:"temperature,omitzero"`
	Hold        units.Duration       `json:"hold,omitzero"`
	MaxHold     units.Duration       `json:"maxHold,omitzero"`
	Tests       []savedTest          `json:"tests,omitzero"`
	Passed      moistheat.Answer     `json:"passed,omitzero"`
	Physical    moistheat.Answer     `json:"physical,omitzero"`
	Chemical    moistheat.Answer     `json:"chemical,omitzero"`
	Chamber     calendar.ChamberLoad `json:"chamber,omitzero"`
	Drying      moistheat.Answer     `json:"drying,omitzero"`
	State       int                  `json:"state,omitzero" max:"4"`
	Released    moistheat.Answer     `json:"released,omitzero"`
	Contrary    bool                 `json:"contrary,omitzero"`
	Stops       bool                 `json:"stops,omitzero"`
	Lacks       int                  `json:"lacks,omitzero" max:"15"`
	Urgent      bool                 `json:"urgent,omitzero"`
	ReadBy      time.Time            `json:"readBy,omitzero"`
	Signed      time.Time            `json:"signed,omitzero"`
	Grew        time.Time            `json:"grew,omitzero"`
	Read        time.Time            `json:"read,omitzero"`
	Named       bool                 `json:"named,omitzero"`
	Noted       bool                 `json:"noted,omitzero"`
	Records     calendar.RecordKind  `json:"records,omitzero"`
	Newest      moistheat.Date       `json:"newest,omitzero"`
	Implants    moistheat.Answer     `json:"implants,omitzero"`
	Hollow      moistheat.Answer     `json:"hollow,omitzero"`
	Detector    moistheat.Answer     `json:"detector,omitzero"`
	Patients    moistheat.Answer     `json:"patients,omitzero"`
	Leak        units.PressureRate   `json:"leak,omitzero"`
	Packs       []savedListed        `json:"packs,omitzero"`
	Has         int                  `json:"has,omitzero" max:"127"` // bits of the measures that there are
	Measures    []float64            `json:"measures,omitzero"`
	Guessed     int                  `json:"guessed,omitzero" max:"3"`
	Traced      bool                 `json:"traced,omitzero"`
	Habits      []load.Habit         `json:"habits,omitzero"` // that were not kept
	Rests       bool                 `json:"rests,omitzero"`  // on practices
	Unsound     bool                 `json:"unsound,omitzero"`
	Grounds     []savedGround        `json:"grounds,omitzero"`
}

type savedPlace struct {
	Line string `json:"line"`
	Test int    `json:"test,omitzero"`
}

type savedTest struct {
	At    int              `json:"at,omitzero"`
	State int              `json:"state" max:"5"`
	Why   moistheat.Detail `json:"why,omitzero"`

	Lot         string            `json:"lot,omitzero"`
	Day         moistheat.Date    `json:"day,omitzero"`
	Temperature units.Temperature `json:"temperature,omitzero"` // of the incubator
	Grew        moistheat.Answer  `json:"grew,omitzero"`        // its control
	Wants       bool              `json:"wants,omitzero"`       // a control, and nothing else
}

type savedListed struct {
	ID      string           `json:"id"`
	Implant moistheat.Answer `json:"implant,omitzero"`
	State   int              `json:"state,omitzero" max:"4"`
	At      int              `json:"at,omitzero"` // from 1; 0: several places

	Released moistheat.Answer `json:"released,omitzero"` // by a decision of its own
	Expires  moistheat.Date   `json:"expires,omitzero"`  // by its label
	Marks    []savedMark      `json:"marks,omitzero"`
	Seen     int              `json:"seen,omitzero" max:"16383"` // bits of the indicators that it carries
}

type savedMark struct {
	What int    `json:"what,omitzero" max:"9"`
	ID   string `json:"id,omitzero"`
	At   string `json:"at"`

	Limit int `json:"limit,omitzero" max:"2147483647"`
}

type savedGround struct {
	Pointer    string                `json:"pointer"`
	Pack       moistheat.Disposition `json:"pack,omitzero"`
	Load       moistheat.Disposition `json:"load,omitzero"`
	Sterilizer moistheat.Service     `json:"sterilizer,omitzero"`
	Recall     bool                  `json:"recall,omitzero"`
	Stops      bool                  `json:"stops,omitzero"`
}

// savedPack is a version of a stored pack. Its use stands apart, with the key of the
// patient and no name.
type savedPack struct {
	Line  string     `json:"line"`
	Pack  StoredPack `json:"pack"`
	Used  *savedUse  `json:"used,omitzero"`
	Blind bool       `json:"withoutPatients,omitzero"`
}

// savedBatch is a batch of cleaning, without who did it.
type savedBatch struct {
	Line  string         `json:"line"`
	Batch cleaning.Batch `json:"batch"`
}

type savedUse struct {
	Time          time.Time        `json:"time,omitzero"`
	Patient       string           `json:"patient,omitzero"`
	IndicatorRead moistheat.Answer `json:"indicatorRead,omitzero"`
	LoadNoted     moistheat.Answer `json:"loadNoted,omitzero"`

	PrionSuspected moistheat.Answer `json:"prionSuspected,omitzero"`
}

// saveTrace returns the form in which a version is kept: keys, and the name of nobody.
func saveTrace(sterilizer, policy string, h *occurrence) *savedTrace {
	t := &savedTrace{
		Sterilizer: sterilizer, Kind: h.kind, ID: h.id, Site: h.site, Lacks: int(h.lacks), Number: h.number, Load: h.load, Date: h.date,
		Start: h.start, End: h.end, AirRemoval: h.cycle.AirRemoval, Temperature: h.cycle.Temperature, Hold: h.hold,
		MaxHold:  h.maxHold,
		Passed:   h.passed,
		Physical: h.physical, Chemical: h.chemical, Chamber: h.chamber, Drying: h.drying, State: int(h.state),
		Released: h.released,
		Contrary: h.contrary, Stops: h.stops, Urgent: h.urgent, ReadBy: h.readBy, Signed: h.signed,
		Records: h.records, Newest: h.newest,
		Grew: h.grew, Read: h.read, Named: h.named, Noted: h.noted,
		Implants: h.implants, Hollow: h.hollow, Detector: h.detector, Patients: h.patients, Leak: h.leak,
		Has: int(h.metrics.has), Guessed: int(h.guessed), Traced: h.traced, Unsound: h.unsound,
		Habits: h.habits, Rests: h.rests,
	}
	if k := h.upkeep; k != nil {
		t.Upkeep = &savedUpkeep{k.kind, k.asFound, k.due, k.document, names(k.covers[0]), names(k.covers[1])}
	}
	if h.kind == 0 {
		t.Policy = cmp.Or(h.stale, policy)
	}
	for _, l := range h.lines {
		t.Said = append(t.Said, savedPlace{l.line.String(), l.test})
	}
	for _, b := range h.bios {
		t.Tests = append(t.Tests, savedTest{b.at, int(b.state), b.why, b.lot, b.day, b.temperature, b.grew, b.wants})
	}
	for _, p := range h.packs {
		l := savedListed{ID: p.id, Implant: p.implant, State: int(p.state), At: p.at + 1, Released: p.released,
			Seen: int(p.seen), Expires: p.expires}
		for _, m := range p.marks {
			l.Marks = append(l.Marks, savedMark{int(m.what), m.id, m.at, int(m.limit)})
		}
		t.Packs = append(t.Packs, l)
	}
	for k := Measure(1); int(k) <= measures; k++ {
		if v, has := h.metrics.get(k); has {
			t.Measures = append(t.Measures, v)
		}
	}
	for _, g := range h.grounds {
		e := g.effect
		t.Grounds = append(t.Grounds, savedGround{g.pointer, e.Pack, e.Load, e.Sterilizer, e.Recall, g.stops})
	}
	return t
}

// trace returns the version that a line keeps, under a policy. What another policy found
// to be good is not so under this one before its record is added again.
func (t *savedTrace) trace(policy string, kinds map[CycleSetting]CycleSetting) (*occurrence, error) {
	cycle := CycleSetting{t.AirRemoval, t.Temperature}
	if _, found := kinds[cycle]; !found {
		kinds[cycle] = cycle.normal()
	}
	h := &occurrence{
		kind: t.Kind, id: t.ID, site: t.Site, lacks: lack(t.Lacks), number: t.Number, load: t.Load, date: t.Date, start: t.Start, end: t.End,
		cycle: kinds[cycle], hold: t.Hold, maxHold: t.MaxHold, passed: t.Passed, physical: t.Physical,
		chemical: t.Chemical, chamber: t.Chamber, drying: t.Drying, state: loadState(t.State), released: t.Released,
		contrary: t.Contrary, stops: t.Stops, urgent: t.Urgent, readBy: t.ReadBy, signed: t.Signed,
		records: t.Records, newest: t.Newest,
		grew: t.Grew, read: t.Read, named: t.Named, noted: t.Noted,
		implants: t.Implants, hollow: t.Hollow, detector: t.Detector, patients: t.Patients, leak: t.Leak,
		habits:   t.Habits,
		rests:    t.Rests,
		versions: versions{guessed: members(t.Guessed), traced: t.Traced, unsound: t.Unsound},
	}
	if k := t.Upkeep; k != nil {
		h.upkeep = &upkeep{k.Kind, k.AsFound, k.Due, k.Document, [2]string{listText(k.Programs), listText(k.Patterns)}}
	}
	for _, s := range t.Said {
		line, err := parseDigest(s.Line)
		if err != nil {
			return nil, fmt.Errorf("%.40q is no digest: %w", s.Line, err)
		}
		h.lines = append(h.lines, said{line, s.Test})
	}
	if len(h.lines) == 0 || !slices.IsSortedFunc(h.lines, said.compare) {
		return nil, fmt.Errorf("it does not say which lines say so: %w", moistheat.ErrInvalid)
	}
	for _, b := range t.Tests {
		h.bios = append(h.bios, bioClaim{b.At, bioState(b.State), b.Why,
			vial{lotDay{b.Lot, b.Day}, b.Temperature, b.Grew, b.Wants}})
	}
	h.bio, h.why = comeTo(h.bios)
	for _, p := range t.Packs {
		l := packTrace{id: p.ID, implant: p.Implant, state: loadState(p.State), at: p.At - 1, released: p.Released,
			seen: seenMarks(p.Seen), expires: p.Expires}
		for _, m := range p.Marks {
			l.marks = append(l.marks, mark{markKind(m.What), int32(m.Limit), m.ID, m.At})
		}
		h.packs = append(h.packs, l)
	}
	h.packs = unite(h.packs)
	for _, g := range t.Grounds {
		e := moistheat.Effect{Pack: g.Pack, Load: g.Load, Sterilizer: g.Sterilizer, Recall: g.Recall}
		h.grounds = append(h.grounds, ground{g.Pointer, e, g.Stops})
	}
	for i, k := 0, Measure(1); int(k) <= measures; k++ {
		if t.Has&(1<<(k-1)) != 0 {
			if i == len(t.Measures) {
				return nil, fmt.Errorf("a measure is missing: %w", moistheat.ErrInvalid)
			}
			h.metrics.set(k, t.Measures[i])
			i++
		}
	}
	if t.Kind == 0 && t.Policy != policy {
		h.grow(t.Policy)
	}
	return h, nil
}

// grow makes a version one that was judged under another policy.
func (h *occurrence) grow(policy string) {
	h.stale = cmp.Or(policy, "none")
	h.doubt()
	if h.physical == moistheat.Yes {
		h.physical = moistheat.NotRecorded
	}
	if h.chemical == moistheat.Yes {
		h.chemical = moistheat.NotRecorded
	}
}

// doubt takes from a load what made it good.
func (h *occurrence) doubt() {
	if h.state == loadGood {
		h.state = loadOpen
	}
	h.lacks = 0
	for i := range h.packs {
		if h.packs[i].state == loadGood {
			h.packs[i].state = loadOpen
		}
	}
}

// Stale returns the ids of the records that were judged under another policy than the
// history's. Against a load counts what was found then; for it, nothing does until its
// record is added again.
func (h *History) Stale() []string {
	var out []string
	for _, id := range h.Sterilizers() {
		u := h.units()[id]
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for _, e := range in {
				if slices.ContainsFunc(e.each(), func(v *occurrence) bool { return v.stale != "" }) {
					out = append(out, e.each()[0].id)
				}
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// WithoutPatients returns a copy that knows that packs were used, and neither when nor
// for whom. Its answers say so.
func (h *History) WithoutPatients() *History {
	own := New(h.Policy())
	_ = own.Merge(h) // under the same policy
	patients := own.suspectedPatients()
	for k, s := range own.stored() {
		var all []storedVersion
		for _, v := range s.said {
			if v.blind = true; v.Use != nil {
				pack := *v.StoredPack
				pack.Use = &Use{}
				if v.Use.suspected(patients) { // which packs are of a case is kept
					pack.Use.PrionSuspected = moistheat.Yes
				}
				v.StoredPack = &pack
			}
			all = append(all, v)
		}
		own.shelf[k] = own.shelve(all)
	}
	return own
}

// Save writes a history to an empty file, one line for each thing that a document says;
// see [History.Append].
func (h *History) Save(w io.Writer) error {
	_, err := h.Append(w, nil)
	return err
}

// Append writes what a file does not hold yet, and returns how far it is kept then; of
// how far, nil stands for an empty file. What no document can hold, such as a pack
// without an id, is left out and said. A line holds keys of packs and patients, and the
// names of those who signed amendments; of other persons it holds nothing.
func (h *History) Append(w io.Writer, kept *Saved) (*Saved, error) {
	to := &Saved{have: map[digest]bool{}}
	if kept != nil {
		*to = *kept
		to.Problems, to.have = slices.Clone(kept.Problems), map[digest]bool{}
		maps.Copy(to.have, kept.have)
	}
	if h == nil {
		return to, nil
	}
	if to.cut {
		if _, err := io.WriteString(w, "\n"); err != nil {
			return to, err
		}
		to.cut = false
	}
	var refused []error
	for l := range h.saved {
		err := to.write(w, l)
		if errors.Is(err, errNoDocument) {
			refused = append(refused, err)
		} else if err != nil {
			return to, err
		}
	}
	return to, errors.Join(refused...)
}

var errNoDocument = errors.New("no document can hold it")

// saved yields what is to be kept of a history, in an order of its own.
func (h *History) saved(yield func(*savedLine) bool) {
	for l := range h.devices.savedUnits {
		l.Trace.Device, l.Trace.Sterilizer = l.Trace.Sterilizer, ""
		if !yield(l) {
			return
		}
	}
	for l := range h.savedUnits {
		if !yield(l) {
			return
		}
	}
	for _, key := range h.packs() {
		for _, v := range h.stored()[key].said {
			s := &savedPack{Line: v.line.String(), Pack: *v.StoredPack, Blind: v.blind}
			s.Pack.Format, s.Pack.Use = StoredFormat, nil
			if u := v.Use; u != nil {
				s.Used = &savedUse{u.Time, u.Patient, u.IndicatorRead, u.LoadNoted, u.PrionSuspected}
			}
			if !yield(&savedLine{Stored: s}) {
				return
			}
		}
	}
	for line, b := range h.everyBatch {
		own := *b
		if own.Operator = ""; !yield(&savedLine{Cleaning: &savedBatch{line.String(), own}}) {
			return
		}
	}
	for _, a := range h.amended.sorted() {
		if !yield(&savedLine{Amendment: a}) {
			return
		}
	}
}

// savedUnits yields what is to be kept of sterilizers.
func (h *History) savedUnits(yield func(*savedLine) bool) {
	digest := h.Policy().Digest()
	for _, id := range h.Sterilizers() {
		u := h.units()[id]
		var all []*occurrence
		for _, in := range []map[occurrenceKey]*occurrence{u.all, u.gone} {
			for _, e := range in {
				all = append(all, e.each()...)
			}
		}
		slices.SortFunc(all, func(a, b *occurrence) int { return cmp.Or(before(a, b), byLine(a, b)) })
		for _, v := range all {
			for _, l := range v.lines { // a line each, so that one more record that mentions a test adds one
				own := *v
				own.lines = []said{l}
				if !yield(&savedLine{Trace: saveTrace(id, digest, &own)}) {
					return
				}
			}
		}
	}
}

// write writes a line, if it is not kept yet.
func (s *Saved) write(w io.Writer, l *savedLine) error {
	l.Format, l.N, l.Sum = TraceFormat, s.Lines+1, strings.Repeat("0", 2*sha256.Size)
	if s.Lines > 0 {
		l.Before = s.last.String()
	}
	if err := strictjson.Validate(l, strictjson.Default(), TraceFormat); err != nil {
		return fmt.Errorf("%w: %w", errNoDocument, err)
	}
	body, err := json.Marshal(l)
	if err != nil {
		return fmt.Errorf("%w: %w", errNoDocument, err)
	}
	is := contentOf(body)
	if s.have[is] {
		return nil
	}
	sum := sumOf(body)
	line := append(body[:len(body)-len(sumEnd(sum))], sumEnd(sum)+"\n"...)
	if _, err := w.Write(line); err != nil {
		s.cut = true // whatever of it was written
		return err
	}
	s.Lines, s.last = s.Lines+1, sum
	s.have[is] = true
	return nil
}

// sumEnd is the end of a line of a sum.
func sumEnd(sum digest) string { return `"sum":"` + sum.String() + `"}` }

// sumOf returns the digest of a line, its sum left out.
func sumOf(line []byte) digest {
	return sha256.Sum256(line[:max(0, len(line)-len(sumEnd(digest{})))])
}

// contentOf returns the digest of what a line keeps, whatever its number.
func contentOf(line []byte) digest {
	from, head := len(line), line[:min(len(line), 256)] // number and digest before it take less
	for _, name := range [...]string{`,"trace":{`, `,"stored":{`, `,"cleaning":{`, `,"amendment":{`} {
		if i := bytes.Index(head, []byte(name)); i >= 0 {
			from = min(from, i)
		}
	}
	return sha256.Sum256(line[from:max(from, len(line)-len(sumEnd(digest{})))])
}

// Load reads what [History.Save] and [History.Append] wrote, as strictly as
// any input. A line that was cut or changed is lost, and no other; [Saved.Problems] says
// which, and where lines do not follow one another, as when two programs write to one
// file. Only an error of the reader ends it. Records that were judged under another
// policy are taken in as [History.Stale] says.
func Load(r io.Reader, p *load.Policy) (*History, *Saved, error) {
	h, s := New(p), &Saved{have: map[digest]bool{}}
	policy := h.Policy().Digest()
	last := ndjson.NewTail(r)
	var amended []*Amendment
	kinds := map[CycleSetting]CycleSetting{} // those of a clinic are few
	for l, err := range ndjson.Lines(last) {
		if err != nil {
			return h, s, err
		}
		line, err := ndjson.Decode(l, func(data []byte) (*savedLine, error) {
			line, err := strictjson.Read[savedLine](data, strictjson.Default(), TraceFormat)
			if sum := sumOf(data); err == nil && !bytes.HasSuffix(data, []byte(sumEnd(sum))) {
				err = refusal("/sum", l.Number, "the line was changed")
			}
			return line, err
		})
		if err == nil {
			s.have[contentOf(l.Data)] = true
			err = s.follow(l.Number, line)
			if bad := h.restore(line, policy, kinds, &amended); bad != nil {
				err = refusal("", l.Number, bad.Error())
			}
		}
		s.problem(l.Number, err)
	}
	if len(amended) > 0 {
		h.amend(amended...)
	}
	s.cut = last.Cut()
	return h, s, nil
}

func refusal(at string, line int, problem string) *moistheat.DocumentError {
	return &moistheat.DocumentError{
		Format: TraceFormat, Kind: moistheat.ErrShape, Pointer: at, Line: line, Problem: problem,
	}
}

// problem keeps an error, and of very many the number.
func (s *Saved) problem(line int, err error) {
	switch n := len(s.Problems); {
	case err == nil:
	case n < strictjson.MaxProblems:
		s.Problems = append(s.Problems, err)
	case n == strictjson.MaxProblems:
		s.Problems = append(s.Problems, fmt.Errorf("line %d, and perhaps more: %w", line, err))
	}
}

// follow takes note of a line, and says where it does not follow the one before.
func (s *Saved) follow(number int, l *savedLine) error {
	want := ""
	if s.Lines > 0 {
		want = s.last.String()
	}
	var err error
	if l.N != s.Lines+1 || l.Before != want {
		err = refusal("/n", number, fmt.Sprintf(
			"number %d does not follow number %d: a line is lost, or two programs write to the file", l.N, s.Lines))
	}
	s.Lines = l.N
	s.last, _ = parseDigest(l.Sum) // which is right
	return err
}

// restore takes in what a line keeps.
func (h *History) restore(l *savedLine, policy string, kinds map[CycleSetting]CycleSetting,
	amended *[]*Amendment) error {
	switch {
	case l.Trace != nil:
		v, err := l.Trace.trace(policy, kinds)
		if err != nil {
			return err
		}
		v.limit(h.Policy())
		if l.Trace.Device != "" {
			h.machines().unit(l.Trace.Device).put(v)
			return nil
		}
		h.unit(l.Trace.Sterilizer).put(v)
	case l.Stored != nil:
		line, err := parseDigest(l.Stored.Line)
		if err != nil {
			return err
		}
		pack := l.Stored.Pack
		if u := l.Stored.Used; u != nil {
			pack.Use = &Use{Time: u.Time, Patient: u.Patient, IndicatorRead: u.IndicatorRead, LoadNoted: u.LoadNoted,
				PrionSuspected: u.PrionSuspected}
		}
		h.putStored(storedVersion{StoredPack: &pack, line: line, blind: l.Stored.Blind})
	case l.Cleaning != nil:
		line, err := parseDigest(l.Cleaning.Line)
		if err != nil {
			return err
		}
		h.putBatch(line, &l.Cleaning.Batch)
	case l.Amendment != nil:
		if err := l.Amendment.sound(); err != nil {
			return err
		}
		*amended = append(*amended, l.Amendment)
	default:
		return fmt.Errorf("it holds nothing: %w", moistheat.ErrInvalid)
	}
	return nil
}

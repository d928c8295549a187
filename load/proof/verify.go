package proof

import (
	"errors"
	"fmt"
	"reflect"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/load"
	"example.com/moistheat/load/cleaning"
)

// proofLimits bound a proof, which holds documents as strings.
func proofLimits() strictjson.Limits {
	lim := strictjson.Default()
	lim.Size, lim.Text = 64<<20, 4<<20
	return lim
}

// Decode reads a proof as strictly as [load.Decode] reads a record. Whether it holds is asked by
// [Proof.Verify].
func Decode(data []byte) (*Proof, error) {
	return strictjson.Read[Proof](data, proofLimits(), Format)
}

// Validate returns what [Decode] would refuse.
func (p *Proof) Validate() error { return strictjson.Validate(p, proofLimits(), Format) }

// Verify computes anew what the proof says: that its lines are as they were kept, and the
// report of each load, by the policy given, or where that is nil by the one that the proof names or
// holds. It returns what does not hold, each a [*moistheat.DocumentError] with a pointer into the
// proof. What it cannot show: that a line is one of the log, which only the log does, and
// that a document with numbers for patients is the one that was kept. A proof without a load
// shows nothing, and does not hold.
func (p *Proof) Verify(policy *load.Policy) error {
	if err := p.Validate(); err != nil {
		return err
	}
	policy, err := p.policy(policy)
	if err != nil {
		return err
	}
	v := verifier{p: p, at: map[int]int{}}
	if len(p.Loads) == 0 {
		v.fault("/loads", "there is no load: the proof shows nothing about its subject")
	}
	for i := range p.Lines {
		v.line(i)
	}
	for i := range p.Loads {
		v.load(i, policy)
	}
	return errors.Join(v.errs...)
}

// policy returns the one to judge by.
func (p *Proof) policy(given *load.Policy) (*load.Policy, error) {
	var err error
	switch {
	case given != nil:
	case p.Policy.File != "":
		given, err = load.ParsePolicy([]byte(p.Policy.File))
	default:
		given, err = load.PolicyFor(p.Policy.Name)
	}
	if err != nil {
		return nil, err
	}
	if given.Digest() != p.Policy.Digest && given.Name() != p.Policy.Name {
		return nil, &moistheat.DocumentError{Kind: moistheat.ErrShape, Format: Format, Pointer: "/policy/name", Offset: -1,
			Problem: fmt.Sprintf("the proof was made by the policy %s, not by %s; verify with that one",
				p.Policy.Name, given.Name())}
	}
	if given.Digest() != p.Policy.Digest {
		return nil, &moistheat.DocumentError{Kind: moistheat.ErrShape, Format: Format, Pointer: "/policy/digest", Offset: -1,
			Problem: fmt.Sprintf("the policy %s of version %s is another than that of version %s; verify with that version",
				given.Name(), moistheat.Version, p.Library)}
	}
	return given, nil
}

type verifier struct {
	p    *Proof
	at   map[int]int // places of lines, by number
	last int
	errs []error
}

func (v *verifier) fault(pointer, problem string, args ...any) {
	err := fault(pointer, problem, args...)
	err.Format = Format
	v.errs = append(v.errs, err)
}

func (v *verifier) line(i int) {
	l := v.p.Lines[i]
	at := fmt.Sprintf("/lines/%d", i)
	if wrong := l.problem(); wrong != nil {
		v.fault(at+wrong.Pointer, "%s", wrong.Problem)
	}
	if l.N <= v.last || l.N > v.p.Log.Lines || l.N == v.p.Log.Lines && l.Sum != v.p.Log.Sum {
		v.fault(at+"/n", "line %d is not where it belongs in a log of %d lines", l.N, v.p.Log.Lines)
	} else if i > 0 && v.p.Lines[i-1].N == l.N-1 && v.p.Lines[i-1].Sum != l.Before {
		v.fault(at+"/before", "line %d does not follow line %d", l.N, l.N-1)
	}
	v.last = max(v.last, l.N)
	v.at[l.N] = i
}

func (v *verifier) load(i int, policy *load.Policy) {
	j := v.p.Loads[i]
	at := fmt.Sprintf("/loads/%d", i)
	line, found := v.at[j.Line]
	if !found {
		v.fault(at+"/line", "the proof has no line %d", j.Line)
		return
	}
	record, err := load.Decode([]byte(v.p.Lines[line].Document))
	if err != nil {
		v.fault(at+"/line", "line %d is no record: %s", j.Line, place(err))
		return
	}
	if j.Catalogue > 0 {
		line, found := v.at[j.Catalogue]
		if !found {
			v.fault(at+"/catalogue", "the proof has no line %d", j.Catalogue)
			return
		}
		c, err := load.DecodeCatalogue([]byte(v.p.Lines[line].Document))
		if err == nil {
			var facts *load.Facts
			if facts, err = c.Facts(); err == nil {
				record = facts.Resolve(record, policy)
			}
		}
		if err != nil {
			v.fault(at+"/catalogue", "line %d is no catalogue: %s", j.Catalogue, place(err))
			return
		}
	}
	var known load.Known
	if j.Known != "" {
		if known, err = load.DecodeKnown([]byte(j.Known)); err != nil {
			v.fault(at+"/known", "what the history knew cannot be read: %s", place(err))
			return
		}
	}
	for n, b := range known.Batches {
		if !v.batch(&b.Batch) {
			v.fault(fmt.Sprintf("%s/known/batches/%d", at, n), "no line of the proof is this batch of cleaning")
		}
	}
	report, err := load.CheckKnowing(record, policy, known).JSON()
	switch {
	case err != nil:
		v.fault(at+"/report", "%v", err)
	case string(report) == j.Report:
	case v.p.Library != moistheat.Version:
		v.fault(at+"/report", "the report of version %s is another than that of version %s", moistheat.Version, v.p.Library)
	default:
		v.fault(at+"/report", "the report is another than the one of the record")
	}
	for _, id := range j.Packs {
		if !slices.ContainsFunc(record.Packs, func(p load.Pack) bool { return p.ID == id }) {
			v.fault(at+"/packs", "the load has no pack %.40q", id)
		}
	}
}

// batch reports whether a line is a batch of cleaning, as it stands there.
func (v *verifier) batch(b *cleaning.Batch) bool {
	return slices.ContainsFunc(v.p.Lines, func(l Line) bool {
		other, err := cleaning.Decode([]byte(l.Document))
		return err == nil && reflect.DeepEqual(other, b)
	})
}

// place says where and of what kind an error is, without a text of the document.
func place(err error) string {
	if e := (*moistheat.DocumentError)(nil); errors.As(err, &e) {
		return e.Place()
	}
	return err.Error()
}

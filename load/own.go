package load

import (
	"slices"
	"strings"

	"example.com/moistheat"
)

// Which findings rest on documents that the policy follows, and what those may do that rest
// on general practice from elsewhere.

// generalPractice says what a finding may do that rests on no document of the policy.
type generalPractice struct {
	Quarantine moistheat.Answer `json:"quarantine"`
	Why        string           `json:"why"`
}

// follows reports whether a source is a document of the policy, in an edition that it
// follows, or the facility's own word.
func (p *Policy) follows(s moistheat.Source) bool {
	for name := range strings.SplitSeq(s.Document, "; ") {
		if slices.ContainsFunc(p.doc.Documents, func(d moistheat.Source) bool {
			return d.Document == name && (d.Edition == "" || s.Edition == "" || d.Edition == s.Edition)
		}) {
			return true
		}
	}
	return s.Basis == moistheat.Facility
}

// cite puts the policy's own documents before the others, and says whether there are any.
func (p *Policy) cite(sources moistheat.Sources) (moistheat.Sources, bool) {
	var own, others []moistheat.Source
	for s := range sources.All() {
		if p.follows(s) {
			own = append(own, s)
		} else {
			others = append(others, s)
		}
	}
	if own == nil || others == nil {
		return sources, own != nil
	}
	return moistheat.SourcesOf(append(own, others...)...), true
}

// ground says on what a finding rests that a person has to deal with.
func (p *Policy) ground(s *ruleState, f *moistheat.Finding) {
	if f.Sources.Equal(s.rule.Sources) {
		f.Sources, f.Own = s.cited, s.own
		return
	}
	f.Sources, f.Own = p.cite(f.Sources)
}

// general reports whether a finding rests on general practice from elsewhere: on no document
// of the policy, and not on arithmetic or the record itself either.
func general(f *moistheat.Finding) bool {
	for s := range f.Sources.All() {
		if s.Basis == moistheat.Derived {
			return false
		}
	}
	return !f.Own
}

// effect returns what a finding of a rule does. Where the policy lets general practice advise
// only, that quarantines nothing; what can reject a pack or a load, or take a sterilizer out
// of service, is not softened so, nor what is missing of it.
func (p *Policy) effect(s *ruleState, f *moistheat.Finding) moistheat.Effect {
	e := s.rule.Effect(f.Outcome)
	if g := p.doc.GeneralPractice; g != nil && g.Quarantine == moistheat.No && !s.unwaivable &&
		f.Outcome != moistheat.Internal && general(f) {
		e.Pack, e.Load = 0, 0
	}
	return e
}

// about describes the policy in a report.
func (p *Policy) about() PolicyName {
	n := PolicyName{Name: p.Name(), Title: p.Title(), Digest: p.Digest()}
	if p == nil {
		return n
	}
	n.AsksLess, n.LeavesOpen = slices.Clone(p.doc.AsksLess), p.LeavesOpen()
	n.GeneralPractice = "may quarantine"
	if g := p.doc.GeneralPractice; g != nil && g.Quarantine == moistheat.No {
		n.GeneralPractice = "advises"
	}
	return n
}

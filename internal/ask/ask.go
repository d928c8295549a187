package ask

import (
	"example.com/moistheat"
	"example.com/moistheat/internal/lang"
	"example.com/moistheat/units"
)

// List gathers the findings of the rules of one book. It is made by [Book.List].
type List struct {
	Findings []moistheat.Finding
	book     *Book
}

// List returns a list for the rules of the book that appends to findings.
func (b *Book) List(findings []moistheat.Finding) List {
	b.read()
	return List{book: b, Findings: findings}
}

// Question is a rule that is asked at one place. It is made by [List.Ask], narrowed
// by [Question.When] and answered by one of the other methods or functions; one that
// was not answered is a fault of the library and never a pass.
type Question struct {
	list *List
	at   int
}

// Ask begins to ask a rule about what an RFC 6901 pointer leads to.
func (l *List) Ask(rule ID, pointer string) Question { return l.ask(&l.book.rules[rule], pointer) }

// AskOther begins to ask a rule of another book.
func (l *List) AskOther(rule moistheat.Rule, pointer string) Question { return l.ask(&rule, pointer) }

func (l *List) ask(r *moistheat.Rule, pointer string) Question {
	l.Findings = append(l.Findings, moistheat.Finding{
		Rule: r.ID, Outcome: moistheat.Internal, Severity: r.Severity, Pointer: pointer, Sources: r.Sources,
	})
	return Question{l, len(l.Findings) - 1}
}

// finding returns the finding while it is being filled in. It must not be kept.
func (q Question) finding() *moistheat.Finding { return &q.list.Findings[q.at] }

// Outcome returns what the question came to so far.
func (q Question) Outcome() moistheat.Outcome { return q.finding().Outcome }

// When says whether the rule is about what is here. Where it is not, no answer counts
// any more.
func (q Question) When(applies bool) Question {
	if !applies {
		q.finding().Outcome = moistheat.NotApplicable
	}
	return q
}

// WhenKnown says whether the rule is about what is here, as far as that is recorded:
// where it is not recorded, nothing better than undetermined can come of it.
func (q Question) WhenKnown(applies moistheat.Answer) Question {
	return q.When(applies != moistheat.No).Given(applies != moistheat.NotRecorded)
}

// Given says whether what the answer needs is recorded: where it is not, the rule is
// undetermined.
func (q Question) Given(recorded bool) Question { return q.OpenWhen(!recorded, moistheat.Unrecorded) }

// Answered reports whether the question has its answer.
func (q Question) Answered() bool { return q.finding().Outcome != moistheat.Internal }

// set answers the question unless it has its answer.
func (q Question) set(o moistheat.Outcome, why moistheat.Reason) Question {
	if f := q.finding(); f.Outcome == moistheat.Internal {
		f.Outcome, f.Reason = o, why
	}
	return q
}

// Met answers: the rule is met.
func (q Question) Met() Question { return q.set(moistheat.Met, "") }

// Broken answers: the rule is broken.
func (q Question) Broken() Question { return q.set(moistheat.Broken, "") }

// Open answers: the rule is undetermined, for a reason.
func (q Question) Open(why moistheat.Reason) Question { return q.set(moistheat.Undetermined, why) }

// BrokenIf answers: the rule is broken where the condition is true, and else met.
func (q Question) BrokenIf(broken bool) Question { return q.BrokenWhen(broken).Met() }

// Known answers: the rule is met by what is recorded, and undetermined by what is not.
func (q Question) Known(recorded bool) Question { return q.Given(recorded).Met() }

// Yes answers: the rule is met by a yes and broken by a no.
func (q Question) Yes(a moistheat.Answer) Question { return q.want(a, moistheat.Yes) }

// No answers: the rule is met by a no and broken by a yes.
func (q Question) No(a moistheat.Answer) Question { return q.want(a, moistheat.No) }

func (q Question) want(got, want moistheat.Answer) Question {
	return q.Given(got != moistheat.NotRecorded).BrokenIf(got != want)
}

// Is answers with an outcome that was worked out elsewhere. What is undetermined is so
// because the record does not say; for another reason use [Question.Open].
func (q Question) Is(o moistheat.Outcome) Question {
	if o == moistheat.Undetermined {
		return q.Open(moistheat.Unrecorded)
	}
	return q.set(o, "")
}

// MetWhen answers where the condition is true: the rule is met. Otherwise the question
// stays for the next answer, as with BrokenWhen and OpenWhen.
func (q Question) MetWhen(met bool) Question {
	if met {
		return q.Met()
	}
	return q
}

// BrokenWhen answers where the condition is true: the rule is broken.
func (q Question) BrokenWhen(broken bool) Question {
	if broken {
		return q.Broken()
	}
	return q
}

// OpenWhen answers where the condition is true: the rule is undetermined, for a reason.
func (q Question) OpenWhen(open bool, why moistheat.Reason) Question {
	if open {
		return q.Open(why)
	}
	return q
}

// With adds a parameter to a finding, unless the rule does not apply. Its value is the same in all
// languages.
func (q Question) With(name, value string) Question { return q.Say(name, lang.Data(value)) }

// On is [Question.With] with a day; one that is not recorded adds none.
func (q Question) On(name string, day moistheat.Date) Question {
	if !day.IsValid() {
		return q
	}
	return q.With(name, day.String())
}

// Say is [Question.With] with a phrase.
func (q Question) Say(name string, value moistheat.Detail) Question {
	f := q.finding()
	if f.Outcome == moistheat.NotApplicable {
		return q
	}
	f.Params = append(f.Params, moistheat.Param{Name: name, Value: value})
	return q
}

// Detail adds a parameter to a finding that a person must still deal with. An empty
// value adds none.
func (q Question) Detail(name, value string) Question {
	if value == "" || q.Outcome() < moistheat.Undetermined {
		return q
	}
	return q.With(name, value)
}

// Explain is [Question.Detail] with a phrase.
func (q Question) Explain(name string, value moistheat.Detail) Question {
	if !value.IsValid() || q.Outcome() < moistheat.Undetermined {
		return q
	}
	return q.Say(name, value)
}

// At moves the finding to another place.
func (q Question) At(pointer string) Question {
	q.finding().Pointer = pointer
	return q
}

// Of says what was measured and the limit it was held against.
func (q Question) Of(measured, limit units.Value) Question {
	f := q.finding()
	f.Measured, f.Limit = measured, limit
	return q
}

// Waive says that a person has accepted the finding, and who. Nil is nobody.
func (q Question) Waive(w *moistheat.Waiver) Question {
	q.finding().Waiver = w
	return q
}

// Got says what was measured.
func (q Question) Got(measured units.Value) Question {
	q.finding().Measured = measured
	return q
}

// Limit says which figure what is measured is held against. Its source decides.
func Limit[U units.Unit](q Question, fig moistheat.Figure[U]) Question {
	q.finding().Limit = fig.Value.Value()
	return q.By(fig.Source)
}

// By says what decided, in place of the rule's own sources. Without a source, or with
// one that names no document, these stay.
func (q Question) By(sources ...moistheat.Source) Question {
	if len(sources) > 0 && sources[0].Document != "" {
		q.finding().Sources = moistheat.SourcesOf(sources...)
	}
	return q
}

// Table names the table and row that decided.
func (q Question) Table(name string) Question {
	q.finding().Table = name
	return q
}

// Some returns what p points to; of what is absent nothing is recorded.
func Some[T any](p *T) (v T) {
	if p != nil {
		v = *p
	}
	return v
}

// AnswerOf returns yes or no.
func AnswerOf(yes bool) moistheat.Answer {
	if yes {
		return moistheat.Yes
	}
	return moistheat.No
}

// AtMost answers: the rule is met by what is no larger than a limit.
func AtMost[U units.Unit](q Question, got, limit units.Quantity[U]) Question {
	return compare(q, got, limit, func(order int) bool { return order > 0 })
}

// AtLeast answers: the rule is met by what is no smaller than a limit.
func AtLeast[U units.Unit](q Question, got, limit units.Quantity[U]) Question {
	return compare(q, got, limit, func(order int) bool { return order < 0 })
}

func compare[U units.Unit](q Question, got, limit units.Quantity[U], broken func(order int) bool) Question {
	if !q.Answered() {
		q.Of(got.Value(), limit.Value())
	}
	switch {
	case !limit.IsValid():
		return q.Open(moistheat.NoLimit)
	case !got.IsValid():
		return q.Open(moistheat.Unrecorded)
	}
	return q.BrokenIf(broken(got.Compare(limit)))
}

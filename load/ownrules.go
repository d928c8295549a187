package load

import (
	"fmt"
	"iter"
	"reflect"
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/guard"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// OwnRules are rules of a facility or a vendor, which a policy asks beside those of the
// library: see [Policy.WithRules]. They add findings and can take none away.
type OwnRules struct {
	// Prefix is the first word of the ID of each, as "clinic" is of "clinic.tray.unnamed".
	// Those with which the library's own rules begin are taken.
	Prefix string
	// Version stands for the conditions in [Policy.Digest], which cannot see them: it changes
	// with them.
	Version string
	// File has the rules as those of the library stand in load/rules.json, in its format
	// "moistheat.rules/1". Each is in force wherever it is given. The act of one may be a
	// sentence that says what to find out, instead of the name of one of the library's.
	File []byte
	// Record has the conditions, by ID, of the rules about an item, a pack or a load. Each asks
	// its rule wherever it is about something in the record, which is a copy. Nothing is known
	// of the sterilizer where the record is checked by itself; k is then the zero Known.
	Record map[string]func(ask Asker, r *Record, k Known)
	// Sterilizer has the conditions of the rules about a sterilizer, which a history asks of
	// each at an instant; see [CheckSterilizers].
	Sterilizer map[string]func(ask Asker, k Known)
}

// Asker asks a rule about what an RFC 6901 pointer leads to, "" being the whole. A rule
// that is asked nowhere does not apply.
type Asker func(pointer string) Asked

// Asked is a rule that was asked at one place. The first answer counts; one without an
// answer is internal, and never a pass.
type Asked struct{ question ask.Question }

// do lets a question be narrowed or answered, if there is one.
func (a Asked) do(f func(q ask.Question)) Asked {
	if a != (Asked{}) {
		f(a.question)
	}
	return a
}

// When says whether the rule is about what is here. Where it is not, no answer counts.
func (a Asked) When(applies bool) Asked { return a.do(func(q ask.Question) { q.When(applies) }) }

// Given says whether what the answer needs is recorded. Where it is not, the rule is
// undetermined.
func (a Asked) Given(recorded bool) Asked { return a.do(func(q ask.Question) { q.Given(recorded) }) }

// BrokenIf answers: the rule is broken where the condition is true, and else met.
func (a Asked) BrokenIf(broken bool) Asked { return a.do(func(q ask.Question) { q.BrokenIf(broken) }) }

// Yes answers: the rule is met by a yes, broken by a no, and undetermined by what is not
// recorded.
func (a Asked) Yes(answer moistheat.Answer) Asked {
	return a.do(func(q ask.Question) { q.Yes(answer) })
}

// No answers: the rule is met by a no, broken by a yes, and undetermined by what is not
// recorded.
func (a Asked) No(answer moistheat.Answer) Asked {
	return a.do(func(q ask.Question) { q.No(answer) })
}

// Open answers: the rule is undetermined, for a reason.
func (a Asked) Open(why moistheat.Reason) Asked {
	return a.do(func(q ask.Question) { q.Open(why) })
}

// With adds a parameter, which stands for {name} in the texts of the rule.
func (a Asked) With(name, value string) Asked {
	return a.do(func(q ask.Question) { q.With(name, value) })
}

// Of says what was measured and the limit that it was held against.
func (a Asked) Of(measured, limit units.Value) Asked {
	return a.do(func(q ask.Question) { q.Of(measured, limit) })
}

// ownRule is a rule of others with its condition, which is one of the two.
type ownRule struct {
	rule       moistheat.Rule
	record     func(Asker, *Record, Known)
	sterilizer func(Asker, Known)
}

// WithRules returns a copy of the policy that also asks rules of a facility or a vendor.
// They count in its reports, its digest and its histories as the library's own do, and no
// document can change them. What is wrong with them is [moistheat.ErrInvalid], an error of
// the file a [*moistheat.DocumentError].
func (p *Policy) WithRules(own ...OwnRules) (*Policy, error) {
	if p == nil || p.rules == nil {
		return nil, fmt.Errorf("load: a policy that judges nothing takes no rules: %w", moistheat.ErrInvalid)
	}
	q := p.copy()
	q.rules = make(map[string]*ruleState, len(p.rules))
	for id, s := range p.rules {
		state := *s
		q.rules[id] = &state
	}
	for i := range own {
		if err := q.takeIn(&own[i]); err != nil {
			return nil, fmt.Errorf("load: the rules of %.40q: %w", own[i].Prefix, err)
		}
	}
	slices.SortFunc(q.own, func(a, b ownRule) int { return strings.Compare(a.rule.ID, b.rule.ID) })
	slices.Sort(q.list)
	for i, id := range q.list {
		q.rules[id].place = i
	}
	return q, nil
}

// takeIn enters rules of others.
func (p *Policy) takeIn(own *OwnRules) error {
	if err := p.nameable(own); err != nil {
		return err
	}
	rules, err := ask.Parse(own.File)
	if err != nil {
		return err
	}
	p.own = slices.Clone(p.own)
	p.list = slices.Clone(p.list)
	conditions := len(own.Record) + len(own.Sterilizer)
	for i, r := range rules {
		o := ownRule{r, own.Record[r.ID], own.Sterilizer[r.ID]}
		if member, problem := o.problem(own.Prefix); problem != "" {
			return strictjson.In(ask.RulesFormat,
				strictjson.Invalid(fmt.Sprintf("/rules/%d%s", i, member), "%.80q: %s", r.ID, problem))
		}
		if p.rules[r.ID] != nil {
			return strictjson.In(ask.RulesFormat,
				strictjson.Invalid(fmt.Sprintf("/rules/%d/id", i), "there are two rules %.80q", r.ID))
		}
		s := &ruleState{rule: r, inForce: true, place: -1, added: true}
		if o.record != nil {
			p.list = append(p.list, r.ID)
		}
		s.settle(p)
		p.rules[r.ID] = s
		p.own = append(p.own, o)
		conditions--
	}
	if conditions != 0 {
		return fmt.Errorf("there is a condition of no rule in the file: %w", moistheat.ErrInvalid)
	}
	p.ownNames = append(slices.Clone(p.ownNames), own.Prefix+" "+own.Version)
	return nil
}

// nameable says what is wrong with the names of rules.
func (p *Policy) nameable(own *OwnRules) error {
	taken := own.Prefix == "schema" // whose rules no policy has
	for id := range p.rules {
		taken = taken || strings.HasPrefix(id, own.Prefix+".")
	}
	switch {
	case !lowercase(own.Prefix) || len(own.Prefix) > 40:
		return fmt.Errorf("the prefix is not one word of up to 40 lowercase letters: %w", moistheat.ErrInvalid)
	case taken:
		return fmt.Errorf("the prefix is taken: %w", moistheat.ErrInvalid)
	case own.Version == "":
		return fmt.Errorf("they have no version: %w", moistheat.ErrInvalid)
	}
	return nil
}

func lowercase(word string) bool {
	return word != "" && strings.Trim(word, "abcdefghijklmnopqrstuvwxyz") == ""
}

// problem says what is wrong with a member of a rule, or "".
func (o *ownRule) problem(prefix string) (member, problem string) {
	r := &o.rule
	words := strings.Split(r.ID, ".")
	switch {
	case words[0] != prefix || len(words) < 2 || !lowercase(strings.Join(words[1:], "")) || slices.Contains(words, ""):
		return "/id", "want lowercase words with dots between them, the first of which is " + prefix
	case r.Title == "" || r.Why == "" || r.Remedy == "" || r.BrokenText == "" || r.Since == "":
		return "", "it lacks title, why, remedy, brokenText or since"
	case r.Severity == 0:
		return "/severity", "it is missing"
	case r.Sources.Len() == 0:
		return "/sources", "name a source; of the facility's own word the basis is " + moistheat.Facility.String()
	case r.Optional:
		return "/optional", "it is in force wherever it is given"
	case r.Choice:
		return "/choice", "it is asked of a load that was run, and of no plan"
	}
	for s := range r.Sources.All() {
		if s.Document == "" || s.Basis == 0 {
			return "/sources", "a source has a document and a basis"
		}
	}
	for _, text := range []string{r.Title, r.Why, r.Remedy, r.BrokenText, r.UndeterminedText, r.Act} {
		if moistheat.Visible(text) != text {
			return "", fmt.Sprintf("the text %q has characters that do not show", text)
		}
	}
	switch {
	case askedOfRecord(*r) && o.record == nil, r.Scope == moistheat.SterilizerScope && o.sterilizer == nil:
		return "/scope", fmt.Sprintf("nothing asks it: a rule about a %s needs its condition", r.Scope)
	case askedOfRecord(*r) && o.sterilizer == nil, r.Scope == moistheat.SterilizerScope && o.record == nil:
		return "", ""
	}
	return "/scope", "rules of others are about an item, a pack, a load or a sterilizer, and have one condition"
}

// ask lets a condition ask its rule. A panic is a finding that quarantines.
func (o *ownRule) ask(condition func(Asker)) (out []moistheat.Finding) {
	list := book.List(nil)
	defer func() {
		if e := recover(); e != nil {
			list.AskOther(o.rule, "").With("error", fmt.Sprint(e))
		}
		out = slices.Clone(list.Findings) // a question that the condition kept changes nothing any more
	}()
	condition(func(pointer string) Asked {
		if pointer != "" && pointer[0] != '/' {
			panic(fmt.Sprintf("%q is no pointer", pointer))
		}
		return Asked{list.AskOther(o.rule, pointer)}
	})
	return nil
}

// beside asks the rules of others about a record, which they get as a copy: whatever they
// do with it, the library's own rules are asked of what was recorded.
func (c *checker) beside() {
	if len(c.p.own) == 0 {
		return
	}
	r, k := copied(c.r), copied(c.known)
	for i := range c.p.own {
		o := &c.p.own[i]
		if o.record == nil {
			continue
		}
		found := o.ask(func(ask Asker) { o.record(ask, r, k) })
		ask.Settle(found, c.r)
		c.Findings = append(c.Findings, found...)
	}
}

// CheckSterilizers asks the rules of [OwnRules] that a policy has about sterilizers, of what
// is known of each; where it has none, nothing is taken from the sequence. Histories ask them
// beside the library's own. Findings point to /sterilizers/NAME.
func CheckSterilizers(p *Policy, each iter.Seq[Known]) []moistheat.Finding {
	asked := func(o ownRule) bool { return o.sterilizer != nil }
	if p == nil || each == nil || !slices.ContainsFunc(p.own, asked) {
		return nil
	}
	var out []moistheat.Finding
	for k := range each {
		on := p.On(moistheat.DateOf(k.At))
		for i := range p.own {
			o := &p.own[i]
			if o.sterilizer == nil {
				continue
			}
			found := o.ask(func(ask Asker) { o.sterilizer(ask, copied(k)) })
			for j := range found {
				found[j].Pointer = "/sterilizers/" + guard.Escape(k.Sterilizer) + found[j].Pointer
				on.Apply(&found[j])
			}
			out = append(out, found...)
		}
	}
	return out
}

// copied returns a deep copy of what a document holds: of all that exported members lead to.
// What values of the library keep to themselves never changes, and is shared.
func copied[T any](v T) T {
	out := reflect.ValueOf(&v).Elem()
	unshare(out)
	return v
}

// unshare puts copies in the place of all that is shared.
func unshare(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			to := reflect.New(v.Type().Elem())
			to.Elem().Set(v.Elem())
			unshare(to.Elem())
			v.Set(to)
		}
	case reflect.Slice:
		if v.IsNil() || v.Len() == 0 {
			return
		}
		to := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(to, v)
		v.Set(to)
		switch v.Type().Elem().Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Struct:
			for i := range v.Len() {
				unshare(v.Index(i))
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				unshare(v.Field(i))
			}
		}
	}
}

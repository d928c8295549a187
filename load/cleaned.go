package load

import (
	"cmp"
	"reflect"
	"slices"

	"example.com/moistheat"
	"example.com/moistheat/internal/spelling"
	"example.com/moistheat/load/cleaning"
	"example.com/moistheat/packaging"
	"example.com/moistheat/units"
)

// KnownBatch is a batch of cleaning that an item of the load names and its record need not
// carry.
type KnownBatch struct {
	Batch cleaning.Batch `json:"batch"`
	// Sterilized are the items of this load, by their marks, that the batch carried and that
	// another load has sterilized since.
	Sterilized []string `json:"sterilized,omitzero"`
}

// countBatches takes up the batches that items of the load may name.
func (c *checker) countBatches() {
	var all []*cleaning.Batch
	for i := range c.r.Cleaning {
		all = append(all, &c.r.Cleaning[i])
	}
	for i := range c.known.Batches {
		k := &c.known.Batches[i]
		if !slices.ContainsFunc(c.r.Cleaning, func(b cleaning.Batch) bool {
			return b.ID == k.Batch.ID && reflect.DeepEqual(b, k.Batch)
		}) {
			all = append(all, &k.Batch)
		}
		if c.spent == nil {
			c.spent = map[string]map[string]bool{}
		}
		batch := spelling.Same(k.Batch.ID)
		if c.spent[batch] == nil {
			c.spent[batch] = map[string]bool{}
		}
		for _, id := range k.Sterilized {
			c.spent[batch][spelling.Same(id)] = true
		}
	}
	if all != nil || c.known.KeepsBatches != nil {
		c.batches = cleaning.NewBatches(c.p.Cleaning(), all...)
		c.batches.Keep(c.known.KeepsBatches...)
	}
}

// cleaned asks about the batch that cleaned an item of a pack.
func (c *checker) cleaned(pack int, it *packaging.Item) {
	set := c.r.Packs[pack].Set
	if s := c.r.source; s != nil && pack < len(s.raw.Packs) { // where it is written out it is not named any more
		set = s.raw.Packs[pack].Set
	}
	c.Findings = c.batches.Check(c.Findings, it, set, c.started())
	spent := c.spent[spelling.Same(it.Preparation.WasherLoad)]
	c.Ask(cleaningSpent, "/preparation/washerLoad").When(len(spent) > 0).With("item", it.Name).
		With("batch", it.Preparation.WasherLoad).OpenWhen(it.ID == "", moistheat.Unrecorded).
		BrokenIf(spent[spelling.Same(it.ID)])
}

// Cleaning returns what the policy holds batches of cleaning against.
func (p *Policy) Cleaning() cleaning.Limits {
	if p := cmp.Or(p, &noPolicy); p.doc.Cleaning != nil {
		own := *p.doc.Cleaning
		if own.PrintedA0 != nil {
			source := *own.PrintedA0
			own.PrintedA0 = &source
		}
		return own
	}
	return cleaning.DefaultLimits()
}

// inheritCleaning takes from the base what the document leaves open, and asks for a decision
// where it asks less.
func (d *policyDoc) inheritCleaning(b *policyDoc, undecided func(pointer, what string) error) error {
	if d.Cleaning == nil {
		d.Cleaning = b.Cleaning
		return nil
	}
	own, base := *d.Cleaning, cleaning.DefaultLimits()
	if b.Cleaning != nil {
		base = *b.Cleaning
	}
	if own.PrintedA0 == nil {
		own.PrintedA0 = base.PrintedA0
	} else if base.PrintedA0 == nil {
		if err := undecided("/cleaning/printedA0", "takes a printed A0 as evidence"); err != nil {
			return err
		}
	}
	for _, err := range []error{
		stricter("/cleaning/noncritical", &own.Noncritical, base.Noncritical, -1, undecided),
		stricter("/cleaning/semicritical", &own.Semicritical, base.Semicritical, -1, undecided),
		stricter("/cleaning/critical", &own.Critical, base.Critical, -1, undecided),
		stricter("/cleaning/toCleaning", &own.ToCleaning, base.ToCleaning, 1, undecided),
		stricter("/cleaning/toSterilizing", &own.ToSterilizing, base.ToSterilizing, 1, undecided),
		stricter("/cleaning/handTemperature", &own.HandTemperature, base.HandTemperature, 1, undecided),
	} {
		if err != nil {
			return err
		}
	}
	d.Cleaning = &own
	return nil
}

// stricter is [tighten] for a limit that is stated where its value is.
func stricter[U units.Unit](pointer string, own *moistheat.Figure[U], base moistheat.Figure[U], sign int,
	undecided func(pointer, what string) error) error {
	stated := func(f *moistheat.Figure[U]) *moistheat.Figure[U] {
		if f.Value.IsValid() {
			return f
		}
		return nil
	}
	mine := stated(own)
	err := tighten(pointer, &mine, stated(&base), sign, undecided)
	if err == nil && mine != nil {
		*own = *mine
	}
	return err
}

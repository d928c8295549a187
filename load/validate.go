package load

import (
	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
)

// Validate returns what [Decode] would refuse if the record came as a document, for
// records that a program fills or edits: a word that is in no list, a required member
// that is not set, a negative mass, a text that is too long. It returns nil for every
// record that Decode returned and nobody changed.
//
// The error wraps one [*moistheat.DocumentError] for each problem, with a pointer to
// the member: at most 25, and one that counts the others. Its Unwrap method returns
// the list.
//
// [Check] asks this of every record. What Validate finds quarantines the load.
func (r *Record) Validate() error { return strictjson.Validate(r, strictjson.Default(), Format) }

// valid asks whether the record could have come as a document.
func (c *checker) valid() {
	if !c.invalid(c.given) {
		c.Ask(recordInvalid, "").Met()
	}
}

// invalid enters what keeps a record from being a document, and reports whether anything
// does.
func (c *checker) invalid(r *Record) bool {
	err := r.Validate()
	if err == nil {
		return false
	}
	for _, err := range err.(interface{ Unwrap() []error }).Unwrap() {
		e := err.(*moistheat.DocumentError)
		c.Ask(recordInvalid, e.Pointer).With("problem", e.Problem).Broken()
	}
	return true
}

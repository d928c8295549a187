// Package loadtest helps to test software that is built on package load, and the
// library itself.
//
// # The conformance corpus
//
// [Conformance] holds vectors: a valid document, one change to it, and what must be
// found then, with the source of the expectation. They are plain JSON files, to be
// run from any language; corpus/README.md says how. [RunCorpus] runs them in a Go
// test, through a team's own import and export if it likes. What comes back must get
// the verdict that is expected, and say what the document said, by [DiffDocuments]:
//
//	func TestImportAndExport(t *testing.T) {
//		loadtest.RunCorpus(t, func(v *loadtest.Vector, doc []byte) ([]byte, error) {
//			if v.Subject == loadtest.SubjectHistory || v.Subject == loadtest.SubjectStored {
//				return nil, loadtest.ErrDeclined // we keep records
//			}
//			return ours.ImportAndExport(doc)
//		})
//	}
//
// A team's own vectors are copies of these with changes, or files that [Read] reads.
//
// # Records and faults
//
// Builders such as [Pouches] return a valid record of a common kind. Nothing about it
// is open under any built-in policy, unless the builder's own documentation says so:
// [Textiles], [Unwrapped], [PrintedOnly] and [Fortnight] have exceptions. A facility's
// own policy can ask for more.
//
// A [Fault] is one thing that goes wrong in a clinic; it changes a record that it fits
// and says what must be found then. [Run] injects, checks and compares:
//
//	func TestWetPack(t *testing.T) {
//		loadtest.Run(t, loadtest.Pouches(), policy, "wet one pack")
//	}
//
// A fault that shows nothing, such as one whose rules the policy leaves out, fails the
// test: see [Try]. Whoever injects and checks in steps of their own asks
// [Effects.Wanted] what must be found.
//
// [Expect] and [Diff] compare any report with what should have been found, by rule,
// pointer and outcome: wording is not promised. The findings of a history, a stored pack
// or a plan go in as those of a report that has nothing else. [Seen] notes which rules
// and outcomes a team's tests have exercised.
package loadtest

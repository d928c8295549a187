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
//			if v.Judges == loadtest.JudgesHistory || v.Judges == loadtest.JudgesStored {
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
// Builders such as [Pouches] return a valid record of a common kind. A [Fault] is one
// thing that goes wrong in a clinic; it changes a record that it fits and says what
// must be found then. [Run] injects, checks and compares:
//
//	func TestWetPack(t *testing.T) {
//		wet, _ := loadtest.FaultNamed("wet one pack")
//		loadtest.Run(t, loadtest.Pouches(), policy, wet)
//	}
//
// [Expect] and [Diff] compare any report with what should have been found, by rule,
// pointer and outcome: wording is not promised. [Seen] notes which rules and outcomes
// a team's tests have exercised.
package loadtest

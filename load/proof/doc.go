// Package proof keeps what a facility said, byte for byte, and shows it years later to a
// person who was not there.
//
// A [Log] is a file to which documents are added and in which nothing is changed: load records,
// events, stored packs, amendments, catalogues. Each line carries the digest of its document and of
// the line before, so that a line that was changed, left out, put in later or moved shows to
// whoever reads the file. The chain runs over the digests of the documents and not over the documents:
// what must not be kept any longer, such as on whom a pack was used, is erased by [Erase], and the
// chain still holds. A chain proves nothing against a person who can write the whole file anew; who
// notes the last [Log.Sum] elsewhere, such as on the paper that is signed each month, can show
// that too.
//
// A [Proof] is what an inspector gets of a log for one load, one item or one patient: the lines,
// the report of each load with the rules, the policy, the catalogue and the history that it rests
// on, and the gaps. [Proof.Verify] computes all of it anew from what is in it, without the log
// and without a connection. Keys of patients stand in it as numbers.
//
//	var log proof.Log
//	err := log.Append(file, time.Now(), document) // reads first what is in the file
package proof

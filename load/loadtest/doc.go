// Package loadtest helps to test software that is built on package load, and the
// library itself.
//
// # The conformance corpus
//
// [Conformance] holds vectors: a valid document, one change to it, and what must be
// found then, with the source of the expectation. They are plain JSON files, to be
// run from any language; corpus/README.md says how.
package loadtest

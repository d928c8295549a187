// Package schema holds the published JSON Schemas (2020-12) of the library's
// documents and checks documents against them.
//
// The schemas are files for programs in any language: [Source] and [FS] hand them
// out, and each stands alone. [Validate] does here what another program would do
// with the file, and says more about what it finds: every finding at once, with a
// rule of this package, a JSON Pointer and the place in the schema.
//
// # Which reader to use
//
// A program that wants verdicts uses package load, whose Decode accepts exactly the
// records that [Validate] finds nothing wrong with and stops at the first fault. A
// person who writes an export uses this package, to see all faults of a document.
// Only this package needs the schema engine; a program that does not import it does
// not carry the engine.
//
// # What a schema can not say
//
// Bytes are bounded before anything else looks at them: size, depth, length of
// strings and numbers, duplicate names, strict UTF-8. What fails there is an
// [*Error], not a finding, because nothing was checked. The description of each
// schema lists these bounds for readers in other languages. Whether ids are unique,
// times in order and units meant as written is asked by package load, of a record
// that has the right shape.
//
// Tables, figures and limits for water have further rules that their own readers
// ask: a document in which [Validate] finds nothing may still be refused there, such
// as for a temperature of 13 °C. One in which it finds something is always refused.
//
// # Compatibility
//
// The number at the end of a schema's $id counts its versions. Within a version
// members and words may be added to what is accepted; nothing that was accepted is
// refused, and no meaning changes. A change that would do so gets a new number, and
// a document says which one it follows in its member "format".
package schema

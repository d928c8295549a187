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
// # In other languages
//
// A validator of another program has to assert the keyword "format": of dates and times
// it is the only one that refuses a day that is none, and the standard lets a validator
// pass over it unless it is told so. The schemas hold under the strictest settings of a
// common validator. Each definition has a name and a title, stands once, and is referred
// to by a $ref with nothing beside it, so that a generator makes one type of it;
// [Line] chooses between documents by their member "format". A program in TypeScript
// with types made so is in examples/webfront.
//
// # What a schema cannot say
//
// Bytes are bounded before anything else reads them: size, depth, length of
// strings and numbers, duplicate names, strict UTF-8. What fails there is a
// [moistheat.DocumentError], not a finding, because nothing was checked. The description of each
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
// A schema's $id is its name for good: "urn:moistheat:schema:load:1" for the format
// "moistheat.load/1". It is no address; nothing is loaded from it. The number counts
// versions, and a document says which it follows in its member "format". (A line of
// a history follows the version of the format that it names.)
//
// Within a version,
//   - a document that a program may write stays valid: nothing that was accepted is
//     refused, no bound becomes tighter, no optional member becomes required;
//   - a member, word or unit keeps its meaning, and an absent member goes on to mean
//     that it was not recorded;
//   - members, words and units may be added. A program that reads reports, or another
//     program's documents, passes over members that it does not know and takes a word
//     that it does not know for one that it cannot judge;
//   - titles, descriptions, examples, the order of members and the names in $defs may
//     change, and so may the layout of the file.
//
// A new version is made for anything else: a member removed or renamed, a meaning
// changed, a bound tightened, a list closed. The old version is then still read, for
// as long as the major version of the library stays the same.
//
// One exception: what a schema accepts and no reader of this library does, or the
// reverse, is a fault and is corrected within the version, towards the reader. Before
// version 1.0.0 of the library a bound may also be tightened; the notes of the release
// say so.
package schema

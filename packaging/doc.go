// Package packaging judges how an item was prepared and packed for steam
// sterilization: the item's class and cleaning, its hinges and lumens, the barrier
// around it, the seal, the indicators and the label.
//
// # In order of reading
//
// A [Pack] is what is handled as one thing from sealing to use, with its [Item] list,
// [Seal], [Label] and [Indicator] list. [Check] asks the rules of this package about
// one pack and needs nothing of the load around it, so it can run at the packing bench,
// before a cycle is chosen. Where the pack lies in the chamber, which cycle it went
// through and how it came out are matters of package load.
//
// # What a gap in a record means
//
// A yes or no that was not recorded is [moistheat.NotRecorded] and leaves the
// rules that need it undetermined. An empty list says no more than an absent one: that
// it is not recorded. HasTraits and HasLumens of an [Item] answer that there are none. Of a
// nil [Pack] or [Item] nothing is recorded.
//
// # Figures
//
// Limits that documents disagree on are data, one file a document: [FigureNames] lists
// them, [FiguresFor] takes those that a caller chose to follow, and [ParseFigures] reads
// a facility's own. A limit that none of the chosen documents states is not asked. The
// lumen classes follow one definition: see [Lumen.Class].
package packaging
